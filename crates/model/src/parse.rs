//! The two doors: bytes to an inspection, bytes to a record; with errors that name the field.

use serde::de::DeserializeOwned;

use crate::{inspection::Inspection, record::Record};

/// The largest inspection or record that is read, in bytes.
pub const MAX_DOCUMENT_BYTES: usize = 8 * 1024 * 1024;

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The field, as a path: `readings[2].points[0].value`.
    pub field: String,
    /// What came and what was expected.
    pub message: String,
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.field, self.message)
    }
}

/// Bytes that are no inspection or record.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseError {
    /// Larger than is read.
    #[error("got {got} bytes, expected at most {MAX_DOCUMENT_BYTES}")]
    TooLarge {
        /// Bytes that came.
        got: usize,
    },
    /// A field that is wrong in itself.
    #[error("{0}")]
    Field(Problem),
    /// Fields that do not fit together; all of them.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Contradictions(Vec<Problem>),
}

fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, ParseError> {
    if bytes.len() > MAX_DOCUMENT_BYTES {
        return Err(ParseError::TooLarge { got: bytes.len() });
    }
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut json).map_err(|error| {
        ParseError::Field(Problem { field: error.path().to_string(), message: error.inner().to_string() })
    })?;
    json.end().map_err(|error| ParseError::Field(Problem { field: ".".into(), message: error.to_string() }))?;
    Ok(value)
}

/// Reads an inspection.
///
/// # Errors
/// The first field that is wrong in itself, or all contradictions between fields.
pub fn parse_inspection(bytes: &[u8]) -> Result<Inspection, ParseError> {
    parse(bytes)
}

/// Reads a record.
///
/// # Errors
/// As [`parse_inspection`].
pub fn parse_record(bytes: &[u8]) -> Result<Record, ParseError> {
    parse(bytes)
}
