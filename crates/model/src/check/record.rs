//! The record around its inspection: the device's row, the photographs' copies.

use super::{Problems, inspection};
use crate::{parse::Problem, record::Record};

/// The largest whole number that canonical JSON keeps exactly (RFC 8785, 3.2.2.3).
const MOST_EXACT: u64 = (1 << 53) - 1;

pub fn record(record: &Record) -> Vec<Problem> {
    let mut problems = Problems::default();
    let device = &record.device;
    problems.add_if(!(1..=MOST_EXACT).contains(&device.sequence), "device.sequence", || {
        format!("got {}, expected 1 to {MOST_EXACT}", device.sequence)
    });
    problems.add_if((device.sequence == 1) != device.previous.is_none(), "device.previous", || {
        "expected none for a device's first record and the digest of the one before for every other".to_owned()
    });
    problems.add_if(record.renderer.0 == 0, "renderer", || "got 0, expected a version from 1".to_owned());
    problems
        .add_if(record.reckoning.method.0 == 0, "reckoning.method", || "got 0, expected a version from 1".to_owned());
    let frozen = record.frozen_at;
    problems.add_if(record.inspection.visited_at > frozen, "frozen_at", || {
        format!("got {frozen}, expected a time after the visit's beginning, {}", record.inspection.visited_at)
    });
    let originals = &record.inspection.photographs;
    let copies = &record.report_photographs;
    problems.add_if(originals.len() != copies.len(), "report_photographs", || {
        format!("got {} copies, expected one for each of the {} photographs", copies.len(), originals.len())
    });
    for (at, (original, copy)) in originals.iter().zip(copies).enumerate() {
        problems.add_if(original.id != copy.id, format!("report_photographs[{at}].id"), || {
            format!(
                "got {:?}, expected {:?}: copies stand in the photographs' order",
                copy.id.as_str(),
                original.id.as_str()
            )
        });
        let side = copy.width_px.max(copy.height_px);
        let smallest = copy.width_px.min(copy.height_px);
        problems.add_if(smallest == 0 || side > 65_535, format!("report_photographs[{at}]"), || {
            format!("got {} × {} pixels, expected 1 to 65535 each", copy.width_px, copy.height_px)
        });
    }
    let mut all = problems.0;
    all.extend(
        inspection(&record.inspection)
            .into_iter()
            .map(|problem| Problem::new(format!("inspection.{}", problem.field), problem.message)),
    );
    all
}
