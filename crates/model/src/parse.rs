//! The doors: bytes to an inspection, bytes to a record; with errors that name the field.

use serde::de::DeserializeOwned;

use crate::{
    check,
    condition_statement::{ConditionStatement, StatementContent},
    doubled,
    inspection::Inspection,
    letter::{LetterRequest, Reply},
    plain,
    record::Record,
    unknown,
};

/// The largest inspection or record that is read, in bytes.
pub const MAX_DOCUMENT_BYTES: usize = 8 * 1024 * 1024;

/// One thing that is wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The field, as a path: `readings[2].points[0].value`; `.` for the whole.
    pub field: String,
    /// What came and what was expected.
    pub message: String,
}

impl Problem {
    pub(crate) fn new(field: impl Into<String>, message: impl Into<String>) -> Self {
        Self { field: field.into(), message: message.into() }
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let field = if self.field == "." { "the document" } else { &self.field };
        write!(f, "{field}: {}", self.message)
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
    /// A record whose bytes are not its canonical form.
    #[error("the record is not in its canonical form (RFC 8785); it differs first at byte {at}")]
    NotCanonical {
        /// The first byte that differs, counted from 0.
        at: usize,
    },
}

fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, ParseError> {
    if bytes.len() > MAX_DOCUMENT_BYTES {
        return Err(ParseError::TooLarge { got: bytes.len() });
    }
    doubled::refuse(bytes).map_err(ParseError::Field)?;
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut json)
        .map_err(|error| ParseError::Field(plain::explain(error.path(), error.inner(), bytes)))?;
    json.end().map_err(|error| ParseError::Field(Problem::new(".", error.to_string())))?;
    Ok(value)
}

fn agreed<T>(value: T, problems: Vec<Problem>) -> Result<T, ParseError> {
    if problems.is_empty() { Ok(value) } else { Err(ParseError::Contradictions(problems)) }
}

/// Reads an inspection.
///
/// # Errors
/// The first field that is wrong in itself, or all contradictions between fields.
pub fn parse_inspection(bytes: &[u8]) -> Result<Inspection, ParseError> {
    let inspection: Inspection = parse(bytes)?;
    unknown::refuse(bytes, &inspection).map_err(ParseError::Field)?;
    let problems = check::inspection(&inspection);
    agreed(inspection, problems)
}

/// Reads what a letter is to be written from.
///
/// # Errors
/// As [`parse_inspection`].
pub fn parse_letter_request(bytes: &[u8]) -> Result<LetterRequest, ParseError> {
    let request: LetterRequest = parse(bytes)?;
    unknown::refuse(bytes, &request).map_err(ParseError::Field)?;
    let problems = check::letter(&request);
    agreed(request, problems)
}

/// Reads a reply to a letter.
///
/// # Errors
/// As [`parse_inspection`].
pub fn parse_reply(bytes: &[u8]) -> Result<Reply, ParseError> {
    let reply: Reply = parse(bytes)?;
    unknown::refuse(bytes, &reply).map_err(ParseError::Field)?;
    let problems = check::reply(&reply);
    agreed(reply, problems)
}

/// Reads what a condition statement is to say; `has_report` tells whether a report will go with it.
///
/// # Errors
/// As [`parse_inspection`].
pub fn parse_statement_content(bytes: &[u8], has_report: bool) -> Result<StatementContent, ParseError> {
    let content: StatementContent = parse(bytes)?;
    unknown::refuse(bytes, &content).map_err(ParseError::Field)?;
    let problems = check::statement_content(&content, has_report);
    agreed(content, problems)
}

/// Reads a condition statement that must be in its canonical form to the byte.
///
/// # Errors
/// As [`parse_canonical_record`].
pub fn parse_canonical_statement(bytes: &[u8]) -> Result<ConditionStatement, ParseError> {
    let statement: ConditionStatement = parse(bytes)?;
    let problems = check::condition_statement(&statement);
    let statement = agreed(statement, problems)?;
    let canonical =
        statement.canonical_bytes().map_err(|error| ParseError::Field(Problem::new(".", error.to_string())))?;
    same_as_canonical(statement, &canonical, bytes)
}

/// Reads a record in whatever spelling of JSON.
///
/// # Errors
/// As [`parse_inspection`].
pub fn parse_record(bytes: &[u8]) -> Result<Record, ParseError> {
    let record: Record = parse(bytes)?;
    unknown::refuse(bytes, &record).map_err(ParseError::Field)?;
    let problems = check::record(&record);
    agreed(record, problems)
}

/// Reads a record that must be in its canonical form to the byte: what was hashed is what is read.
///
/// # Errors
/// As [`parse_record`]; and [`ParseError::NotCanonical`].
pub fn parse_canonical_record(bytes: &[u8]) -> Result<Record, ParseError> {
    let record: Record = parse(bytes)?;
    let problems = check::record(&record);
    let record = agreed(record, problems)?;
    // A field that nobody reads is missing here, so that the bytes differ.
    let canonical =
        record.canonical_bytes().map_err(|error| ParseError::Field(Problem::new(".", error.to_string())))?;
    same_as_canonical(record, &canonical, bytes)
}

fn same_as_canonical<T>(read: T, canonical: &[u8], bytes: &[u8]) -> Result<T, ParseError> {
    if canonical == bytes {
        return Ok(read);
    }
    let at = canonical.iter().zip(bytes).position(|(one, other)| one != other);
    Err(ParseError::NotCanonical { at: at.unwrap_or(canonical.len().min(bytes.len())) })
}
