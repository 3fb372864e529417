//! How worn, what warns, what it costs, and the answer in words. Pure: the same inspection gives the same reckoning,
//! to the bit, on every machine.
//!
//! This is method 1, a plain first reckoning. It says how worn each thing is against its own marks and what follows
//! from that by named rules. It does not say why a disc wore or how far it will go.

mod answer;
mod combine;
mod cost;
mod explain;
mod mark;
mod number;
mod stage;
mod warning;
mod wear;

use explain::Notes;
use model::{
    CornerName, CornerReckoning, FaceName, Inspection, MethodVersion, PadName, PerCorner, Reckoning, Sentence,
};

/// The version of the method that [`reckon`] follows.
pub const METHOD: MethodVersion = MethodVersion(1);

/// What the findings come to. Wear is a share, 0 as new and 1 at the mark, with one standard deviation and the 95 %
/// interval of a normal distribution; money is in the currency of the price basis.
///
/// Missing evidence gives no figure and is listed; nothing is guessed, and no inspection makes it fail.
pub fn reckon(inspection: &Inspection) -> Reckoning {
    let mut remarks = PerCorner::from_fn(|_| Vec::new());
    let corners = PerCorner::from_fn(|corner| {
        let (reckoned, said) = reckon_corner(inspection, corner);
        *remarks.at_mut(corner) = said;
        reckoned
    });
    let drive_warnings = warning::list(inspection);
    let cost = cost::reckon(inspection, &corners);
    let answer = answer::write(&answer::Findings {
        inspection,
        corners: &corners,
        remarks: &remarks,
        warnings: &drive_warnings,
        cost: cost.as_ref(),
    });
    Reckoning { method: METHOD, corners, drive_warnings, cost, answer }
}

fn reckon_corner(inspection: &Inspection, corner: CornerName) -> (CornerReckoning, Vec<Sentence>) {
    let mut notes = Notes::default();
    let bulk = wear::bulk(inspection, corner, &mut notes);
    let outer_face = wear::face(inspection, corner, FaceName::Outer, &mut notes);
    let inner_face = wear::face(inspection, corner, FaceName::Inner, &mut notes);
    let outer_pad = wear::lining(inspection, corner, PadName::Outer, &mut notes);
    let inner_pad = wear::lining(inspection, corner, PadName::Inner, &mut notes);
    let disc_stage = stage::of_disc([&bulk, &outer_face, &inner_face], mark::is_worn_out(inspection, corner));
    let is_used_up = PadName::ALL.iter().any(|&pad| mark::find_used_up(inspection, corner, pad).is_some());
    let pad_stage = stage::of_pads([&outer_pad, &inner_pad], is_used_up);
    let missing = notes.missing;
    let reckoned =
        CornerReckoning { bulk, outer_face, inner_face, outer_pad, inner_pad, disc_stage, pad_stage, missing };
    (reckoned, notes.remarks)
}
