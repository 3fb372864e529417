//! For the page on which anybody checks a report, as WebAssembly: the signature at once, and with the feature `rerender`
//! the record reckoned and drawn again. It decides nothing; it turns what a page hands over into a call and the result
//! into bytes or JSON.

#[cfg(feature = "rerender")]
mod shown;
mod standing;
#[cfg(feature = "rerender")]
mod whole;

#[cfg(feature = "rerender")]
pub use shown::Shown;
pub use standing::Standing;

#[cfg(feature = "rerender")]
pub use whole::{reckon_inspection, render_record, verify_file};

use verify::TrustTexts;
use wasm_bindgen::prelude::wasm_bindgen;

/// The verdict on a file's signature as JSON, without drawing its pages: quick, and never *Genuine*.
///
/// `roots` are certificates in PEM, one after another, that the reader brings; `papers` is what a firm shows of itself, as
/// [`Standing::papers`] gives it, or empty: it counts for that firm's files alone; `now` is the reader's clock (RFC 3339).
///
/// # Errors
/// A sentence that says what is wrong with a root, the papers or the time.
#[wasm_bindgen]
pub fn verify_signature(file: &[u8], roots: &str, papers: &str, now: &str) -> Result<String, String> {
    let trust = read_trust(file, roots, papers, now)?;
    as_json(&verify::check_signature(file, &trust))
}

const END: &str = "-----END CERTIFICATE-----";

fn read_time(text: &str) -> Result<chrono::DateTime<chrono::Utc>, String> {
    let at = chrono::DateTime::parse_from_rfc3339(text);
    at.map(|at| at.to_utc()).map_err(|error| format!("got {text:?} for the time: {error}"))
}

/// By a firm's papers if the file is that firm's, else by the roots that the reader brings.
fn read_trust(file: &[u8], roots: &str, papers: &str, now: &str) -> Result<verify::Trust, String> {
    let mut texts = TrustTexts::at(read_time(now)?);
    if !papers.is_empty() {
        let kept: standing::Kept =
            serde_json::from_str(papers).map_err(|error| format!("the firm's papers: {error}"))?;
        let trust = kept.texts(texts.at)?.parse().map_err(|error| error.to_string())?;
        let is_theirs = verify::check_signature(file, &trust).root.is_some_and(|root| root.given_by_reader);
        if is_theirs {
            return Ok(trust);
        }
    }
    texts.roots =
        roots.split_inclusive(END).filter(|text| text.contains(END)).map(|text| format!("{}\n", text.trim())).collect();
    texts.parse().map_err(|error| error.to_string())
}

fn as_json(verdict: &verify::Verdict) -> Result<String, String> {
    serde_json::to_string(verdict).map_err(|error| error.to_string())
}
