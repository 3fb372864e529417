//! How worn each thing is, and what stands out.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::explanation::{Evidence, Figure, Source};
use crate::choice::{Axle, CornerName, names};

names!(
    /// How far gone something is.
    Stage {
        /// As new.
        New = "as new",
        /// Part-worn.
        PartWorn = "part-worn",
        /// At the end of its life.
        EndOfLife = "at the end of its life",
        /// Not told by what was seen.
        Unknown = "not known",
    }
);

/// How likely each stage is; the three add up to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StageChances {
    /// As new.
    pub new: f64,
    /// Part-worn.
    pub part_worn: f64,
    /// At the end of its life.
    pub end_of_life: f64,
}

names!(
    /// Two things that ought to wear alike.
    Pairing {
        /// The outer and the inner face of a disc.
        Faces = "outer and inner face",
        /// The outer and the inner pad of a corner.
        Pads = "outer and inner pad",
        /// The left and the right disc of an axle.
        DiscsAcross = "left and right disc",
        /// The left and the right pads of an axle.
        PadsAcross = "left and right pads",
        /// The front and the rear discs.
        DiscsAlong = "front and rear discs",
    }
);

/// A difference in wear between two things that ought to wear alike.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Asymmetry {
    /// Which pair.
    pub between: Pairing,
    /// The corner, for what stands at one corner.
    pub corner: Option<CornerName>,
    /// The axle, for what stands on one axle.
    pub axle: Option<Axle>,
    /// Wear of the first less that of the second, as a share.
    pub difference: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// The difference in standard deviations, without sign.
    pub deviations: f64,
    /// Whether it lies beyond what the uncertainties explain in one case of twenty.
    pub is_significant: bool,
    /// The sentence.
    pub text: String,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
}

names!(
    /// How a measured value stands against its limit.
    Outcome {
        /// Within it by more than the measurement is unsure.
        Within = "within the limit",
        /// Beyond it by more than the measurement is unsure.
        Beyond = "beyond the limit",
        /// Too near to tell.
        TooClose = "too close to the limit to tell",
        /// No limit is known.
        NoLimit = "no limit known",
    }
);

/// Something measured or computed from measurements and held against a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// What, with its place.
    pub what: String,
    /// The value and its standard uncertainty, in the unit.
    pub value: Figure,
    /// The unit.
    pub unit: String,
    /// The limit, in the unit.
    pub limit: Option<f64>,
    /// How the value stands against it.
    pub outcome: Outcome,
    /// Where the limit comes from.
    pub source: Source,
}

/// A reason not to drive, or to have something seen to first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DriveWarning {
    /// Whether the car must not be driven; otherwise it is to be seen to first.
    pub do_not_drive: bool,
    /// The sentence.
    pub text: String,
    /// Where the rule comes from.
    pub source: Source,
    /// What it rests on.
    pub evidence: Vec<Evidence>,
}

/// A sentence of the answer and what carries it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sentence {
    /// The sentence.
    pub text: String,
    /// What carries it.
    pub evidence: Vec<Evidence>,
}

/// The answer in words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The answer itself, first: at most three sentences.
    pub lead: Vec<Sentence>,
    /// Why, corner by corner.
    pub why: Vec<Sentence>,
    /// What limits it.
    pub limits: Vec<Sentence>,
    /// What it means for who buys the car.
    pub to_buyer: Vec<Sentence>,
    /// What it means for who sells it.
    pub to_seller: Vec<Sentence>,
    /// What it means for who works on it.
    pub to_workshop: Vec<Sentence>,
    /// Questions for the buyer to put to the seller in writing.
    pub questions: Vec<Sentence>,
}
