//! The people and the firms, all invented.

use serde_json::{Value, json};

/// The inspector's firm.
pub const FIRM: &str = "Harbour & Vale Inspections";
/// The inspector.
pub const INSPECTOR: &str = "Ines Okafor-Lind";

/// Who inspects, as an inspection's `inspector`.
pub fn inspector() -> Value {
    json!({
        "name": INSPECTOR,
        "firm": FIRM,
        "independence": "no ties to buyer, seller, dealer or parts trade; paid by the hour whatever the result",
        "insurance": "professional indemnity, Lantern Mutual (invented), no. 00-4471, up to EUR 500 000",
        "contact": "office@harbour-vale.example"
    })
}

/// On whose behalf the last visit was made.
pub fn buyers_instruction() -> Value {
    json!({
        "by": { "name": "Amara Quill", "role": "buyer" },
        "owner": "Saltmarsh Motor House",
        "owner_permission": "in writing, 2026-11-23, to inspect with wheels off and to drive up to 20 km"
    })
}

/// On whose behalf the earlier visits were made.
pub fn owners_instruction(day: &str) -> Value {
    json!({
        "by": { "name": "Odile Ferran", "role": "seller" },
        "owner": "Odile Ferran",
        "owner_permission": format!("in writing, {day}, to inspect with wheels off and to drive")
    })
}

/// What the buyer and the inspector asked before the last visit.
pub fn questions() -> Value {
    json!([
        {
            "asked_by": "Amara Quill",
            "question": "Have the discs ever been renewed, and do you have the invoices?",
            "answer": "No, all four are the first ones. (Saltmarsh Motor House, by e-mail, 2026-11-23)"
        },
        {
            "asked_by": "Ines Okafor-Lind",
            "question": "Which wheel cleaner has been used?",
            "answer": "Not known. (Saltmarsh Motor House, by telephone)"
        },
        {
            "asked_by": "Ines Okafor-Lind",
            "question": "Was the car driven on a track?",
            "answer": null
        }
    ])
}

/// What the inspector adds at the last visit; with names and a language that a font must be able to print.
pub const REMARKS: &str = "Łukasz Đặng of the dealer's workshop took the wheels off and put them back to the maker's torque.\nNote left in the service folder by an earlier keeper: «Ο πίσω αριστερός δαγκάνας ζεσταίνεται.» (The rear left calliper gets hot.)";
