//! The buyer's letter before the last visit, and the dealer's reply to it.

use model::{LetterRequest, ParseError, Reply, parse_letter_request, parse_reply};
use serde_json::json;

use super::{car, people};

/// What the buyer's letter is written from.
///
/// # Errors
/// A letter that contradicts itself.
pub fn letter() -> Result<LetterRequest, ParseError> {
    let document = json!({
        "schema": "rimside.letter/1",
        "demonstration": true,
        "dated": "2026-11-16",
        "from": { "name": people::BUYER, "contact": "amara@quill.example" },
        "to": { "name": people::DEALER, "contact": "sales@saltmarsh.example" },
        "car": {
            "description": "Corvane Tessel, two-seater, mid engine",
            "registration": car::REGISTRATION,
            "vin": car::VIN,
            "odometer": { "figure": 41_080, "unit": "km" },
            "first_registered": "2022-03-14",
            "front": "carbon_ceramic",
            "rear": "carbon_ceramic",
            "asking_price": { "currency": "EUR", "amount": "98000" }
        }
    });
    parse_letter_request(document.to_string().as_bytes())
}

/// The dealer's reply: friendly, and not all of it fits.
///
/// # Errors
/// A reply that contradicts itself.
pub fn reply() -> Result<Reply, ParseError> {
    let answer = |about: &str, words: &str, claims: serde_json::Value| json!({ "about": about, "words": words, "claims": claims });
    let document = json!({
        "schema": "rimside.reply/1",
        "from": people::DEALER,
        "dated": "2026-11-18",
        "how": "by e-mail",
        "answers": [
            answer("originals", "Yes, all four discs are the first ones.", json!([{ "says": "discs_are_first", "yes": true }])),
            answer("weighed", "There has never been a reason to.", json!([{ "says": "not_known" }])),
            answer("faces", "The car was serviced with us every year.", json!([])),
            answer("pad_sets", "One set in front, one at the rear.", json!([
                { "says": "pad_sets", "axle": "front", "count": 1 }, { "says": "pad_sets", "axle": "rear", "count": 1 }
            ])),
            answer("linings", "More than half all round, at least 6 mm.", json!([
                { "says": "lining", "axle": "front", "lining_mm": 6.0 }, { "says": "lining", "axle": "rear", "lining_mm": 6.0 }
            ])),
            answer("cleaner", "Washed by hand, with plain water.", json!([{ "says": "water_only" }])),
            answer("hard_use", "No, a weekend car.", json!([{ "says": "hard_use", "yes": false }])),
            answer("callipers", "Fluid was changed at the last service.", json!([
                { "says": "fluid_changed", "day": "2025-11-10", "class": "dot4" }
            ])),
            answer("life", "Ceramic brakes are a lifetime item, you will never have to touch them.", json!([
                { "says": "lasts_for_ever" }
            ])),
            answer("signed", "We can talk about that when you are here.", json!([]))
        ],
        "besides": "She stops like on the first day."
    });
    parse_reply(document.to_string().as_bytes())
}
