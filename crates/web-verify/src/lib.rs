//! For the page on which anybody checks a report, as WebAssembly: the signature at once, and with the feature `rerender`
//! the record reckoned and drawn again. It decides nothing; it turns what a page hands over into a call and the result
//! into bytes or JSON.

#[cfg(feature = "rerender")]
mod whole;

#[cfg(feature = "rerender")]
pub use whole::{reckon_inspection, render_record, verify_file};

use verify::TrustTexts;
use wasm_bindgen::prelude::wasm_bindgen;

/// The verdict on a file's signature as JSON, without drawing its pages: quick, and never *Genuine*.
///
/// `roots` are certificates in PEM, one after another; `now` is the reader's clock (RFC 3339).
///
/// # Errors
/// A sentence that says what is wrong with a root or the time.
#[wasm_bindgen]
pub fn verify_signature(file: &[u8], roots: &str, now: &str) -> Result<String, String> {
    let trust = read_trust(roots, now)?;
    as_json(&verify::check_signature(file, &trust))
}

const END: &str = "-----END CERTIFICATE-----";

fn read_trust(roots: &str, now: &str) -> Result<verify::Trust, String> {
    let at = chrono::DateTime::parse_from_rfc3339(now).map_err(|error| format!("got {now:?} for the time: {error}"))?;
    let mut texts = TrustTexts::at(at.to_utc());
    texts.roots =
        roots.split_inclusive(END).filter(|text| text.contains(END)).map(|text| format!("{}\n", text.trim())).collect();
    texts.parse().map_err(|error| error.to_string())
}

fn as_json(verdict: &verify::Verdict) -> Result<String, String> {
    serde_json::to_string(verdict).map_err(|error| error.to_string())
}
