//! What needs the reckoning and the renderer.

use wasm_bindgen::prelude::wasm_bindgen;

use crate::{as_json, read_trust};

/// What an inspection comes to, as JSON; the same figures as on any other machine, to the bit.
///
/// # Errors
/// A sentence that names the fields that are wrong.
#[wasm_bindgen]
pub fn reckon_inspection(inspection: &[u8]) -> Result<String, String> {
    let inspection = model::parse_inspection(inspection).map_err(|error| error.to_string())?;
    let bytes = model::canonical_json(&condition::reckon(&inspection)).map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}

/// The prepared PDF of a record, the same bytes as on any other machine.
///
/// `record` is the record's canonical JSON. `photographs` are the report copies one after another, `lengths` their
/// lengths in bytes in the same order.
///
/// # Errors
/// A sentence that says what is wrong with the record or with which photograph.
#[wasm_bindgen]
pub fn render_record(record: &[u8], photographs: &[u8], lengths: &[u32]) -> Result<Vec<u8>, String> {
    let parsed = model::parse_canonical_record(record).map_err(|error| error.to_string())?;
    let mut copies = report::Copies::new();
    let mut rest = photographs;
    for (place, &length) in lengths.iter().enumerate() {
        let Some((copy, others)) = rest.split_at_checked(length as usize) else {
            return Err(format!("photograph {place} has fewer bytes than its length says"));
        };
        copies.add(copy);
        rest = others;
    }
    report::render(&parsed, record, &copies).map(|prepared| prepared.bytes).map_err(|error| error.to_string())
}

/// The verdict on a file as JSON, with the pages drawn again.
///
/// `roots`, `papers`, `witnesses` and `now` as for the signature alone.
///
/// # Errors
/// A sentence that says what is wrong with a root, the papers, the witnesses or the time.
#[wasm_bindgen]
pub fn verify_file(file: &[u8], roots: &str, papers: &str, witnesses: &str, now: &str) -> Result<String, String> {
    let trust = read_trust(file, roots, papers, witnesses, now)?;
    as_json(&verify::check_fully(file, &trust))
}
