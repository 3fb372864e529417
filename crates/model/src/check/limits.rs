//! How long lists may be, and which years a time can be of: enough for any car, and small enough that nobody is kept
//! waiting.

use chrono::Datelike as _;

use super::{Problems, corner::field_name};
use crate::{Timestamp, inspection::Inspection};

/// Years that a person who inspects today can mean.
const YEARS: std::ops::RangeInclusive<i32> = 1990..=2199;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    let steps = inspection.road_test.seen().map_or(0, |test| test.steps.len());
    let lists = [
        ("readings", inspection.readings.len(), 500),
        ("photographs", inspection.photographs.len(), 2_000),
        ("recordings", inspection.recordings.len(), 200),
        ("not_inspected", inspection.not_inspected.len(), 200),
        ("questions", inspection.questions.len(), 200),
        ("road_test.seen.steps", steps, 100),
        ("road_test.seen.drives", inspection.road_test.seen().map_or(0, |test| test.drives.len()), 20),
        ("car.discs_replaced", inspection.car.discs_replaced.len(), 100),
        ("car.prior_visits", inspection.car.prior_visits.len(), 200),
        ("prices.lines", inspection.prices.as_ref().map_or(0, |prices| prices.lines.len()), 200),
    ];
    for (field, got, most) in lists {
        at_most(got, most, field, problems);
    }
    for (at, visit) in inspection.car.prior_visits.iter().enumerate() {
        at_most(visit.readings.len(), 200, &format!("car.prior_visits[{at}].readings"), problems);
        at_most(visit.faces.len(), 8, &format!("car.prior_visits[{at}].faces"), problems);
    }
    for (at, step) in inspection.road_test.seen().into_iter().flat_map(|test| &test.steps).enumerate() {
        let field = format!("road_test.seen.steps[{at}]");
        at_most(step.felt.len(), 20, &format!("{field}.felt"), problems);
        at_most(step.heard.len(), 20, &format!("{field}.heard"), problems);
        at_most(step.recordings.len(), 50, &format!("{field}.recordings"), problems);
    }
    for (name, corner) in inspection.corners.iter() {
        let Some(corner) = corner.seen() else { continue };
        for (what, face) in [("outer_face", &corner.outer_face), ("inner_face", &corner.inner_face)] {
            let Some(face) = face.seen() else { continue };
            let field = format!("corners.{}.seen.{what}.seen.defects", field_name(name));
            at_most(face.defects.len(), 100, &field, problems);
            for (at, defect) in face.defects.iter().enumerate() {
                at_most(defect.photographs.len(), 50, &format!("{field}[{at}].photographs"), problems);
            }
        }
    }
    times(inspection, problems);
}

fn at_most(got: usize, most: usize, field: &str, problems: &mut Problems) {
    problems.add_if(got > most, field, || format!("got {got} entries, expected at most {most}"));
}

fn times(inspection: &Inspection, problems: &mut Problems) {
    year(inspection.visited_at, "visited_at", problems);
    for (at, reading) in inspection.readings.iter().enumerate() {
        year(reading.taken_at, &format!("readings[{at}].taken_at"), problems);
    }
    for (at, visit) in inspection.car.prior_visits.iter().enumerate() {
        for (reading_at, reading) in visit.readings.iter().enumerate() {
            let field = format!("car.prior_visits[{at}].readings[{reading_at}].taken_at");
            year(reading.taken_at, &field, problems);
        }
    }
    for (at, photograph) in inspection.photographs.iter().enumerate() {
        if let Some(place) = photograph.place {
            for (name, got, most) in
                [("latitude_deg", place.latitude_deg, 90.0), ("longitude_deg", place.longitude_deg, 180.0)]
            {
                problems.add_if(!(-most..=most).contains(&got), format!("photographs[{at}].place.{name}"), || {
                    format!("got {got}, expected degrees from -{most} to {most}")
                });
            }
        }
        if let Some(time) = photograph.taken_at {
            year(time, &format!("photographs[{at}].taken_at"), problems);
        }
    }
}

/// Refuses a time of a year that nobody means.
pub fn year(time: Timestamp, field: &str, problems: &mut Problems) {
    problems.add_if(!YEARS.contains(&time.year()), field, || {
        format!("got {time}, expected a year from {} to {}", YEARS.start(), YEARS.end())
    });
}
