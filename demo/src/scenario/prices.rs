//! What renewal costs, as the office took it down, and what the buyer means to do with the car.

use model::{Axle, PriceItem};
use serde_json::{Value, json};

/// The price basis of one visit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prices {
    pub origin: &'static str,
    pub dated: &'static str,
    pub valid_until: &'static str,
    /// Axle, item, how many, price of one without tax.
    pub lines: &'static [(Axle, PriceItem, &'static str, &'static str)],
}

const TAX_PERCENT: f64 = 21.0;

impl Prices {
    /// As an inspection's `prices`.
    pub fn basis(&self) -> Value {
        let lines: Vec<_> = self
            .lines
            .iter()
            .map(|(axle, item, quantity, unit_price)| {
                json!({
                    "axle": axle, "item": item, "quantity": quantity, "unit_price": unit_price,
                    "tax_percent": TAX_PERCENT
                })
            })
            .collect();
        json!({
            "currency": "EUR", "origin": self.origin, "dated": self.dated, "valid_until": self.valid_until,
            "lines": lines
        })
    }
}

/// What the buyer means to do with the car.
#[derive(Debug, Clone, Copy)]
pub(super) struct UseAhead {
    pub yearly_km: u32,
    pub years: u8,
    pub asking_price: &'static str,
}

impl UseAhead {
    /// As an inspection's `use_ahead`.
    pub fn entry(&self) -> Value {
        json!({
            "yearly": { "figure": self.yearly_km, "unit": "km" }, "years": self.years,
            "asking_price": { "currency": "EUR", "amount": self.asking_price }
        })
    }
}
