//! Wear of a face by its signs: touch, fibre pattern, colour, and the stage that its photograph is most like.

use model::{
    CornerName, DiscMaterial, EarlierFace, Evidence, Explanation, Face, FaceName, Figure, HowSeen, Inspected,
    Inspection, Label, Source,
};

use super::earlier::least_today;
use super::sign::{self, Sign};
use crate::combine::combine;
use crate::explain::{Estimate, Notes, agreement, from_evidence, from_parts, say_disagreement};
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
    let now = match face {
        Inspected::Seen(seen) => {
            let photographed = photographed(inspection, corner, name, &what, notes);
            look(seen, photographed, (corner, name), &what, notes)
        }
        Inspected::NotInspected(reason) => {
            notes.miss(format!("{what}: not inspected, {reason}."));
            return None;
        }
    }?;
    Some(together(inspection, corner, name, now, notes).into_figure())
}

/// The wear of this face's surface as an earlier visit saw it.
pub fn face_then(seen: &EarlierFace) -> Option<Estimate> {
    let signs = list_signs(seen.touch, seen.fibre_pattern, seen.colour);
    by_signs(&signs, seen.seen, &Evidence::Face { corner: seen.corner, face: seen.face }, None)
}

/// The stage that the face's photograph is most like, as one more sign.
fn photographed(
    inspection: &Inspection,
    corner: CornerName,
    face: FaceName,
    what: &str,
    notes: &mut Notes,
) -> Option<(Sign, Label)> {
    let (id, measured) = inspection.find_measured_face(corner, face)?;
    let proposal = measured.proposal.as_ref()?;
    if proposal.stage.is_none() {
        notes.remark(
            format!(
                "{what}: in its photograph it is unlike any of the inspector's {} references, so the photograph says nothing of its wear.",
                proposal.references
            ),
            vec![Evidence::Photograph { id: id.clone() }],
        );
    }
    Some((sign::photograph(proposal.stage?), id.clone()))
}

fn list_signs(
    touch: Option<model::Touch>,
    pattern: Option<model::FibrePattern>,
    colour: Option<model::Colour>,
) -> Vec<Sign> {
    [touch.map(sign::touch), pattern.map(sign::pattern), colour.map(sign::colour)].into_iter().flatten().collect()
}

/// What today's look alone says.
fn look(
    seen: &Face,
    photographed: Option<(Sign, Label)>,
    (corner, name): (CornerName, FaceName),
    what: &str,
    notes: &mut Notes,
) -> Option<Estimate> {
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
    let mut signs = list_signs(seen.touch, seen.fibre_pattern, seen.colour);
    signs.extend(photographed.as_ref().map(|(sign, _)| *sign));
    let face = Evidence::Face { corner, face: name };
    let photograph = photographed.map(|(_, id)| Evidence::Photograph { id });
    let estimate = by_signs(&signs, seen.seen, &face, photograph.as_ref())?;
    if let Some(culprit) = estimate.because.agreement.as_ref().and_then(|agreement| agreement.culprit) {
        notes.remark(
            format!(
                "{what}: the signs disagree ({}); farthest off, by {:.1} standard deviations, is its {}.",
                say(&signs),
                culprit.deviations,
                signs[culprit.part as usize].kind
            ),
            std::iter::once(face).chain(photograph).collect(),
        );
    }
    Some(estimate)
}

fn say(signs: &[Sign]) -> String {
    let words: Vec<_> = signs.iter().map(|sign| format!("{} {}", sign.kind, sign.words)).collect();
    words.join(", ")
}

/// The last sign is the photograph's where there is one.
fn by_signs(signs: &[Sign], seen: HowSeen, face: &Evidence, photograph: Option<&Evidence>) -> Option<Estimate> {
    let wider = sign::widening(seen);
    let pairs: Vec<_> = signs.iter().map(|sign| (sign.value, sign.uncertainty * wider)).collect();
    let combined = combine(&pairs)?;
    let uncertainty = combined.uncertainty.max(sign::LEAST_UNCERTAINTY);
    let mut text = format!(
        "Surface by its signs, seen {}: {}. They stand for {} % of the way from new to spent.",
        seen.words(),
        say(signs),
        percent(combined.value, uncertainty)
    );
    text += &say_disagreement(&combined, pairs.len());
    let parts = signs
        .iter()
        .zip(&pairs)
        .enumerate()
        .map(|(place, (sign, &(value, uncertainty)))| {
            let on = photograph.filter(|_| place + 1 == signs.len()).unwrap_or(face);
            let text = format!(
                "{} {}: {} %, a figure of the project's for a sign of the trade.",
                sign.kind,
                sign.words,
                percent(value, uncertainty)
            );
            let because = from_evidence(text, Source::ProjectAssumption, vec![on.clone()]);
            Estimate { value, uncertainty, because }.into_step()
        })
        .collect();
    let agreement = agreement(&combined, pairs.len());
    let because = Explanation { agreement, ..from_parts(text, Source::CommonPractice, parts) };
    Some(Estimate { value: combined.value, uncertainty, because })
}

/// Today's look; where an earlier one found the face more worn, both together.
fn together(inspection: &Inspection, corner: CornerName, name: FaceName, now: Estimate, notes: &mut Notes) -> Estimate {
    let Some(then) = least_today(inspection, corner, name).filter(|then| then.value > now.value) else { return now };
    let pairs = [(now.value, now.uncertainty), (then.value, then.uncertainty)];
    let Some(combined) = combine(&pairs) else { return now };
    let uncertainty = combined.uncertainty.max(sign::LEAST_UNCERTAINTY);
    let mut text = format!(
        "Surface by today's look and an earlier one that found it more worn: {} %.",
        percent(combined.value, uncertainty)
    );
    text += &say_disagreement(&combined, pairs.len());
    if combined.outlier.is_some() {
        let evidence = vec![Evidence::Face { corner, face: name }];
        notes.remark(
            format!(
                "The {} disc's {} face looks less worn than before: either one of the looks is wrong, or it is another disc. {}",
                corner.words(),
                name.words(),
                then.because.text
            ),
            evidence.into_iter().chain(then.because.evidence.clone()).collect(),
        );
    }
    let agreement = agreement(&combined, pairs.len());
    let because =
        Explanation { agreement, ..from_parts(text, Source::Arithmetic, vec![now.into_step(), then.into_step()]) };
    Estimate { value: combined.value, uncertainty, because }
}
