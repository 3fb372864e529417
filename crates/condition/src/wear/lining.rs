//! Wear of a pad's lining against its renewal mark.

use model::{CornerName, Figure, Inspected, Inspection, PadName, Source};

use super::share_used;
use crate::combine::mean_of_points;
use crate::explain::{Estimate, Notes, from_readings, plural};
use crate::mark::{find_thinnest, lining_mark};
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
    let uncertainty = reading.base_uncertainty();
    let Some((value, spread)) = share_used(new, mark.mm, thinnest, uncertainty) else {
        notes.miss(format!("{what}: new and mark are the same, {new:.1} mm, so that no share follows."));
        return None;
    };
    let points: Vec<_> = reading.base_values().collect();
    let (mean, _) = mean_of_points(&points, uncertainty);
    let (source, whose) = if mark.is_makers {
        (Source::PartMark, "the maker's renewal mark")
    } else {
        (Source::CommonPractice, "a rule of thumb for renewal (common practice, no source)")
    };
    let text = format!(
        "lining {thinnest:.1} ± {uncertainty:.1} mm at the thinnest of {} point{} (mean {mean:.1} mm) with {}; new {new:.1} mm, {whose} {:.1} mm: {} % used.",
        points.len(),
        plural(points.len()),
        reading.instrument.name,
        mark.mm,
        percent(value, spread)
    );
    let because = from_readings(&[reading], text, source);
    Some(Estimate { value, uncertainty: spread, because }.into_figure())
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
