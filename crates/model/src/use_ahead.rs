//! What the buyer means to do with the car, as far as it bears on the brakes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    amount,
    car::{Odometer, OdometerUnit},
    money::{Currency, Decimal},
};

/// The buyer's own distance and time, and what is asked for the car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UseAhead {
    /// The distance of one year.
    pub yearly: Odometer,
    /// How many years the car is to be kept.
    #[schemars(range(min = 1, max = 50))]
    pub years: u8,
    /// What is asked for the car.
    pub asking_price: Option<AskingPrice>,
}

/// What is asked for the car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AskingPrice {
    /// The currency.
    pub currency: Currency,
    /// The amount.
    #[serde(deserialize_with = "amount::price")]
    #[schemars(with = "String", extend("pattern" = amount::PRICE_PATTERN))]
    pub amount: Decimal,
}

impl UseAhead {
    /// Kilometres over all the years.
    pub fn km(&self) -> f64 {
        self.yearly.km() * f64::from(self.years)
    }

    /// What the yearly distance is counted in.
    pub const fn unit(&self) -> OdometerUnit {
        self.yearly.unit
    }
}
