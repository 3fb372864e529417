//! The headline, from a table: each combination of answers meets exactly one row.

use schemars::JsonSchema;
use serde::Serialize;

use crate::verdict::{Answer, Questions};

/// The verdict in one word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Headline {
    /// Unaltered, whose it is, and still standing. Never: true, or safe.
    Genuine,
    /// Unaltered and whose; whether it still stands was not to be found out.
    GenuineStandingNotChecked,
    /// Unaltered and whose, and taken back since.
    GenuineButWithdrawn,
    /// Unaltered and whose, and replaced since.
    GenuineButSuperseded,
    /// Nothing speaks against it, and something is missing.
    CannotBeFullyConfirmed,
    /// Something is wrong.
    DoNotRely,
}

impl Headline {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Genuine,
        Self::GenuineStandingNotChecked,
        Self::GenuineButWithdrawn,
        Self::GenuineButSuperseded,
        Self::CannotBeFullyConfirmed,
        Self::DoNotRely,
    ];

    /// In words.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Genuine => "Genuine",
            Self::GenuineStandingNotChecked => "Genuine, standing not checked",
            Self::GenuineButWithdrawn => "Genuine, but withdrawn",
            Self::GenuineButSuperseded => "Genuine, but superseded by another report",
            Self::CannotBeFullyConfirmed => "Cannot be fully confirmed",
            Self::DoNotRely => "Do not rely on this file",
        }
    }
}

/// How a question was answered, as far as the table looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum State {
    Passed,
    NotChecked,
    Failed,
}

/// Whether the report stands, as far as the table looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum StandingState {
    Stands,
    NotChecked,
    Withdrawn,
    Superseded,
}

/// What the table looks at: unchanged, whose, since when, still stands.
pub(crate) type Combination = (State, State, State, StandingState);

struct Row {
    unchanged: &'static [State],
    whose: &'static [State],
    since_when: &'static [State],
    still_stands: &'static [StandingState],
    headline: Headline,
}

const PASSED: &[State] = &[State::Passed];
const OPEN: &[State] = &[State::NotChecked];
const FAILED: &[State] = &[State::Failed];
const NOT_FAILED: &[State] = &[State::Passed, State::NotChecked];
const ANY: &[State] = &[State::Passed, State::NotChecked, State::Failed];

const STANDS: &[StandingState] = &[StandingState::Stands];
const STANDING_OPEN: &[StandingState] = &[StandingState::NotChecked];
const WITHDRAWN: &[StandingState] = &[StandingState::Withdrawn];
const SUPERSEDED: &[StandingState] = &[StandingState::Superseded];
const NO_OBJECTION: &[StandingState] = &[StandingState::Stands, StandingState::NotChecked];
const OBJECTION: &[StandingState] = &[StandingState::Withdrawn, StandingState::Superseded];
const ANY_STANDING: &[StandingState] =
    &[StandingState::Stands, StandingState::NotChecked, StandingState::Withdrawn, StandingState::Superseded];

const fn row(
    unchanged: &'static [State],
    whose: &'static [State],
    since_when: &'static [State],
    still_stands: &'static [StandingState],
    headline: Headline,
) -> Row {
    Row { unchanged, whose, since_when, still_stands, headline }
}

/// A proof of time that is missing changes nothing; one that is false (it belongs to another report, say) means that
/// somebody has been at the file. What is taken back without being confirmed as genuine is not to be relied on either
/// way.
#[rustfmt::skip]
const TABLE: [Row; 10] = [
    //  unchanged   whose       since when  still stands
    row(FAILED,     ANY,        ANY,        ANY_STANDING,  Headline::DoNotRely),
    row(NOT_FAILED, FAILED,     ANY,        ANY_STANDING,  Headline::DoNotRely),
    row(NOT_FAILED, NOT_FAILED, FAILED,     ANY_STANDING,  Headline::DoNotRely),
    row(OPEN,       NOT_FAILED, NOT_FAILED, OBJECTION,     Headline::DoNotRely),
    row(PASSED,     OPEN,       NOT_FAILED, OBJECTION,     Headline::DoNotRely),
    row(OPEN,       NOT_FAILED, NOT_FAILED, NO_OBJECTION,  Headline::CannotBeFullyConfirmed),
    row(PASSED,     OPEN,       NOT_FAILED, NO_OBJECTION,  Headline::CannotBeFullyConfirmed),
    row(PASSED,     PASSED,     NOT_FAILED, WITHDRAWN,     Headline::GenuineButWithdrawn),
    row(PASSED,     PASSED,     NOT_FAILED, SUPERSEDED,    Headline::GenuineButSuperseded),
    row(PASSED,     PASSED,     NOT_FAILED, STANDING_OPEN, Headline::GenuineStandingNotChecked),
];

impl Row {
    fn meets(&self, (unchanged, whose, since_when, still_stands): Combination) -> bool {
        self.unchanged.contains(&unchanged)
            && self.whose.contains(&whose)
            && self.since_when.contains(&since_when)
            && self.still_stands.contains(&still_stands)
    }
}

/// The best headline needs its own row spelt out: it is never what remains.
const GENUINE: Row = row(PASSED, PASSED, NOT_FAILED, STANDS, Headline::Genuine);

/// The headline of these answers.
pub(crate) fn decide(questions: &Questions) -> Headline {
    look_up(combine(questions))
}

fn look_up(combination: Combination) -> Headline {
    let mut rows = TABLE.iter().chain([&GENUINE]);
    // A test walks every combination; should the table ever have a hole, the reader is not lulled.
    rows.find(|row| row.meets(combination)).map_or(Headline::DoNotRely, |row| row.headline)
}

fn combine(questions: &Questions) -> Combination {
    let still_stands = match &questions.still_stands {
        Answer::Passed { .. } => StandingState::Stands,
        Answer::NotChecked { .. } => StandingState::NotChecked,
        Answer::Failed { code: "superseded", .. } => StandingState::Superseded,
        Answer::Failed { .. } => StandingState::Withdrawn,
    };
    (state(&questions.unchanged), state(&questions.whose), state(&questions.since_when), still_stands)
}

fn state(answer: &Answer) -> State {
    match answer {
        Answer::Passed { .. } => State::Passed,
        Answer::Failed { .. } => State::Failed,
        Answer::NotChecked { .. } => State::NotChecked,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list_combinations() -> Vec<Combination> {
        let mut all = Vec::new();
        for &unchanged in ANY {
            for &whose in ANY {
                for &since_when in ANY {
                    all.extend(ANY_STANDING.iter().map(|&stands| (unchanged, whose, since_when, stands)));
                }
            }
        }
        all
    }

    #[test]
    fn each_combination_meets_exactly_one_row() {
        let all = list_combinations();
        assert_eq!(all.len(), 3 * 3 * 3 * 4);
        for combination in all {
            let met = TABLE.iter().chain([&GENUINE]).filter(|row| row.meets(combination)).count();
            assert_eq!(met, 1, "{combination:?}");
        }
    }

    /// The rules of the design, spelt without the table.
    fn expected((unchanged, whose, since_when, still_stands): Combination) -> Headline {
        if [unchanged, whose, since_when].contains(&State::Failed) {
            return Headline::DoNotRely;
        }
        let confirmed = unchanged == State::Passed && whose == State::Passed;
        match still_stands {
            StandingState::Withdrawn | StandingState::Superseded if !confirmed => Headline::DoNotRely,
            _ if !confirmed => Headline::CannotBeFullyConfirmed,
            StandingState::Stands => Headline::Genuine,
            StandingState::NotChecked => Headline::GenuineStandingNotChecked,
            StandingState::Withdrawn => Headline::GenuineButWithdrawn,
            StandingState::Superseded => Headline::GenuineButSuperseded,
        }
    }

    #[test]
    fn the_table_says_what_the_rules_say() {
        for combination in list_combinations() {
            assert_eq!(look_up(combination), expected(combination), "{combination:?}");
        }
    }

    #[test]
    fn each_headline_can_be_reached_and_has_its_own_words() {
        let reached: std::collections::BTreeSet<Headline> = list_combinations().into_iter().map(look_up).collect();
        assert_eq!(reached.into_iter().collect::<Vec<_>>(), Headline::ALL);
        let titles: std::collections::BTreeSet<&str> = Headline::ALL.into_iter().map(Headline::title).collect();
        assert_eq!(titles.len(), Headline::ALL.len());
    }

    #[test]
    fn answers_are_read_as_their_states() {
        let failed = |code| Answer::Failed { code, reason: String::new() };
        let passed = || Answer::Passed { sentence: String::new() };
        let open = || Answer::NotChecked { code: "no-proof-of-time", reason: String::new() };
        let questions =
            |still_stands| Questions { unchanged: passed(), whose: passed(), since_when: open(), still_stands };
        assert_eq!(decide(&questions(passed())), Headline::Genuine);
        assert_eq!(decide(&questions(open())), Headline::GenuineStandingNotChecked);
        assert_eq!(decide(&questions(failed("withdrawn"))), Headline::GenuineButWithdrawn);
        assert_eq!(decide(&questions(failed("superseded"))), Headline::GenuineButSuperseded);
        let broken = Questions { unchanged: failed("digest-differs"), ..questions(passed()) };
        assert_eq!(decide(&broken), Headline::DoNotRely);
    }
}
