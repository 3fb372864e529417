use std::io;

/// Why a recording cannot be used: what is wrong, where, and what was expected.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RecordingError {
    /// The file could not be read.
    #[error("the recording could not be read: {0}")]
    Read(#[from] io::Error),
    /// The header of a table does not name what is needed.
    #[error("line 1: the columns are {got}; expected {expected}")]
    Columns {
        /// The names that are there.
        got: String,
        /// What is missing.
        expected: &'static str,
    },
    /// A line that cannot be read.
    #[error("line {line}: got {got:?}, expected {expected}")]
    Line {
        /// Counted from 1, the header included.
        line: u64,
        /// What stands there.
        got: String,
        /// What should.
        expected: &'static str,
    },
    /// A clock that does not run forward.
    #[error("line {line}: the clock went from {before} s to {after} s; each line must be later than the one before")]
    Clock {
        /// Counted from 1.
        line: u64,
        /// Seconds of the line before.
        before: f64,
        /// Seconds of this line.
        after: f64,
    },
    /// Bytes that cannot be read.
    #[error("byte {byte}: got {got}, expected {expected}")]
    Byte {
        /// Counted from 0.
        byte: u64,
        /// What stands there.
        got: String,
        /// What should.
        expected: String,
    },
    /// More than is read.
    #[error("the recording has more than {most} {what}; cut it to the road test")]
    TooLong {
        /// The limit.
        most: u64,
        /// Of what.
        what: &'static str,
    },
    /// Too little to say anything.
    #[error("the recording has {got}; expected {expected}")]
    TooShort {
        /// What there is.
        got: String,
        /// What is needed.
        expected: String,
    },
    /// Figures that no recording of a drive can have.
    #[error("{what}: got {got}, expected {expected}")]
    Implausible {
        /// What was looked at.
        what: &'static str,
        /// What it is.
        got: String,
        /// What it should be, and what may be the matter.
        expected: &'static str,
    },
}
