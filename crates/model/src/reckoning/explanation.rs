//! Figures that can say where they came from.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    choice::{CornerName, FaceName, PadName},
    id::Label,
};

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
        #[schemars(range(max = u32::MAX))]
        index: u32,
    },
    /// A drive that was recorded, counted from 0.
    Drive {
        /// Its place in the list.
        #[schemars(range(max = u32::MAX))]
        index: u32,
    },
    /// A photograph in which something was measured.
    Photograph {
        /// Its name.
        id: Label,
    },
    /// An earlier visit, counted from 0.
    EarlierVisit {
        /// Its place in the list.
        #[schemars(range(max = u32::MAX))]
        index: u32,
    },
    /// The odometer.
    Odometer,
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

impl Source {
    /// It in words; a rule of thumb is called one.
    pub fn words(&self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Self::Inspection => "found at this inspection",
            Self::PartMark => "marked on the part",
            Self::Published { document } => return Cow::Owned(format!("published: {document}")),
            Self::CommonPractice => "rule of thumb of the trade, no source",
            Self::ProjectAssumption => "assumption of this method",
            Self::Arithmetic => "arithmetic",
        })
    }
}

/// A step of how a figure came about; its parts stand below it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Explanation {
    /// What was done, in a sentence with its figures.
    pub text: String,
    /// What the step came to, in the quantity of the figure that it explains; absent where the step is a remark.
    pub came_to: Option<Estimate>,
    /// How far the parts agree, where the step puts several estimates of one quantity together.
    pub agreement: Option<Agreement>,
    /// Where the rule comes from.
    pub source: Source,
    /// What it rests on directly.
    pub evidence: Vec<Evidence>,
    /// The parts.
    pub parts: Vec<Explanation>,
}

/// A value with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Estimate {
    /// The best value.
    pub value: f64,
    /// One standard deviation.
    pub uncertainty: f64,
}

/// How far several estimates of one quantity agree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Agreement {
    /// The sum of squared normalised deviations.
    pub chi_squared: f64,
    /// Estimates less one.
    #[schemars(range(max = u32::MAX))]
    pub freedom: u32,
    /// What χ² passes in one case of twenty where the uncertainties are right.
    pub chi_squared_95: f64,
    /// √(χ²/ν), by which the uncertainty was widened where χ² passes that point.
    pub birge_ratio: f64,
    /// Which estimate lies farthest from the others; only where χ² passes that point.
    pub culprit: Option<Culprit>,
}

/// The estimate that lies farthest from the others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Culprit {
    /// Its place among the parts, from 0.
    #[schemars(range(max = u32::MAX))]
    pub part: u32,
    /// How far it lies from what the others come to, in standard deviations of that difference.
    pub deviations: f64,
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
