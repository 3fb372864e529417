//! Who asks, who allows, who inspects.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{choice::names, text::Line};

names!(
    /// What somebody has to do with the sale.
    PartyRole {
        /// Buys the car.
        Buyer = "buyer",
        /// Sells the car privately.
        Seller = "seller",
        /// Sells the car by trade.
        Dealer = "dealer",
        /// Somebody else, such as an insurer.
        Other = "other party",
    }
);

/// Somebody who has to do with the sale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Party {
    /// The name.
    pub name: Line,
    /// The part played.
    pub role: PartyRole,
}

/// On whose behalf, and with whose leave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instruction {
    /// Who instructs and pays.
    pub by: Party,
    /// Whose car it is at the time of the visit.
    pub owner: Line,
    /// How the owner gave leave to inspect and to drive ("in writing on …").
    pub owner_permission: Line,
}

/// Who inspects.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inspector {
    /// The person.
    pub name: Line,
    /// The firm.
    pub firm: Line,
    /// A declaration of ties to buyer, seller or parts trade, or that there are none.
    pub independence: Line,
    /// Professional cover: insurer, number, up to what; or that there is none.
    pub insurance: Line,
    /// How to reach the firm.
    pub contact: Line,
}
