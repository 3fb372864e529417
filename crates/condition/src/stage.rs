//! From wear to a stage. The borders are the project's assumption; wear is always shown beside the word.

use model::{Figure, Stage};

/// Below this share a thing counts as new.
const PART_WORN_FROM: f64 = 0.25;
/// From this share on a thing counts as at the end of its life. Under 1, since the signs of a spent face stand at 0.88
/// to 0.95, and since a disc with a tenth of its allowance left is renewed with its axle.
const END_OF_LIFE_FROM: f64 = 0.9;

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

/// The worst stage of those that are known; at the end of its life whatever they say where a reading lies beyond the
/// part's own mark.
pub fn worst<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>, is_beyond_mark: bool) -> Stage {
    if is_beyond_mark {
        return Stage::EndOfLife;
    }
    let worst = figures.into_iter().flatten().max_by(|a, b| a.value.total_cmp(&b.value));
    worst.map_or(Stage::Unknown, of)
}

/// Whether a figure under the mark may in truth be at it: its 95 % interval reaches 1.
pub fn may_be_at_mark(figure: &Figure) -> bool {
    figure.value < 1.0 && figure.high >= 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use model::{Explanation, Source};

    fn figure(value: f64) -> Figure {
        let because =
            Explanation { text: String::new(), source: Source::Arithmetic, evidence: Vec::new(), parts: Vec::new() };
        Figure { value, uncertainty: 0.05, low: value - 0.098, high: value + 0.098, because }
    }

    fn worst_of(values: &[f64], is_beyond_mark: bool) -> Stage {
        worst(&values.iter().map(|&value| Some(figure(value))).chain([None]).collect::<Vec<_>>(), is_beyond_mark)
    }

    #[test]
    fn the_worst_figure_decides_and_no_figure_decides_nothing() {
        assert_eq!(worst_of(&[0.1, 0.93], false), Stage::EndOfLife);
        assert_eq!(worst_of(&[0.1, 0.3], false), Stage::PartWorn);
        assert_eq!(worst_of(&[-0.02], false), Stage::New);
        assert_eq!(worst_of(&[], false), Stage::Unknown);
    }

    #[test]
    fn a_reading_beyond_the_mark_outranks_every_figure() {
        assert_eq!(worst_of(&[0.1], true), Stage::EndOfLife);
        assert_eq!(worst_of(&[], true), Stage::EndOfLife);
    }

    #[test]
    fn an_interval_that_reaches_the_mark_is_told_from_one_that_does_not() {
        assert!(may_be_at_mark(&figure(0.95)));
        assert!(!may_be_at_mark(&figure(0.85)));
        assert!(!may_be_at_mark(&figure(1.02)), "it is at it");
    }
}
