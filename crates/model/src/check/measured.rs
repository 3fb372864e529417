//! What analyses found: figures that a page can show, lists as long as they may be, a face measured in a photograph of one.

use serde::Serialize;
use serde_json::Value;

use super::Problems;
use crate::{drive::MeasuredDrive, inspection::Inspection, photograph::PhotographSubject};

/// Larger than any figure of an analysis in its unit: the largest is a shift of clocks, in seconds since 1970.
const MOST: f64 = 1e10;
/// Steps of a drive that a page can show.
const MOST_STEPS: usize = 600;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    for (at, drive) in inspection.road_test.seen().into_iter().flat_map(|test| &test.drives).enumerate() {
        let field = format!("road_test.seen.drives[{at}]");
        figures(drive, &field, problems);
        lists(drive, &field, problems);
    }
    for (at, photograph) in inspection.photographs.iter().enumerate() {
        let Some(measured) = &photograph.measured else { continue };
        let field = format!("photographs[{at}].measured");
        figures(measured, &field, problems);
        let is_face = matches!(photograph.subject, PhotographSubject::Face { .. });
        problems.add_if(!is_face, field.clone(), || {
            format!("got a face measured in a photograph of: {}, expected one of a face", photograph.subject.words())
        });
        if let Some(card) = &measured.mark.grey_card {
            problems.add_if(!(0.01..=1.0).contains(&card.reflects), format!("{field}.mark.grey_card.reflects"), || {
                format!("got {}, expected a share from 0.01 to 1", card.reflects)
            });
        }
        if let Some(proposal) = &measured.proposal {
            problems.add_if(proposal.references > 10_000, format!("{field}.proposal.references"), || {
                format!("got {}, expected at most 10000", proposal.references)
            });
        }
        let pattern = &measured.seen.pattern;
        for (name, got) in [("parts", pattern.parts.len()), ("part_colours", pattern.part_colours.len())] {
            problems.add_if(got > 12, format!("{field}.seen.pattern.{name}"), || {
                format!("got {got} entries, expected at most 12")
            });
        }
        problems.add_if(pattern.parts.len() != pattern.part_colours.len(), format!("{field}.seen.pattern"), || {
            format!("got {} parts with {} colours", pattern.parts.len(), pattern.part_colours.len())
        });
    }
}

fn lists(drive: &MeasuredDrive, field: &str, problems: &mut Problems) {
    let trace = &drive.trace;
    let steps = trace.speed_km_h.len();
    let pulsation = drive.pulsation.as_ref();
    for (at, order) in pulsation.into_iter().flat_map(|seen| &seen.orders).enumerate() {
        problems.add_if(!(1..=4).contains(&order.order), format!("{field}.pulsation.orders[{at}].order"), || {
            format!("got {}, expected 1 to 4", order.order)
        });
    }
    for (name, got, most) in [
        ("recordings", drive.recordings.len(), 10),
        ("brakings", drive.brakings.len(), 200),
        ("limits", drive.limits.len(), 50),
        ("pulsation.orders", pulsation.map_or(0, |seen| seen.orders.len()), 4),
        ("pulsation.spectrum", pulsation.map_or(0, |seen| seen.spectrum.len()), 1000),
        ("sound.flaws", drive.sound.as_ref().map_or(0, |seen| seen.flaws.len()), 4),
        ("trace.speed_km_h", steps, MOST_STEPS),
    ] {
        problems
            .add_if(got > most, format!("{field}.{name}"), || format!("got {got} entries, expected at most {most}"));
    }
    for (name, got) in [
        ("least_m_per_s2", trace.least_m_per_s2.len()),
        ("greatest_m_per_s2", trace.greatest_m_per_s2.len()),
        ("sound_db", if trace.sound_db.is_empty() { steps } else { trace.sound_db.len() }),
    ] {
        problems.add_if(got != steps, format!("{field}.trace.{name}"), || {
            format!("got {got} entries, expected as many as the speed has, {steps}")
        });
    }
}

/// Every number of it, with its field.
fn figures(measured: &impl Serialize, field: &str, problems: &mut Problems) {
    // Whatever was read from JSON can be written as JSON.
    let value = serde_json::to_value(measured).unwrap_or_default();
    walk(&value, field, problems);
}

fn walk(value: &Value, field: &str, problems: &mut Problems) {
    match value {
        Value::Number(number) => {
            let got = number.as_f64().unwrap_or(f64::INFINITY);
            problems.add_if(got.abs() > MOST, field, || format!("got {got}, expected at most {MOST}"));
            let is_uncertainty = field.ends_with(".uncertainty") || field.ends_with(".uncertainty_m_per_s2");
            problems
                .add_if(is_uncertainty && got < 0.0, field, || format!("got {got}, expected an uncertainty from 0"));
        }
        Value::Array(all) => {
            all.iter().enumerate().for_each(|(at, one)| walk(one, &format!("{field}[{at}]"), problems));
        }
        Value::Object(fields) => fields.iter().for_each(|(key, one)| walk(one, &format!("{field}.{key}"), problems)),
        _ => {}
    }
}
