//! Wear of a pad's lining against its renewal mark.

use model::{CornerName, Figure, Inspected, Inspection, Measurand, PadName, Reading, Source};

use super::{Marks, share_used};
use crate::explain::{Estimate, Notes, from_readings, plural};
use crate::mark::{LiningMark, find_thinnest, lining_mark, thinnest_of};
use crate::number::percent;

/// The wear of this pad's lining at its thinnest measured point, or nothing with the reason in the notes.
pub fn lining(inspection: &Inspection, corner: CornerName, pad: PadName, notes: &mut Notes) -> Option<Figure> {
    let what = format!("The {} {} pad", corner.words(), pad.words());
    // A tapered lining is used up where it is thinnest.
    let Some((reading, thinnest)) = find_thinnest(inspection, corner, pad) else {
        notes.miss(match reason_not_inspected(inspection, corner, pad) {
            Some(reason) => format!("{what}: not inspected, {reason}."),
            None => format!("{what}: its lining was not measured."),
        });
        return None;
    };
    let fitment = inspection.car.pads(corner.axle());
    let Some(new) = fitment.lining_new_mm.map(model::Millimetre::value) else {
        notes.miss(format!(
            "{what}: {thinnest:.1} mm of lining, but its thickness when new is not known, so that it can only be held against the mark, without a share."
        ));
        return None;
    };
    let mark = lining_mark(inspection, corner);
    let Some(estimate) = against(new, mark, reading, thinnest) else {
        notes.miss(format!("{what}: new and mark are the same, {new:.1} mm, so that no share follows."));
        return None;
    };
    Some(estimate.into_figure())
}

/// The wear of this pad's lining by the readings of an earlier visit.
pub fn lining_then(
    inspection: &Inspection,
    corner: CornerName,
    pad: PadName,
    readings: &[Reading],
) -> Option<Estimate> {
    let of = Measurand::Lining { corner, pad };
    let (reading, thinnest) = thinnest_of(readings.iter().filter(|reading| reading.of == of))?;
    let new = inspection.car.pads(corner.axle()).lining_new_mm?.value();
    against(new, lining_mark(inspection, corner), reading, thinnest)
}

/// Half of the last digit that a new lining's thickness is given with, in millimetres (project assumption).
const NEW_HALF_DIGIT: f64 = 0.05;

/// How much further from the truth the least of several points lies than one point does, as a share of the instrument's
/// uncertainty: the mean of the least of 1, 2, 3, … standard normal values, of which half the variance is taken to
/// differ from point to point (project assumption).
const LEAST_OF: [f64; 5] = [0.0, 0.40, 0.60, 0.73, 0.82];

fn against(new: f64, mark: LiningMark, reading: &Reading, thinnest: f64) -> Option<Estimate> {
    let instrument = reading.base_uncertainty();
    let points: Vec<_> = reading.base_values().collect();
    let near = points.iter().filter(|&&mm| mm - thinnest < 2.0 * instrument).count();
    let uncertainty = instrument * libm::hypot(1.0, LEAST_OF[near.clamp(1, LEAST_OF.len()) - 1]);
    let marks = Marks { new, new_half_width: NEW_HALF_DIGIT, limit: mark.mm };
    let (value, spread) = share_used(marks, thinnest, uncertainty)?;
    let (source, whose) = if mark.is_makers {
        (Source::PartMark, "the maker's renewal mark")
    } else {
        (Source::CommonPractice, "a rule of thumb for renewal (common practice, no source)")
    };
    let text = format!(
        "lining {thinnest:.1} ± {uncertainty:.1} mm at the thinnest of {} point{} with {}; new {new:.1} mm, {whose} {:.1} mm: {} % used.",
        points.len(),
        plural(points.len()),
        reading.instrument.name,
        mark.mm,
        percent(value, spread)
    );
    Some(Estimate { value, uncertainty: spread, because: from_readings(&[reading], text, source) })
}

fn reason_not_inspected(inspection: &Inspection, corner: CornerName, pad: PadName) -> Option<&model::Line> {
    match inspection.corners.at(corner) {
        Inspected::NotInspected(reason) => Some(reason),
        Inspected::Seen(seen) => match pad {
            PadName::Outer => seen.outer_pad.reason(),
            PadName::Inner => seen.inner_pad.reason(),
        },
    }
}
