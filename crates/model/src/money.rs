//! Money: decimal amounts, currencies, the price basis.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use rust_decimal::Decimal;

use crate::{
    Day, amount,
    choice::{Axle, names},
    id::IdError,
    quantity::Percent,
    text::Line,
};

/// A currency by its three-letter code (ISO 4217).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String", extend("pattern" = "^[A-Z]{3}$"))]
pub struct Currency([u8; 3]);

impl Currency {
    /// The code.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("???")
    }

    /// Digits behind the point (ISO 4217 list one, from memory for all but GBP, EUR, JPY and KWD).
    pub fn minor_digits(self) -> u32 {
        match &self.0 {
            b"BIF" | b"CLP" | b"DJF" | b"GNF" | b"ISK" | b"JPY" | b"KMF" | b"KRW" | b"PYG" | b"RWF" | b"UGX"
            | b"VND" | b"VUV" | b"XAF" | b"XOF" | b"XPF" => 0,
            b"BHD" | b"IQD" | b"JOD" | b"KWD" | b"LYD" | b"OMR" | b"TND" => 3,
            _ => 2,
        }
    }

    /// The amount rounded to the currency's smallest unit; half and more goes up.
    pub fn round(self, amount: Decimal) -> Decimal {
        let mut rounded =
            amount.round_dp_with_strategy(self.minor_digits(), rust_decimal::RoundingStrategy::MidpointAwayFromZero);
        rounded.rescale(self.minor_digits());
        rounded
    }
}

impl TryFrom<String> for Currency {
    type Error = IdError;

    fn try_from(text: String) -> Result<Self, IdError> {
        match <[u8; 3]>::try_from(text.as_bytes()) {
            Ok(code) if code.iter().all(u8::is_ascii_uppercase) => Ok(Self(code)),
            _ => Err(IdError {
                got: text.chars().take(80).collect(),
                expected: "a currency code of three capital letters (ISO 4217)",
            }),
        }
    }
}

impl From<Currency> for String {
    fn from(currency: Currency) -> String {
        currency.code().to_owned()
    }
}

names!(
    /// What a price is for.
    PriceItem {
        /// One disc.
        Disc = "disc",
        /// The pads of an axle.
        PadSet = "pad set",
        /// A wear lead.
        WearLead = "wear lead",
        /// A set of fixings.
        Fixings = "fixings",
        /// An hour of labour.
        LabourHour = "labour hour",
    }
);

/// One line of the price basis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceLine {
    /// The axle that it is for.
    pub axle: Axle,
    /// What it is for.
    pub item: PriceItem,
    /// How many a renewal of this axle takes (a decimal in a text: "2", "1.5").
    #[serde(deserialize_with = "amount::price")]
    #[schemars(with = "String", extend("pattern" = amount::PRICE_PATTERN))]
    pub quantity: Decimal,
    /// Price of one, without tax.
    #[serde(deserialize_with = "amount::price")]
    #[schemars(with = "String", extend("pattern" = amount::PRICE_PATTERN))]
    pub unit_price: Decimal,
    /// Tax on it.
    pub tax_percent: Percent,
}

/// What renewal costs, as somebody quoted it on some day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceBasis {
    /// The currency of every line.
    pub currency: Currency,
    /// Who quoted it.
    pub origin: Line,
    /// On which day.
    pub dated: Day,
    /// Until when it holds.
    pub valid_until: Option<Day>,
    /// The lines.
    #[schemars(length(max = 200))]
    pub lines: Vec<PriceLine>,
}
