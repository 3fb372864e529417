//! The people and the firms, all invented.

use model::PartyRole;
use serde_json::{Value, json};

/// The inspector's firm.
pub const FIRM: &str = "Harbour & Vale Inspections";
/// The inspector.
pub const INSPECTOR: &str = "Ines Okafor-Lind";
/// The office.
pub const OFFICE: &str = "Tomas Reyl";
/// The buyer of the last visit.
pub const BUYER: &str = "Amara Quill";
/// The dealer who sells the car.
pub const DEALER: &str = "Saltmarsh Motor House";
/// The keeper of the car between the first visit and the last.
pub const KEEPER: &str = "Odile Ferrant-Skye";
/// The dealer's workshop hand.
pub const WORKSHOP_HAND: &str = "Łukasz Đặng";

/// On whose behalf a visit is made, and with whose leave.
#[derive(Debug, Clone, Copy)]
pub(super) struct Instruction {
    pub by: &'static str,
    pub role: PartyRole,
    pub owner: &'static str,
    pub permission: &'static str,
}

impl Instruction {
    /// As an inspection's `instruction`.
    pub fn entry(&self) -> Value {
        json!({
            "by": { "name": self.by, "role": self.role }, "owner": self.owner, "owner_permission": self.permission
        })
    }
}

/// Who inspects, as an inspection's `inspector`.
pub(super) fn inspector() -> Value {
    json!({
        "name": INSPECTOR,
        "firm": FIRM,
        "independence": "No ties to buyer, seller, dealer or parts trade; paid by the hour whatever the result",
        "insurance": "Professional indemnity, Lantern Mutual (invented), no. 00-4471, up to EUR 500 000",
        "contact": "3 Quay Steps, Port Merrow; office@harbour-vale.example"
    })
}
