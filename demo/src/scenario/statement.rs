//! What the dealer states in the end, resting on the inspector's report.

use model::{ParseError, StatementContent, parse_statement_content};
use serde_json::json;

use super::{car, people};

/// What the dealer's condition statement says.
///
/// # Errors
/// A statement that contradicts itself.
pub fn statement() -> Result<StatementContent, ParseError> {
    let document = json!({
        "demonstration": true,
        "firm": people::DEALER,
        "contact": "sales@saltmarsh.example",
        "asked_by": people::BUYER,
        "asked_on": "2026-11-16",
        "car": {
            "description": "Corvane Tessel, two-seater, mid engine", "vin": car::VIN,
            "registration": car::REGISTRATION, "odometer": { "figure": 41_080, "unit": "km" }
        },
        "answers": [
            { "question": "In what condition are the discs?",
              "answer": "The rear left disc is at the end of its life. The others are part-worn, as the report inside says.",
              "basis": "report" },
            { "question": "Are all four discs the first ones?",
              "answer": "Yes, by our service file.", "basis": "own_findings" },
            { "question": "With what were the wheels cleaned before the car came to you?",
              "answer": "That we do not know.", "basis": "not_known" }
        ],
        "findings": [
            { "what": "Service file, brakes", "found": "no disc on any invoice", "how": "read from 2022-03 to 2026-11",
              "by": "Owen Tarrow", "on": "2026-11-24" }
        ],
        "before_handover": [
            { "what": "Rear discs, pads and wear leads renewed, rear left calliper overhauled", "by_day": "2026-12-11" }
        ],
        "limits": "We did not take the front discs off their hubs."
    });
    parse_statement_content(document.to_string().as_bytes(), true)
}
