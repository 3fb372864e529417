//! A whole inspection, and ways to spoil it.

use model::{Inspection, ParseError, parse_inspection};
use serde_json::Value;

/// An invented inspection that holds every kind of thing.
pub fn document() -> Value {
    serde_json::from_str(include_str!("sample.json")).expect("the sample is JSON")
}

/// Reads a document through the door.
pub fn read(document: &Value) -> Result<Inspection, ParseError> {
    parse_inspection(document.to_string().as_bytes())
}

/// The sample with the value at this JSON pointer replaced.
pub fn with(pointer: &str, value: Value) -> Value {
    let mut document = document();
    *document.pointer_mut(pointer).unwrap_or_else(|| panic!("the sample has no {pointer}")) = value;
    document
}

/// What the door says of the sample with this value replaced.
pub fn refusal(pointer: &str, value: Value) -> String {
    match read(&with(pointer, value)) {
        Ok(_) => panic!("{pointer} was not refused"),
        Err(error) => error.to_string(),
    }
}
