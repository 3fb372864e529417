//! How a car wore from visit to visit.

use model::{Figure, PerCorner, parse_inspection};
use notebook::Notebook;
use serde_json::Value;

use super::{VisitCorner, VisitView, VisitsView, WearRange, draft, error::DoorError};

/// The car's visits in this notebook, each reckoned as it stands.
pub(super) fn list(book: &Notebook, inspection: &str) -> Result<VisitsView, DoorError> {
    let own = book.draft(&draft::name(inspection)?)?;
    let text = |path: &str| own.values.get(path).and_then(Value::as_str);
    let mut visits = Vec::new();
    for line in book.visits_of(text("car.vin"), text("car.registration"))? {
        let folded = book.draft(&draft::name(&line.id)?)?.fold();
        // One that contradicts itself says nothing yet.
        let Ok(inspection) = parse_inspection(folded.document.to_string().as_bytes()) else { continue };
        let reckoning = condition::reckon_with(&inspection, draft::FEW);
        visits.push(VisitView {
            id: line.id,
            visited_at: inspection.visited_at.to_rfc3339(),
            km: Some(inspection.car.odometer.km()).filter(|km| *km > 0.0),
            corners: PerCorner::from_fn(|corner| {
                let parts = reckoning.corners.at(corner);
                VisitCorner {
                    disc: worst([&parts.bulk, &parts.outer_face, &parts.inner_face]),
                    pads: worst([&parts.outer_pad, &parts.inner_pad]),
                }
            }),
        });
    }
    visits.sort_by(|one, other| one.visited_at.cmp(&other.visited_at));
    Ok(VisitsView { visits })
}

fn worst<const N: usize>(figures: [&Option<Figure>; N]) -> Option<WearRange> {
    let worst = figures.into_iter().flatten().max_by(|one, other| one.value.total_cmp(&other.value))?;
    Some(WearRange { value: worst.value, low: worst.low, high: worst.high })
}
