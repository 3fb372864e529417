//! What renewal costs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{life::LifeBasis, wear::Sentence};
use crate::{
    amount,
    choice::{Axle, names},
    money::{Currency, Decimal, PriceItem},
};

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
    /// What each way to renew costs.
    pub alternatives: Vec<Alternative>,
    /// What is to be expected within the buyer's own distance, on each basis; empty where no distance is known.
    pub expected: Vec<ExpectedCost>,
    /// What is due now, and what is expected, beside the asking price.
    pub against_asking: Vec<Sentence>,
    /// What there is to say about the basis: its age, missing lines.
    pub remarks: Vec<String>,
}

names!(
    /// What could be renewed on its own.
    Scope {
        /// The pads of an axle with their wear leads and labour.
        PadsOnly = "pads only",
        /// Everything of an axle.
        OneAxle = "one axle",
        /// Everything of both axles.
        BothAxles = "both axles",
    }
);

/// What one way to renew costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// How much is renewed.
    pub scope: Scope,
    /// On which axle; absent for both.
    pub axle: Option<Axle>,
    /// With tax.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub cost: Decimal,
}

/// One renewal that may fall in the buyer's time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExpectedRow {
    /// The axle.
    pub axle: Axle,
    /// Whether the discs are renewed, with pads and all; otherwise the pads alone.
    pub discs: bool,
    /// The chance that it falls in that time.
    pub chance: f64,
    /// What it costs with tax.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub cost: Decimal,
}

/// What is to be expected within the buyer's own distance, on one basis: Σ p·c.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExpectedCost {
    /// The basis of the distances.
    pub basis: LifeBasis,
    /// The distance, in kilometres.
    pub within_km: f64,
    /// Each renewal with its chance.
    pub rows: Vec<ExpectedRow>,
    /// Σ p·c, rounded to the currency's smallest unit.
    #[serde(deserialize_with = "amount::sum")]
    #[schemars(with = "String", extend("pattern" = amount::SUM_PATTERN))]
    pub expected: Decimal,
    /// What it leaves out, in words.
    pub lacks: Vec<String>,
}
