//! What an earlier look at a face says of it today.

use model::{CornerName, Evidence, FaceName, Inspection, Source};

use super::surface::face_then;
use crate::explain::{Estimate, from_parts};
use crate::number::{kilometres, percent};
use crate::rule::DISC_BY_THUMB;

/// A face wears at most so many times faster than the rule of thumb has it (project assumption).
const FASTEST: f64 = 2.0;

/// Each earlier look at this face, carried forward to today. Since then it has worn by something between nothing and
/// what the distance since then can do at the fastest: rectangular (JCGM 100:2008, 4.3.7). Looks from before the disc was
/// replaced say nothing of it.
pub fn grown_since(inspection: &Inspection, corner: CornerName, name: FaceName) -> Vec<Estimate> {
    let now = inspection.car.odometer.km();
    let of_this = |(index, visit): (usize, &model::PriorVisit)| {
        let seen = visit.faces.iter().find(|face| (face.corner, face.face) == (corner, name))?;
        let then = face_then(seen)?;
        let since = (now - visit.odometer.km()).max(0.0);
        let most = FASTEST * since / DISC_BY_THUMB.km;
        let (value, grown) = (then.value + most / 2.0, most / 12.0_f64.sqrt());
        let uncertainty = libm::hypot(then.uncertainty, grown);
        let text = format!(
            "On {} it was seen {} before: {} % then. Worn since by 0 to {} %, the most being twice the rule of thumb (project assumption): {} % today.",
            visit.on,
            kilometres(since),
            percent(then.value, then.uncertainty),
            (most * 100.0).round(),
            percent(value, uncertainty)
        );
        let mut because = from_parts(text, Source::ProjectAssumption, vec![then.into_step()]);
        because.evidence.push(Evidence::EarlierVisit { index });
        Some(Estimate { value, uncertainty, because })
    };
    let first = first_visit_of_this_disc(inspection, corner);
    inspection.car.prior_visits.iter().enumerate().skip(first).filter_map(of_this).collect()
}

/// The place of the first visit that saw the disc that is fitted now. Where it is not known when a disc was replaced,
/// it was so since the last visit.
pub fn first_visit_of_this_disc(inspection: &Inspection, corner: CornerName) -> usize {
    let visits = &inspection.car.prior_visits;
    let replaced = inspection.car.discs_replaced.iter().filter(|replaced| replaced.corner == corner);
    let after = replaced.map(|replaced| match replaced.at_km {
        Some(km) => visits.iter().position(|visit| visit.odometer.km() >= km.value()).unwrap_or(visits.len()),
        None => visits.len(),
    });
    after.max().unwrap_or(0)
}
