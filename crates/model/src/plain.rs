//! The parser's messages in words for people who never saw the program's types.

use serde_json::Value;
use serde_path_to_error::{Path, Segment};

use crate::parse::Problem;

/// How the parser says it, and how a person would.
const WORDS: [(&str, &str); 9] = [
    ("expected f64", "expected a number"),
    ("expected u8", "expected a whole number from 0 to 255"),
    ("expected u16", "expected a whole number from 0 to 65535"),
    ("expected u32", "expected a whole number from 0 to 4294967295"),
    ("expected u64", "expected a whole number from 0"),
    ("expected usize", "expected a whole number from 0"),
    ("expected struct ", "expected an object: "),
    ("expected value", "expected a JSON value"),
    ("expected unit", "expected null"),
];

/// What the library for days and times says; it names neither what came nor what was expected.
const OF_TIMES: [&str; 6] = [
    "premature end of input",
    "input contains invalid characters",
    "input is out of range",
    "trailing input",
    "no possible date and time matching input",
    "input is not enough for unique date and time",
];

/// The longest path that is shown; deeper ones come from documents that only nest.
const MOST_PATH: usize = 160;

/// A parser's error at this place of the document, in words.
pub fn explain(path: &Path, error: &serde_json::Error, bytes: &[u8]) -> Problem {
    let message = error.to_string();
    if OF_TIMES.iter().any(|words| message.starts_with(words)) {
        let got = find(path, bytes).map_or_else(String::new, |got| format!("got {got}, "));
        let expected =
            "expected a day (2026-11-24) or, for a moment, its time and offset too (2026-11-24T14:02:00+01:00)";
        let place = format!(" at line {} column {}", error.line(), error.column());
        return Problem::new(shorten(&path.to_string()), format!("{got}{expected}{place}"));
    }
    let message = WORDS.iter().fold(message, |message, (theirs, ours)| message.replace(theirs, ours));
    Problem::new(shorten(&path.to_string()), message)
}

/// What stands at this place, as JSON cut to 80 characters.
fn find(path: &Path, bytes: &[u8]) -> Option<String> {
    let document: Value = serde_json::from_slice(bytes).ok()?;
    let value = path.iter().try_fold(&document, |value, segment| match segment {
        Segment::Map { key } => value.get(key),
        Segment::Seq { index } => value.get(index),
        Segment::Enum { variant } => value.get(variant),
        Segment::Unknown => None,
    })?;
    Some(value.to_string().chars().take(80).collect())
}

fn shorten(path: &str) -> String {
    match path.char_indices().nth(MOST_PATH) {
        None => path.to_owned(),
        Some((at, _)) => format!("{}…", &path[..at]),
    }
}
