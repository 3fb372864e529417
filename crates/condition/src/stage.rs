//! From wear to a stage. The borders are the project's assumption; the report prints wear beside the word.

use model::{Figure, Stage};

/// Below this share a thing counts as new.
pub const PART_WORN_FROM: f64 = 0.25;
/// From this share on a thing counts as at the end of its life: what is left lies within what can be told.
pub const END_OF_LIFE_FROM: f64 = 0.9;

/// The stage of one figure, by its best value.
pub fn of(figure: &Figure) -> Stage {
    if figure.value >= END_OF_LIFE_FROM {
        Stage::EndOfLife
    } else if figure.value >= PART_WORN_FROM {
        Stage::PartWorn
    } else {
        Stage::New
    }
}

/// The worst stage of those that are known.
pub fn worst<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>) -> Stage {
    let worst = figures.into_iter().flatten().max_by(|a, b| a.value.total_cmp(&b.value));
    worst.map_or(Stage::Unknown, of)
}
