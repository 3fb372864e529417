//! The witnesses that a log asks, as lines of C2SP `tlog-policy`: `witness <name> <key> <address>`.

use std::time::Duration;

use log::WitnessKey;
use seal::receipt::NoteKeyError;

use super::HttpWitness;
use crate::address::AddressError;

/// Why a line names no witness.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WitnessLineError {
    /// Another line.
    #[error("line {line}: got {got:?}, expected `witness <name> <key> <address>`")]
    Shape {
        /// Counted from 1.
        line: usize,
        /// What stands there.
        got: String,
    },
    /// The key.
    #[error("line {line}: {cause}")]
    Key {
        /// Counted from 1.
        line: usize,
        /// Why.
        #[source]
        cause: NoteKeyError,
    },
    /// The address.
    #[error("line {line}: {cause}")]
    Address {
        /// Counted from 1.
        line: usize,
        /// Why.
        #[source]
        cause: AddressError,
    },
}

/// Reads the lines; empty ones and those that begin with # are left out. Each witness answers within `limit`.
///
/// # Errors
/// [`WitnessLineError`], with the line.
pub fn parse_witnesses(text: &str, limit: Duration) -> Result<Vec<(WitnessKey, HttpWitness)>, WitnessLineError> {
    let lines = (1..).zip(text.lines().map(str::trim));
    lines
        .filter(|(_, text)| !text.is_empty() && !text.starts_with('#'))
        .map(|(line, text)| parse_line(line, text, limit))
        .collect()
}

fn parse_line(line: usize, text: &str, limit: Duration) -> Result<(WitnessKey, HttpWitness), WitnessLineError> {
    let words: Vec<&str> = text.split_ascii_whitespace().collect();
    let ["witness", _, key, address] = words[..] else {
        return Err(WitnessLineError::Shape { line, got: text.to_owned() });
    };
    let key = WitnessKey::parse(key).map_err(|cause| WitnessLineError::Key { line, cause })?;
    let way = HttpWitness::parse(address, limit).map_err(|cause| WitnessLineError::Address { line, cause })?;
    Ok((key, way))
}

/// The line of a witness; its own name stands for it in the file as well.
pub fn spell_witness(key: &WitnessKey, address: &str) -> String {
    format!("witness {} {} {address}\n", key.name(), key.to_text())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_read_as_it_is_spelt_and_another_is_told_with_its_place() {
        // The key of C2SP's own checks: transparency-dev/formats, note_cosigv1_test.go.
        let text = "remora.n621.de+da77ade7+BOvN63jn/bLvkieywe8R6UYAtVtNbZpXh34x7onlmtw2";
        let key = WitnessKey::parse(text).unwrap();
        let read = |text: &str| parse_witnesses(text, Duration::from_secs(1)).map_err(|error| error.to_string());
        let line = spell_witness(&key, "http://witness.example:4719/w1");
        assert_eq!(read(&format!("# ours\n\n{line}")).unwrap()[0].0, key);
        assert!(read(&line.replace("witness.example:4719", "[::1]:4719")).is_ok());
        assert!(read("\nwitness w1\n").unwrap_err().starts_with("line 2: got \"witness w1\""));
        assert!(read(&line.replace("da77ade7", "da77ade8")).unwrap_err().contains("the id of the key"));
        for address in [
            "ftp://witness.example",
            "witness.example",
            "http://",
            "http://h:port",
            "http://h:70000",
            "http://me@h",
            "http://h?q",
            "http://a b",
        ] {
            assert!(read(&line.replace("http://witness.example:4719/w1", address)).is_err(), "{address}");
        }
    }
}
