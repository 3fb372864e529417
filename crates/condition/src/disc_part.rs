//! The parts of a disc whose wear is told, and their words.

use model::{CornerName, CornerReckoning, Figure};

/// What its mass, thickness or electrical value tells.
pub const WHOLE: &str = "whole disc";

/// The figures of a disc with the words for each.
pub fn parts(corner: &CornerReckoning) -> [(&'static str, Option<&Figure>); 3] {
    [
        (WHOLE, corner.bulk.as_ref()),
        ("outer face", corner.outer_face.as_ref()),
        ("inner face", corner.inner_face.as_ref()),
    ]
}

/// The part of a disc that is worn most, with its figure.
pub fn find_worst(corner: &CornerReckoning) -> Option<(&'static str, &Figure)> {
    let known = parts(corner).into_iter().filter_map(|(what, figure)| Some((what, figure?)));
    known.max_by(|a, b| a.1.value.total_cmp(&b.1.value))
}

/// "the front left disc's inner face"; "the front left disc as a whole".
pub fn part_of(corner: CornerName, what: &str) -> String {
    let disc = corner.words();
    if what == WHOLE { format!("the {disc} disc as a whole") } else { format!("the {disc} disc's {what}") }
}
