//! Wear of a face by its signs: touch, fibre pattern, colour.

use model::{
    Colour, CornerName, DiscMaterial, Evidence, Explanation, Face, FaceName, FibrePattern, Figure, HowSeen, Inspected,
    Inspection, Source, Touch,
};

use crate::combine::combine;
use crate::explain::{Estimate, from_parts};

/// Where a sign stands between new and spent, and how sure that is, as shares. What the signs mean is common practice
/// without a source; the figures are the project's assumption.
struct Sign {
    words: &'static str,
    value: f64,
    uncertainty: f64,
}

const fn touch(sign: Touch) -> Sign {
    let (value, uncertainty) = match sign {
        Touch::Slick => (0.30, 0.20),
        Touch::SlightlyRough => (0.65, 0.15),
        Touch::Abrasive => (0.95, 0.10),
    };
    Sign { words: sign.words(), value, uncertainty }
}

const fn pattern(sign: FibrePattern) -> Sign {
    let (value, uncertainty) = match sign {
        FibrePattern::Faint => (0.12, 0.12),
        FibrePattern::Clear => (0.50, 0.17),
        FibrePattern::Crowded => (0.92, 0.12),
    };
    Sign { words: sign.words(), value, uncertainty }
}

const fn colour(sign: Colour) -> Sign {
    let (value, uncertainty) = match sign {
        Colour::NearBlack => (0.15, 0.18),
        Colour::DarkGrey => (0.50, 0.20),
        Colour::Greyed => (0.88, 0.17),
    };
    Sign { words: sign.words(), value, uncertainty }
}

/// How much less sure a sign is when the face was not seen freely (project assumption).
const fn widening(seen: HowSeen) -> f64 {
    match seen {
        HowSeen::WheelOff => 1.0,
        HowSeen::Mirror => 1.5,
        HowSeen::ThroughWheel => 1.7,
    }
}

/// The wear of this face's surface, or nothing with the reason in `missing`.
pub fn face(inspection: &Inspection, corner: CornerName, name: FaceName, missing: &mut Vec<String>) -> Option<Figure> {
    let what = format!("The {} disc's {} face", corner.words(), name.words());
    if inspection.car.brakes.at(corner.axle()).material == DiscMaterial::Iron {
        missing.push(format!("{what}: the signs of carbon-ceramic wear do not apply to an iron disc."));
        return None;
    }
    let face = match inspection.corners.at(corner) {
        Inspected::Seen(seen) => match name {
            FaceName::Outer => &seen.outer_face,
            FaceName::Inner => &seen.inner_face,
        },
        Inspected::NotInspected(reason) => {
            missing.push(format!("{what}: not inspected, {reason}."));
            return None;
        }
    };
    let seen = match face {
        Inspected::Seen(seen) => seen,
        Inspected::NotInspected(reason) => {
            missing.push(format!("{what}: not inspected, {reason}."));
            return None;
        }
    };
    if seen.touch.is_none() {
        missing.push(format!("{what}: not touched."));
    }
    estimate(seen, corner, name).map(Estimate::into_figure)
}

fn estimate(seen: &Face, corner: CornerName, name: FaceName) -> Option<Estimate> {
    let signs: Vec<_> = [
        seen.touch.map(|sign| ("touch", touch(sign))),
        seen.fibre_pattern.map(|sign| ("fibre pattern", pattern(sign))),
        seen.colour.map(|sign| ("colour", colour(sign))),
    ]
    .into_iter()
    .flatten()
    .collect();
    let wider = widening(seen.seen);
    let pairs: Vec<_> = signs.iter().map(|(_, sign)| (sign.value, sign.uncertainty * wider)).collect();
    let combined = combine(&pairs)?;
    // The signs show the same change of the same surface: agreeing, they do not make each other much surer.
    let uncertainty = combined.uncertainty.max(0.08);
    let words: Vec<_> = signs.iter().map(|(kind, sign)| format!("{kind} {}", sign.words)).collect();
    let mut text = format!(
        "Surface by its signs, seen {}: {}. They stand for {:.0} ± {:.0} % of the way from new to spent.",
        seen.seen.words(),
        words.join(", "),
        combined.value * 100.0,
        uncertainty * 100.0
    );
    if let Some((at, distance)) = combined.culprit {
        text += &format!(" The signs disagree; farthest off, by {distance:.1} standard deviations: {}.", signs[at].0);
    }
    let parts = signs
        .iter()
        .map(|(kind, sign)| Explanation {
            text: format!(
                "{kind} {}: {:.0} ± {:.0} %, a figure of the project's for a sign of the trade.",
                sign.words,
                sign.value * 100.0,
                sign.uncertainty * wider * 100.0
            ),
            source: Source::ProjectAssumption,
            evidence: vec![Evidence::Face { corner, face: name }],
            parts: Vec::new(),
        })
        .collect();
    let because = from_parts(text, Source::CommonPractice, parts);
    Some(Estimate { value: combined.value, uncertainty, because })
}
