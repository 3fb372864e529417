//! Why something wore.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::explanation::{Evidence, Source};
use crate::choice::{CornerName, names};

names!(
    /// What, beside ordinary wear, may have worn a disc. More than one may hold.
    Cause {
        /// A wheel cleaner's attack.
        Cleaner = "attack by a wheel cleaner",
        /// Too much heat.
        Heat = "too much heat",
        /// Corrosion while the car stood.
        Standing = "corrosion from standing",
        /// A blow, a stone, a bad fit.
        Damage = "mechanical damage",
        /// A pad or a calliper that does not work as it should.
        PadOrCalliper = "a pad or calliper fault",
    }
);

/// How likely each cause is at one corner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CauseReckoning {
    /// The chance that ordinary wear is the only cause.
    pub wear_only: f64,
    /// Each cause; more than one may hold.
    pub causes: Vec<CauseChance>,
    /// How many of the signs that the table knows could be looked at here.
    #[schemars(range(max = u32::MAX))]
    pub signs_seen: u32,
    /// How many the table knows.
    #[schemars(range(max = u32::MAX))]
    pub signs_known: u32,
}

/// How likely one cause is, and what speaks for and against it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CauseChance {
    /// Which.
    pub cause: Cause,
    /// The chance that it holds, from 0 to 1.
    pub chance: f64,
    /// The chance before any sign of this car was looked at.
    pub before: f64,
    /// The strongest signs for it, the strongest first.
    pub speaks_for: Vec<SignWeight>,
    /// The strongest signs against it, the strongest first.
    pub speaks_against: Vec<SignWeight>,
}

/// What one sign does to the odds of a cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SignWeight {
    /// The sign as it was found.
    pub text: String,
    /// The factor by which it changes the odds, given all other signs: above 1 for, under 1 against.
    pub factor: f64,
    /// Where the rule comes from.
    pub source: Source,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
}

/// The look that would settle the causes best.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NextLook {
    /// Where.
    pub corner: CornerName,
    /// What to do, as a sentence.
    pub text: String,
    /// How much of what is not known it is expected to settle, in bits.
    pub gain_bits: f64,
}
