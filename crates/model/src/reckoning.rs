//! What the findings come to: figures that can say where they came from, and sentences that rest on them.
//!
//! The types only; the crate `condition` fills them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    amount,
    choice::{Axle, CornerName, FaceName, PadName, PerCorner, names},
    id::Label,
    money::{Currency, Decimal, PriceItem},
    record::MethodVersion,
};

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

/// Something in the inspection that a figure or a sentence rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "on", rename_all = "snake_case", deny_unknown_fields)]
pub enum Evidence {
    /// A face as it was seen.
    Face {
        /// Where.
        corner: CornerName,
        /// Which.
        face: FaceName,
    },
    /// A bell.
    Bell {
        /// Where.
        corner: CornerName,
    },
    /// A pad.
    Pad {
        /// Where.
        corner: CornerName,
        /// Which.
        pad: PadName,
    },
    /// A calliper.
    Calliper {
        /// Where.
        corner: CornerName,
    },
    /// A mark on a disc.
    Mark {
        /// Where.
        corner: CornerName,
    },
    /// A reading.
    Reading {
        /// Its name.
        id: Label,
    },
    /// A step of the road test, counted from 0.
    RoadTestStep {
        /// Its place in the list.
        index: usize,
    },
    /// The price basis.
    Prices,
    /// Something that was not inspected or not given.
    Missing {
        /// What, in words.
        what: String,
    },
}

/// Where a rule or a figure comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "from", rename_all = "snake_case", deny_unknown_fields)]
pub enum Source {
    /// Measured or seen in this inspection.
    Inspection,
    /// Marked on the part itself.
    PartMark,
    /// A published document.
    Published {
        /// Which, with its clause.
        document: String,
    },
    /// A rule of thumb of the trade that no document backs.
    CommonPractice,
    /// The project's own assumption.
    ProjectAssumption,
    /// Arithmetic on the parts below.
    Arithmetic,
}

/// A step of how a figure came about; its parts stand below it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Explanation {
    /// What was done, in a sentence with its figures.
    pub text: String,
    /// Where the rule comes from.
    pub source: Source,
    /// What it rests on directly.
    pub evidence: Vec<Evidence>,
    /// The parts.
    pub parts: Vec<Explanation>,
}

/// A figure with its uncertainty and its origin. For wear: 0 as new, 1 at the mark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// The best value.
    pub value: f64,
    /// Standard uncertainty (one standard deviation).
    pub uncertainty: f64,
    /// Low end of the 95 % interval.
    pub low: f64,
    /// High end of the 95 % interval.
    pub high: f64,
    /// How it came about.
    pub because: Explanation,
}

/// One corner reckoned. Each quantity stands on its own; the worse governs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerReckoning {
    /// Wear of the disc's bulk against its own marks.
    pub bulk: Option<Figure>,
    /// Wear of the outer face's surface.
    pub outer_face: Option<Figure>,
    /// Wear of the inner face's surface.
    pub inner_face: Option<Figure>,
    /// Wear of the outer pad's lining against its mark.
    pub outer_pad: Option<Figure>,
    /// Wear of the inner pad's lining against its mark.
    pub inner_pad: Option<Figure>,
    /// The disc's stage by the worst of bulk and faces.
    pub disc_stage: Stage,
    /// The pads' stage by the worse one.
    pub pad_stage: Stage,
    /// What could not be reckoned, and why.
    pub missing: Vec<String>,
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
}

/// One priced line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CostRow {
    /// The axle.
    pub axle: Axle,
    /// What.
    pub item: PriceItem,
    /// How many.
    #[serde(deserialize_with = "amount::price")]
    #[schemars(with = "String", extend("pattern" = amount::PRICE_PATTERN))]
    pub quantity: Decimal,
    /// Without tax, rounded to the currency's smallest unit.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub net: Decimal,
    /// The tax.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub tax: Decimal,
    /// Whether the findings call for it now.
    pub due_now: bool,
}

/// What renewal costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CostReckoning {
    /// The currency.
    pub currency: Currency,
    /// The lines.
    pub rows: Vec<CostRow>,
    /// Sum of what is due now, tax included.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub due_now: Decimal,
    /// Sum of all lines, tax included.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub all: Decimal,
    /// What there is to say about the basis: its age, missing lines.
    pub remarks: Vec<String>,
}

/// What the findings come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reckoning {
    /// The version of the method.
    pub method: MethodVersion,
    /// Corner by corner.
    pub corners: PerCorner<CornerReckoning>,
    /// Reasons not to drive. Their absence is never a clearance.
    pub drive_warnings: Vec<DriveWarning>,
    /// What renewal costs; absent without a price basis.
    pub cost: Option<CostReckoning>,
    /// The answer in words.
    pub answer: Answer,
}
