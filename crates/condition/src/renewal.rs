//! What is to be renewed: by its wear, or because it is broken, whatever it measures.

use model::{Corner, CornerName, CornerReckoning, CrackExtent, Defect, DefectKind, Inspection, Pad, PadName, Stage};

use crate::mark::find_used_up;

/// Why a set of pads is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PadsDue {
    /// A lining is at its mark, or counts as if it were.
    UsedUp,
    /// A lining crumbles.
    Crumbling,
}

impl PadsDue {
    /// It in words, of one pad.
    pub const fn words(self) -> &'static str {
        match self {
            Self::UsedUp => "is at its mark",
            Self::Crumbling => "crumbles",
        }
    }
}

/// Whether this disc is due.
pub fn is_disc_due(inspection: &Inspection, name: CornerName, corner: &CornerReckoning) -> bool {
    corner.disc_stage == Stage::EndOfLife || inspection.corners.at(name).seen().is_some_and(is_broken)
}

/// Why this pad is due, if it is.
pub fn find_pad_due(inspection: &Inspection, name: CornerName, which: PadName) -> Option<PadsDue> {
    if find_used_up(inspection, name, which).is_some() {
        return Some(PadsDue::UsedUp);
    }
    let pad = inspection.corners.at(name).seen().and_then(|corner| seen_pad(corner, which));
    pad.is_some_and(crumbles).then_some(PadsDue::Crumbling)
}

/// The pad of a corner, where it was seen.
pub fn seen_pad(corner: &Corner, which: PadName) -> Option<&Pad> {
    match which {
        PadName::Outer => corner.outer_pad.seen(),
        PadName::Inner => corner.inner_pad.seen(),
    }
}

/// Whether a lining comes apart. Common practice, no source.
pub fn crumbles(pad: &Pad) -> bool {
    pad.crumbling == Some(true)
}

/// Whether a crack goes so far that the disc is not to be driven with. Common practice, no source.
pub const fn goes_too_far(extent: CrackExtent) -> bool {
    matches!(extent, CrackExtent::HoleToEdge | CrackExtent::Through)
}

fn is_broken(corner: &Corner) -> bool {
    let breaks = |defect: &Defect| defect.kind == DefectKind::Crack && defect.extent.is_some_and(goes_too_far);
    [&corner.outer_face, &corner.inner_face]
        .into_iter()
        .any(|face| face.seen().is_some_and(|seen| seen.defects.iter().any(breaks)))
}
