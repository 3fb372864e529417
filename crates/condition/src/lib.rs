//! How worn, why, how far, what warns, what it costs, and the answer in words. Pure: the same inspection gives the same
//! reckoning, to the bit, on every machine.
//!
//! This is method 1. Wear comes first, part by part; differences and causes follow from it, then the distance left, the
//! cost, and at last the words. Data flows in that order only.

mod answer;
mod asymmetry;
mod cause;
mod chance;
mod combine;
mod cost;
mod disc_part;
mod distance;
mod explain;
mod faces_apart;
#[cfg(feature = "inside")]
pub mod inside;
pub mod letter;
mod life;
mod mark;
mod measured;
mod number;
mod renewal;
mod rule;
mod stage;
mod warning;
mod wear;

use explain::Notes;
pub use faces_apart::{FaceDifference, compare_faces};
pub use life::Draws;
use model::{
    CornerName, CornerReckoning, FaceName, Inspection, MethodVersion, PadName, PerCorner, Reckoning, Sentence,
};

/// The version of the method that [`reckon`] follows.
pub const METHOD: MethodVersion = MethodVersion(1);

/// What the findings come to. Wear is a share, 0 as new and 1 at the mark, with one standard deviation and the 95 %
/// interval of a normal distribution; distances are in kilometres; money is in the currency of the price basis.
///
/// Missing evidence gives no figure and is listed; nothing is guessed, and no inspection makes it fail.
pub fn reckon(inspection: &Inspection) -> Reckoning {
    reckon_with(inspection, Draws::OF_METHOD)
}

/// [`reckon`] with another number of draws for the distances, which alone depend on it: for tests of everything else over
/// many cars. What a record holds always has the method's own number.
pub fn reckon_with(inspection: &Inspection, draws: Draws) -> Reckoning {
    let mut remarks = PerCorner::from_fn(|_| Vec::new());
    let mut corners = PerCorner::from_fn(|corner| {
        let (reckoned, said) = reckon_wear(inspection, corner);
        *remarks.at_mut(corner) = said;
        reckoned
    });
    let asymmetries = asymmetry::list(&corners);
    for &corner in CornerName::ALL {
        let cause = cause::reckon(inspection, corner, corners.at(corner), &asymmetries);
        corners.at_mut(corner).cause = cause;
    }
    let next_look = cause::find_next_look(inspection, &corners, &asymmetries);
    let lives = life::reckon(inspection, &corners, draws);
    let cost = cost::reckon(inspection, &corners, &lives);
    for (corner, life) in lives.corners.into_each() {
        corners.at_mut(corner).life = life;
    }
    let distance = distance::compare(inspection);
    let measured = measured::list(inspection);
    let drive_warnings = warning::list(inspection);
    let answer = answer::write(&answer::Findings {
        inspection,
        corners: &corners,
        remarks: &remarks,
        asymmetries: &asymmetries,
        distance: &distance,
        measured: &measured,
        next_look: next_look.as_ref(),
        warnings: &drive_warnings,
        cost: cost.as_ref(),
    });
    Reckoning { method: METHOD, corners, asymmetries, distance, measured, next_look, drive_warnings, cost, answer }
}

/// How worn everything at this corner is; cause and life follow from it later.
fn reckon_wear(inspection: &Inspection, corner: CornerName) -> (CornerReckoning, Vec<Sentence>) {
    let mut notes = Notes::default();
    let bulk = wear::bulk(inspection, corner, &mut notes);
    let outer_face = wear::face(inspection, corner, FaceName::Outer, &mut notes);
    let inner_face = wear::face(inspection, corner, FaceName::Inner, &mut notes);
    let outer_pad = wear::lining(inspection, corner, PadName::Outer, &mut notes);
    let inner_pad = wear::lining(inspection, corner, PadName::Inner, &mut notes);
    let disc = [&bulk, &outer_face, &inner_face];
    let pads = [&outer_pad, &inner_pad];
    let is_used_up = PadName::ALL.iter().any(|&pad| mark::find_used_up(inspection, corner, pad).is_some());
    let reckoned = CornerReckoning {
        disc_stage: stage::of_disc(disc, mark::is_worn_out(inspection, corner)),
        disc_chances: stage::chances_of_disc(disc),
        pad_stage: stage::of_pads(pads, is_used_up),
        pad_chances: stage::chances_of_pads(pads),
        bulk,
        outer_face,
        inner_face,
        outer_pad,
        inner_pad,
        cause: None,
        life: life::not_yet(),
        missing: notes.missing,
    };
    (reckoned, notes.remarks)
}
