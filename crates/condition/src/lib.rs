//! How worn, what warns, what it costs, and the answer in words. Pure: the same inspection gives the same reckoning,
//! to the bit, on every machine.
//!
//! This is method 1, a plain first reckoning. It says how worn each thing is against its own marks and what follows
//! from that by named rules. It does not say why a disc wore or how far it will go.

mod answer;
mod combine;
mod cost;
mod explain;
mod stage;
mod warning;
mod wear;

use model::{CornerReckoning, Inspection, MethodVersion, PerCorner, Reckoning};

/// The version of the method that [`reckon`] follows.
pub const METHOD: MethodVersion = MethodVersion(1);

/// What the findings come to. Missing evidence gives no figure and is listed; nothing is guessed.
pub fn reckon(inspection: &Inspection) -> Reckoning {
    let corners = PerCorner::from_fn(|corner| reckon_corner(inspection, corner));
    let drive_warnings = warning::list(inspection);
    let cost = cost::reckon(inspection, &corners);
    let answer = answer::write(inspection, &corners, &drive_warnings, cost.as_ref());
    Reckoning { method: METHOD, corners, drive_warnings, cost, answer }
}

fn reckon_corner(inspection: &Inspection, corner: model::CornerName) -> CornerReckoning {
    use model::{FaceName, PadName};

    let mut missing = Vec::new();
    let bulk = wear::bulk(inspection, corner, &mut missing);
    let outer_face = wear::face(inspection, corner, FaceName::Outer, &mut missing);
    let inner_face = wear::face(inspection, corner, FaceName::Inner, &mut missing);
    let outer_pad = wear::lining(inspection, corner, PadName::Outer, &mut missing);
    let inner_pad = wear::lining(inspection, corner, PadName::Inner, &mut missing);
    let disc_stage = stage::worst([&bulk, &outer_face, &inner_face]);
    let pad_stage = stage::worst([&outer_pad, &inner_pad]);
    CornerReckoning { bulk, outer_face, inner_face, outer_pad, inner_pad, disc_stage, pad_stage, missing }
}
