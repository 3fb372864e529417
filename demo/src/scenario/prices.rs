//! What renewal costs, as the office took it down.

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
