//! A whole inspection and its record, and ways to spoil them.

use model::{Inspection, ParseError, Record, parse_inspection, parse_record};
use serde_json::Value;

/// An invented inspection that holds every kind of thing.
pub fn document() -> Value {
    serde_json::from_str(include_str!("../../src/sample/inspection.json")).expect("the sample is JSON")
}

/// An invented record around it.
pub fn record() -> Value {
    let mut record: Value =
        serde_json::from_str(include_str!("../../src/sample/record.json")).expect("the sample is JSON");
    record["inspection"] = document();
    record
}

/// Reads a document through the door.
pub fn read(document: &Value) -> Result<Inspection, ParseError> {
    parse_inspection(document.to_string().as_bytes())
}

/// Reads a record through the door.
pub fn read_record(record: &Value) -> Result<Record, ParseError> {
    parse_record(record.to_string().as_bytes())
}

/// The sample with the value at this JSON pointer replaced.
pub fn with(pointer: &str, value: Value) -> Value {
    replaced(document(), pointer, value)
}

/// This document with the value at this JSON pointer replaced.
pub fn replaced(mut document: Value, pointer: &str, value: Value) -> Value {
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

/// What the door says of the sample record with this value replaced.
pub fn record_refusal(pointer: &str, value: Value) -> String {
    match read_record(&replaced(record(), pointer, value)) {
        Ok(_) => panic!("{pointer} was not refused"),
        Err(error) => error.to_string(),
    }
}

/// Asserts that a refusal says all of this.
#[track_caller]
pub fn says(refusal: &str, words: &[&str]) {
    for word in words {
        assert!(refusal.contains(word), "{refusal:?} does not say {word:?}");
    }
}
