//! Wear of a pad's lining against its renewal mark.

use model::{CornerName, Figure, Inspection, Measurand, PadName, Source};

use super::share_used;
use crate::combine::mean_of_points;
use crate::explain::{Estimate, from_reading};

/// Where the maker's mark is not known: common practice says 2 to 3 mm, no source. The careful end is taken.
const RULE_OF_THUMB_MARK_MM: f64 = 3.0;

/// The wear of this pad's lining at its thinnest measured point, or nothing with the reason in `missing`.
pub fn lining(inspection: &Inspection, corner: CornerName, pad: PadName, missing: &mut Vec<String>) -> Option<Figure> {
    let what = format!("The {} {} pad", corner.words(), pad.words());
    let fitment = inspection.car.pads(corner.axle());
    let Some(reading) = inspection.readings_of(Measurand::Lining { corner, pad }).last() else {
        missing.push(format!("{what}: its lining was not measured."));
        return None;
    };
    let Some(new) = fitment.lining_new_mm.map(model::Millimetre::value) else {
        missing.push(format!("{what}: the lining's thickness when new is not known, so no share follows from it."));
        return None;
    };
    let points: Vec<_> = reading.base_values().collect();
    let (mean, _) = mean_of_points(&points, reading.base_uncertainty());
    // A tapered lining is used up where it is thinnest.
    let thinnest = points.iter().copied().fold(f64::INFINITY, f64::min);
    let uncertainty = reading.base_uncertainty();
    let (mark, source, whose) = match fitment.renewal_mark_mm {
        Some(mark) => (mark.value(), Source::PartMark, "the maker's renewal mark"),
        None => {
            (RULE_OF_THUMB_MARK_MM, Source::CommonPractice, "a rule of thumb for renewal (common practice, no source)")
        }
    };
    let (value, spread) = share_used(new, mark, thinnest, uncertainty)?;
    let text = format!(
        "lining {thinnest:.1} ± {uncertainty:.1} mm at its thinnest of {} point{} (mean {mean:.1} mm, {}); new {new:.1} mm, {whose} {mark:.1} mm: {:.0} ± {:.0} % used.",
        points.len(),
        if points.len() == 1 { "" } else { "s" },
        reading.instrument.name,
        value * 100.0,
        spread * 100.0
    );
    Some(Estimate { value, uncertainty: spread, because: from_reading(reading, text, source) }.into_figure())
}
