//! The probability of every set of causes.

use model::Cause;

use super::found::{Found, State};
use super::table::{PRIORS, Row};

/// How many sets of causes there are.
pub const SETS: usize = 1 << PRIORS.len();

/// A probability for each set of causes; bit `n` of a set's number is the cause at place `n`.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief([f64; SETS]);

impl Belief {
    /// What the signs say.
    pub fn of(found: &[Found]) -> Self {
        Self::from_signs(found.iter())
    }

    /// What all signs but the one at this place say.
    pub fn without(found: &[Found], at: usize) -> Self {
        Self::from_signs(found[..at].iter().chain(&found[at + 1..]))
    }

    fn from_signs<'a>(found: impl Iterator<Item = &'a Found>) -> Self {
        let mut belief = Self::before();
        for sign in found {
            match sign.state {
                State::Shows => belief.learn(sign.row(), true),
                State::Absent => belief.learn(sign.row(), false),
                State::NotLooked => {}
            }
        }
        belief
    }

    /// Before anything was looked at: each cause on its own.
    pub fn before() -> Self {
        Self(std::array::from_fn(|set| {
            let of =
                |(at, (_, chance)): (usize, &(Cause, f64))| if set >> at & 1 == 1 { *chance } else { 1.0 - chance };
            PRIORS.iter().enumerate().map(of).product()
        }))
    }

    /// Takes a sign into account (Bayes' rule).
    pub fn learn(&mut self, row: &Row, shows: bool) {
        for (set, chance) in self.0.iter_mut().enumerate() {
            let likely = shows_given(row, set);
            *chance *= if shows { likely } else { 1.0 - likely };
        }
        let sum: f64 = self.0.iter().sum();
        self.0.iter_mut().for_each(|chance| *chance /= sum);
    }

    /// The chance that a sign shows.
    pub fn expect(&self, row: &Row) -> f64 {
        self.0.iter().enumerate().map(|(set, chance)| chance * shows_given(row, set)).sum()
    }

    /// The chance that ordinary wear is the only cause.
    pub const fn none(&self) -> f64 {
        self.0[0]
    }

    /// The chance that this cause holds, alone or with others.
    pub fn of_cause(&self, cause: Cause) -> f64 {
        self.0.iter().enumerate().filter(|(set, _)| set >> (cause as usize) & 1 == 1).map(|(_, chance)| chance).sum()
    }

    /// The odds of this cause.
    pub fn odds(&self, cause: Cause) -> f64 {
        let chance = self.of_cause(cause);
        chance / (1.0 - chance).max(f64::MIN_POSITIVE)
    }

    /// What is not known, in bits (Shannon 1948).
    pub fn entropy_bits(&self) -> f64 {
        -self.0.iter().filter(|chance| **chance > 0.0).map(|chance| chance * libm::log2(*chance)).sum::<f64>()
    }
}

/// The chance that a sign shows where this set of causes holds: ordinary wear or any of them brings it about.
fn shows_given(row: &Row, set: usize) -> f64 {
    let alone_absent = 1.0 - row.alone;
    let absent = row.ratios.iter().enumerate().fold(alone_absent, |absent, (at, ratio)| {
        if set >> at & 1 == 1 { absent * (1.0 - row.alone * ratio) / alone_absent } else { absent }
    });
    1.0 - absent
}

#[cfg(test)]
mod tests {
    use super::super::table::SIGNS;
    use super::*;

    #[test]
    fn a_sign_multiplies_the_odds_by_its_likelihood_ratio() {
        // With one cause alone in question, posterior odds = prior odds × likelihood ratio (Bayes' rule).
        for row in &SIGNS {
            for (at, ratio) in row.ratios.iter().enumerate() {
                let likely = shows_given(row, 1 << at) / shows_given(row, 0);
                assert!((likely - ratio).abs() < 1e-9, "{row:?}");
            }
        }
    }

    #[test]
    fn the_chances_add_up_whatever_was_learnt() {
        let mut belief = Belief::before();
        for row in &SIGNS {
            belief.learn(row, row.alone < 0.03);
            assert!((belief.0.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!((0.0..=5.0).contains(&belief.entropy_bits()));
        }
    }

    #[test]
    fn what_a_look_is_expected_to_show_is_what_it_shows_on_average() {
        let belief = Belief::before();
        for row in &SIGNS {
            let (mut with, mut without) = (belief.clone(), belief.clone());
            with.learn(row, true);
            without.learn(row, false);
            let p = belief.expect(row);
            for cause in Cause::ALL {
                let mean = p * with.of_cause(*cause) + (1.0 - p) * without.of_cause(*cause);
                assert!((mean - belief.of_cause(*cause)).abs() < 1e-12);
            }
        }
    }
}
