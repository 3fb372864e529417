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

use verify::{TrustTexts, WitnessPolicy};
use wasm_bindgen::prelude::wasm_bindgen;

/// The verdict on a file's signature as JSON, without drawing its pages: quick, and never *Genuine*.
///
/// `roots` are certificates in PEM, one after another, that the reader brings; `papers` is what a firm shows of itself, as
/// [`Standing::papers`] gives it, or empty: it counts for that firm's files alone; `witnesses` is what [`read_witnesses`]
/// gave, or empty: their word counts for the time in that firm's log; `now` is the reader's clock (RFC 3339).
///
/// # Errors
/// A sentence that says what is wrong with a root, the papers, the witnesses or the time.
#[wasm_bindgen]
pub fn verify_signature(file: &[u8], roots: &str, papers: &str, witnesses: &str, now: &str) -> Result<String, String> {
    let trust = read_trust(file, roots, papers, witnesses, now)?;
    as_json(&verify::check_signature(file, &trust))
}

/// The witnesses whose word a reader takes, as JSON with `names`, `keys` and `needed`: to be shown, kept, and given with a file
/// that is checked. `text` has keys one a line, or a policy of C2SP `tlog-policy`; `needed` is how many of them have to have
/// signed where the text does not say it, and all of them if it is 0.
///
/// # Errors
/// A sentence that says what is wrong with which line.
#[wasm_bindgen]
pub fn read_witnesses(text: &str, needed: u32) -> Result<String, String> {
    let needed = (needed > 0).then_some(needed as usize);
    let policy = WitnessPolicy::parse(text, needed).map_err(|error| error.to_string())?;
    let names = policy.names().into_iter().map(str::to_owned).collect();
    let known = KnownWitnesses { names, keys: policy.keys(), needed: policy.needed() };
    serde_json::to_string(&known).map_err(|error| error.to_string())
}

/// Witnesses as a page keeps them.
#[derive(serde::Serialize, serde::Deserialize)]
struct KnownWitnesses {
    names: Vec<String>,
    keys: Vec<String>,
    needed: usize,
}

const END: &str = "-----END CERTIFICATE-----";

fn read_time(text: &str) -> Result<chrono::DateTime<chrono::Utc>, String> {
    let at = chrono::DateTime::parse_from_rfc3339(text);
    at.map(|at| at.to_utc()).map_err(|error| format!("got {text:?} for the time: {error}"))
}

/// By a firm's papers if the file is that firm's, else by the roots that the reader brings. Witnesses speak of a log, which
/// only the papers name.
fn read_trust(file: &[u8], roots: &str, papers: &str, witnesses: &str, now: &str) -> Result<verify::Trust, String> {
    let mut texts = TrustTexts::at(read_time(now)?);
    if !papers.is_empty() {
        let kept: standing::Kept =
            serde_json::from_str(papers).map_err(|error| format!("the firm's papers: {error}"))?;
        let mut kept = kept.texts(texts.at)?;
        if !witnesses.is_empty() {
            let known: KnownWitnesses =
                serde_json::from_str(witnesses).map_err(|error| format!("the witnesses: {error}"))?;
            (kept.witnesses, kept.witnesses_needed) = (known.keys, Some(known.needed));
        }
        let trust = kept.parse().map_err(|error| error.to_string())?;
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
