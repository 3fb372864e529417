//! The manifest of the vectors: what each file is, what a reader brings, what a verifier has to answer.

use serde::{Deserialize, Serialize};

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    pub about: String,
    pub reports: Vec<Report>,
    pub logs: Vec<Log>,
}

/// A file and what is said of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Report {
    pub name: String,
    /// What this vector is there for.
    pub shows: String,
    pub file: String,
    #[serde(flatten)]
    pub brought: Brought,
    pub expected: Expected,
    /// Where a verifier that does not draw the pages answers otherwise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_drawing: Option<WithoutDrawing>,
}

/// What a reader brings: paths of files, and two times.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Brought {
    pub at: String,
    pub roots: Vec<String>,
    pub revocation_lists: Vec<String>,
    /// For the reports of the one root.
    pub logs: Vec<String>,
    pub witnesses: Vec<String>,
    pub witnesses_needed: Option<usize>,
    pub statements: Vec<String>,
    pub statements_complete_as_of: Option<String>,
    /// What the firm shows (section 7.8), read at the time of the check; then nothing else is brought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub firm: Option<Firm>,
}

/// A firm's folder.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Firm {
    pub folder: String,
    pub files: Vec<String>,
}

/// Each answer is `passed`, `failed: <code>` or `not checked: <code>`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    pub unchanged: String,
    pub whose: String,
    pub since_when: String,
    pub still_stands: String,
    pub headline: String,
    pub remarks: Vec<String>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WithoutDrawing {
    pub unchanged: String,
    pub headline: String,
    pub because: String,
}

/// A log's folder and what an audit says of it: `good`, or a code of section 7.7.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Log {
    pub name: String,
    pub shows: String,
    pub folder: String,
    pub files: Vec<String>,
    pub key: String,
    /// A checkpoint that the reader kept from before.
    pub seen: Option<String>,
    pub expected: String,
}
