//! Wear of a face by its signs: touch, fibre pattern, colour.

use model::{CornerName, DiscMaterial, Evidence, Explanation, Face, FaceName, Figure, Inspected, Inspection, Source};

use super::sign::{self, Sign};
use crate::combine::combine;
use crate::explain::{Estimate, Notes, from_parts};
use crate::number::percent;

/// The wear of this face's surface, or nothing with the reason in the notes.
pub fn face(inspection: &Inspection, corner: CornerName, name: FaceName, notes: &mut Notes) -> Option<Figure> {
    let what = format!("The {} disc's {} face", corner.words(), name.words());
    if inspection.car.brakes.at(corner.axle()).material == DiscMaterial::Iron {
        notes.miss(format!("{what}: the signs of carbon-ceramic wear do not apply to an iron disc."));
        return None;
    }
    let face = match inspection.corners.at(corner) {
        Inspected::Seen(seen) => match name {
            FaceName::Outer => &seen.outer_face,
            FaceName::Inner => &seen.inner_face,
        },
        Inspected::NotInspected(reason) => {
            notes.miss(format!("{what}: not inspected, {reason}."));
            return None;
        }
    };
    match face {
        Inspected::Seen(seen) => estimate(seen, corner, name, &what, notes).map(Estimate::into_figure),
        Inspected::NotInspected(reason) => {
            notes.miss(format!("{what}: not inspected, {reason}."));
            None
        }
    }
}

fn estimate(seen: &Face, corner: CornerName, name: FaceName, what: &str, notes: &mut Notes) -> Option<Estimate> {
    let signs: Vec<Sign> =
        [seen.touch.map(sign::touch), seen.fibre_pattern.map(sign::pattern), seen.colour.map(sign::colour)]
            .into_iter()
            .flatten()
            .collect();
    let not_told: Vec<_> = [
        (seen.touch.is_none(), "touch"),
        (seen.fibre_pattern.is_none(), "fibre pattern"),
        (seen.colour.is_none(), "colour"),
    ]
    .into_iter()
    .filter_map(|(is_missing, kind)| is_missing.then_some(kind))
    .collect();
    if !not_told.is_empty() {
        notes.miss(format!("{what}: {} not told.", not_told.join(", ")));
    }
    let wider = sign::widening(seen.seen);
    let pairs: Vec<_> = signs.iter().map(|sign| (sign.value, sign.uncertainty * wider)).collect();
    let combined = combine(&pairs)?;
    let uncertainty = combined.uncertainty.max(sign::LEAST_UNCERTAINTY);
    let words: Vec<_> = signs.iter().map(|sign| format!("{} {}", sign.kind, sign.words)).collect();
    let mut text = format!(
        "Surface by its signs, seen {}: {}. They stand for {} % of the way from new to spent.",
        seen.seen.words(),
        words.join(", "),
        percent(combined.value, uncertainty)
    );
    if let Some((at, distance)) = combined.culprit {
        text += &format!(
            " They disagree by more than their uncertainties allow (χ² {:.1}), so the uncertainty is widened {:.1} times.",
            combined.chi_squared, combined.birge_ratio
        );
        notes.remark(
            format!(
                "{what}: the signs disagree ({}); farthest off, by {distance:.1} standard deviations, is its {}.",
                words.join(", "),
                signs[at].kind
            ),
            vec![Evidence::Face { corner, face: name }],
        );
    }
    let parts = signs
        .iter()
        .map(|sign| Explanation {
            text: format!(
                "{} {}: {} %, a figure of the project's for a sign of the trade.",
                sign.kind,
                sign.words,
                percent(sign.value, sign.uncertainty * wider)
            ),
            source: Source::ProjectAssumption,
            evidence: vec![Evidence::Face { corner, face: name }],
            parts: Vec::new(),
        })
        .collect();
    let because = from_parts(text, Source::CommonPractice, parts);
    Some(Estimate { value: combined.value, uncertainty, because })
}
