//! From wear to a stage. The borders are the project's assumption; wear is always shown beside the word.

use model::{Figure, Stage, StageChances};

use crate::chance;

/// Below this share a thing counts as new.
pub const PART_WORN_FROM: f64 = 0.25;
/// From this share on a disc counts as at the end of its life. Under 1, since the signs of a spent face stand at 0.88
/// to 0.95, and since a disc with a tenth of its allowance left is renewed with its axle.
pub const SPENT_FROM: f64 = 0.9;

/// The stage of a disc by its most worn figure; at the end of its life whatever they say where a reading lies beyond
/// the disc's own mark.
pub fn of_disc<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>, is_beyond_mark: bool) -> Stage {
    match find_worst(figures) {
        _ if is_beyond_mark => Stage::EndOfLife,
        Some(share) if share >= SPENT_FROM => Stage::EndOfLife,
        share => stage_before_the_end(share),
    }
}

/// The stage of a corner's pads by the more worn one. A lining is measured against a mark that keeps its own margin:
/// pads are at the end of their life at the mark and not before.
pub fn of_pads<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>, is_used_up: bool) -> Stage {
    if is_used_up { Stage::EndOfLife } else { stage_before_the_end(find_worst(figures)) }
}

/// How likely each stage of a disc is, by the most worn of its figures, whose errors are taken to be independent; nothing
/// of no figure.
pub fn chances_of_disc<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>) -> Option<StageChances> {
    chances(figures, SPENT_FROM)
}

/// How likely each stage of a corner's pads is, in the same way; they are at the end at the mark.
pub fn chances_of_pads<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>) -> Option<StageChances> {
    chances(figures, 1.0)
}

fn chances<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>, end: f64) -> Option<StageChances> {
    let known: Vec<_> = figures.into_iter().flatten().collect();
    let all_below = |border: f64| -> f64 {
        known.iter().map(|figure| chance::below(border, figure.value, figure.uncertainty)).product()
    };
    (!known.is_empty()).then(|| {
        let (new, not_at_end) = (all_below(PART_WORN_FROM), all_below(end));
        StageChances { new, part_worn: (not_at_end - new).max(0.0), end_of_life: 1.0 - not_at_end }
    })
}

fn find_worst<'a>(figures: impl IntoIterator<Item = &'a Option<Figure>>) -> Option<f64> {
    figures.into_iter().flatten().map(|figure| figure.value).max_by(f64::total_cmp)
}

fn stage_before_the_end(share: Option<f64>) -> Stage {
    match share {
        None => Stage::Unknown,
        Some(share) if share >= PART_WORN_FROM => Stage::PartWorn,
        Some(_) => Stage::New,
    }
}

/// Whether a figure under the mark may in truth be at it: its 95 % interval reaches 1.
pub fn may_be_at_mark(figure: &Figure) -> bool {
    figure.value < 1.0 && figure.high >= 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use model::Source;

    fn figure(value: f64) -> Figure {
        let because = crate::explain::from_evidence(String::new(), Source::Arithmetic, Vec::new());
        Figure { value, uncertainty: 0.05, low: value - 0.098, high: value + 0.098, because }
    }

    fn disc(values: &[f64], is_beyond_mark: bool) -> Stage {
        of_disc(&options(values), is_beyond_mark)
    }

    fn options(values: &[f64]) -> Vec<Option<Figure>> {
        values.iter().map(|&value| Some(figure(value))).chain([None]).collect()
    }

    #[test]
    fn the_worst_figure_decides_and_no_figure_decides_nothing() {
        assert_eq!(disc(&[0.1, 0.9], false), Stage::EndOfLife);
        assert_eq!(disc(&[0.1, 0.899], false), Stage::PartWorn);
        assert_eq!(disc(&[0.1, 0.25], false), Stage::PartWorn);
        assert_eq!(disc(&[0.249, -0.02], false), Stage::New);
        assert_eq!(disc(&[], false), Stage::Unknown);
    }

    #[test]
    fn a_reading_beyond_the_mark_outranks_every_figure() {
        assert_eq!(disc(&[0.1], true), Stage::EndOfLife);
        assert_eq!(disc(&[], true), Stage::EndOfLife);
    }

    #[test]
    fn the_chances_of_the_stages_add_up_and_follow_the_worst() {
        let one = chances_of_disc(&options(&[0.25])).unwrap();
        assert!((one.new - 0.5).abs() < 1e-12, "half lies under its own mean");
        let two = chances_of_disc(&options(&[0.25, 0.9])).unwrap();
        assert!(two.new < 1e-9 && (two.end_of_life - 0.5).abs() < 1e-9);
        assert!((two.new + two.part_worn + two.end_of_life - 1.0).abs() < 1e-12);
        assert!(chances_of_pads(&options(&[0.9])).unwrap().end_of_life < 0.05, "pads last to their mark");
        assert_eq!(chances_of_disc(&[None]), None);
    }

    #[test]
    fn pads_last_to_their_mark() {
        assert_eq!(of_pads(&options(&[0.3, 0.97]), false), Stage::PartWorn);
        assert_eq!(of_pads(&options(&[0.1]), false), Stage::New);
        assert_eq!(of_pads(&options(&[]), false), Stage::Unknown);
        assert_eq!(of_pads(&options(&[0.3]), true), Stage::EndOfLife);
    }

    #[test]
    fn an_interval_that_reaches_the_mark_is_told_from_one_that_does_not() {
        assert!(may_be_at_mark(&figure(0.95)));
        assert!(!may_be_at_mark(&figure(0.85)));
        assert!(!may_be_at_mark(&figure(1.02)), "it is at it");
    }
}
