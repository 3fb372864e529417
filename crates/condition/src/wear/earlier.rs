//! What earlier looks at a face say of it today: it never grows less worn.

use model::{CornerName, Evidence, FaceName, Inspection, Source};

use super::surface::face_then;
use crate::explain::{Estimate, from_parts};
use crate::number::percent;

/// The earlier look that found this face most worn, as the least that it can be today; none where nobody looked, or only
/// before the disc was replaced.
pub fn least_today(inspection: &Inspection, corner: CornerName, name: FaceName) -> Option<Estimate> {
    let first = first_visit_of_this_disc(inspection, corner);
    let looks = inspection.car.prior_visits.iter().enumerate().skip(first).filter_map(|(index, visit)| {
        let seen = visit.faces.iter().find(|face| (face.corner, face.face) == (corner, name))?;
        Some((index, visit.on, face_then(seen)?))
    });
    let (index, on, then) = looks.max_by(|a, b| a.2.value.total_cmp(&b.2.value).then(a.0.cmp(&b.0)))?;
    let text = format!("On {on} it was at {} %, and no face grows less worn.", percent(then.value, then.uncertainty));
    let (value, uncertainty) = (then.value, then.uncertainty);
    let mut because = from_parts(text, Source::CommonPractice, vec![then.into_step()]);
    because.evidence.push(Evidence::EarlierVisit { index: index as u32 });
    Some(Estimate { value, uncertainty, because })
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
