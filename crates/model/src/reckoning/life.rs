//! How far discs and pads will go.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::explanation::{Evidence, Explanation, Source};
use crate::{Day, choice::names};

names!(
    /// What a distance rests on. The bases disagree; they are shown side by side and never averaged.
    LifeBasis {
        /// The wear between this car's own visits.
        OwnVisits = "this car's own visits",
        /// The trade's rule of thumb.
        RuleOfThumb = "a rule of thumb",
        /// A published figure.
        Paper = "a published figure",
    }
);

/// The distance that something has left, or why none is given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Life {
    /// On each basis that there is.
    Reckoned(Vec<LifeLeft>),
    /// Why not.
    NotReckoned(String),
}

/// The distance left on one basis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LifeLeft {
    /// The basis.
    pub basis: LifeBasis,
    /// The kilometres that it still goes with a chance of 95, 75, 50, 25 and 5 %: the 5, 25, 50, 75 and 95 % points.
    pub km: [f64; 5],
    /// The days on which it ends at the yearly distance; absent where none is known or a day lies beyond any calendar.
    pub ends: Option<LifeEnds>,
    /// How it came about.
    pub because: Explanation,
}

/// The days on which the 5, 50 and 95 % points of a distance are reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LifeEnds {
    /// With a chance of 5 %, by this day.
    pub early_on: Day,
    /// As likely before as after it.
    pub middle_on: Day,
    /// With a chance of 95 %, by this day.
    pub late_on: Day,
}

/// How far one corner's disc and pads will go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerLife {
    /// The disc.
    pub disc: Life,
    /// The pads, by the one that ends first.
    pub pads: Life,
    /// The chance that the disc outlives its present pads, on each basis that both have.
    pub disc_outlives_pads: Vec<ChanceOnBasis>,
}

/// A chance on one basis.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChanceOnBasis {
    /// The basis.
    pub basis: LifeBasis,
    /// From 0 to 1.
    pub chance: f64,
}

/// The distance that the car has run beside what a rule allows for; a comparison, never evidence of wear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DistanceComparison {
    /// The sentence.
    pub text: String,
    /// The distance run as a share of the rule's.
    pub share: f64,
    /// Where the rule comes from.
    pub source: Source,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
}
