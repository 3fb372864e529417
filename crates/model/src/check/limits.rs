//! How long lists may be: enough for any car, and small enough that nobody is kept waiting.

use super::Problems;
use crate::inspection::Inspection;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    let steps = inspection.road_test.seen().map_or(0, |test| test.steps.len());
    let lists = [
        ("readings", inspection.readings.len(), 500),
        ("photographs", inspection.photographs.len(), 2_000),
        ("recordings", inspection.recordings.len(), 200),
        ("not_inspected", inspection.not_inspected.len(), 200),
        ("questions", inspection.questions.len(), 200),
        ("road_test.seen.steps", steps, 100),
        ("car.discs_replaced", inspection.car.discs_replaced.len(), 100),
        ("car.prior_visits", inspection.car.prior_visits.len(), 200),
        ("prices.lines", inspection.prices.as_ref().map_or(0, |prices| prices.lines.len()), 200),
    ];
    for (field, got, most) in lists {
        problems.add_if(got > most, field, || format!("got {got} entries, expected at most {most}"));
    }
}
