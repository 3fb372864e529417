//! Which look would settle the causes best: the expected information gain of everything that it would show.

use model::{CornerName, NextLook};

use super::belief::Belief;
use super::found::{Found, State};
use super::table::{Row, Sign};

/// Under this gain a look is not worth naming, in bits (project assumption).
const LEAST_BITS: f64 = 0.02;

/// Something that can be done at a corner, and the signs that it shows.
struct Look {
    words: &'static str,
    signs: &'static [Sign],
}

/// What can be done, in the words of an instruction; `{}` is the corner.
const LOOKS: [Look; 6] = [
    Look {
        words: "Look at the inner face of the {} disc, by mirror or with the wheel off.",
        signs: &[Sign::InnerStain, Sign::InnerWorse, Sign::OuterWorse],
    },
    Look {
        words: "Look at the outer face of the {} disc.",
        signs: &[Sign::OuterStain, Sign::HeatTint, Sign::Craze, Sign::Chip, Sign::Crack, Sign::Groove],
    },
    Look {
        words: "Look at the bell of the {} disc and its fixings.",
        signs: &[Sign::BellStained, Sign::BellEtched, Sign::BellDiscoloured, Sign::FixingsCorroded, Sign::FixingsLoose],
    },
    Look {
        words: "Take out the {} pads: glazing, crumbling, taper.",
        signs: &[Sign::Taper, Sign::Glazed, Sign::Crumbling],
    },
    Look { words: "Measure both {} linings.", signs: &[Sign::PadsDiffer] },
    Look { words: "Find out whether the {} calliper works freely.", signs: &[Sign::CalliperNotFree] },
];

/// The look of this corner from which most is to be learnt.
pub fn find_best(corner: CornerName, found: &[Found]) -> Option<NextLook> {
    let belief = Belief::of(found);
    let gain_of = |look: &Look| {
        let open: Vec<_> = found
            .iter()
            .filter(|sign| sign.state == State::NotLooked && look.signs.contains(&sign.sign))
            .map(Found::row)
            .collect();
        (!open.is_empty()).then(|| belief.entropy_bits() - expected_entropy(&belief, &open))
    };
    let (gain_bits, look) = LOOKS
        .iter()
        .filter_map(|look| Some((gain_of(look)?, look)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(gain, _)| *gain >= LEAST_BITS)?;
    Some(NextLook { corner, text: look.words.replace("{}", corner.words()), gain_bits })
}

/// What is expected to stay unknown once all these signs were looked for.
fn expected_entropy(belief: &Belief, open: &[&Row]) -> f64 {
    let Some((first, rest)) = open.split_first() else { return belief.entropy_bits() };
    let p = belief.expect(first);
    [(true, p), (false, 1.0 - p)]
        .into_iter()
        .map(|(shows, chance)| {
            let mut then = belief.clone();
            then.learn(first, shows);
            chance * expected_entropy(&then, rest)
        })
        .sum()
}
