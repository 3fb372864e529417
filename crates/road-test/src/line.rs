//! Text that is read line by line, without ever holding more than a line.

use std::io::{self, Read};

use crate::RecordingError;

/// No line of a recording is longer.
const MOST_IN_LINE: u32 = 4096;

/// Refuses a line that goes on and on before it fills the memory.
pub(crate) struct Lines<R> {
    inner: R,
    in_line: u32,
}

impl<R: Read> Lines<R> {
    pub(crate) const fn new(inner: R) -> Self {
        Self { inner, in_line: 0 }
    }
}

impl<R: Read> Read for Lines<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let most = buffer.len().min(MOST_IN_LINE as usize);
        let read = self.inner.read(&mut buffer[..most])?;
        for &byte in &buffer[..read] {
            self.in_line = if byte == b'\n' { 0 } else { self.in_line + 1 };
            if self.in_line > MOST_IN_LINE {
                return Err(io::Error::new(
                    io::ErrorKind::InvalidData,
                    format!("a line has more than {MOST_IN_LINE} characters; this is no table"),
                ));
            }
        }
        Ok(read)
    }
}

/// A table with a header, read row by row.
pub(crate) struct Table<R> {
    rows: csv::Reader<Lines<R>>,
    names: Vec<String>,
    row: csv::StringRecord,
}

impl<R: Read> Table<R> {
    pub(crate) fn open(input: R) -> Result<Self, RecordingError> {
        let mut rows =
            csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_reader(Lines::new(input));
        let names = rows.headers().map_err(read_error)?.iter().map(str::to_ascii_lowercase).collect();
        Ok(Self { rows, names, row: csv::StringRecord::new() })
    }

    /// The place of the first of these names that is there, with its number in the list.
    pub(crate) fn find(&self, names: &[&str]) -> Option<(usize, usize)> {
        names.iter().enumerate().find_map(|(nth, name)| Some((self.names.iter().position(|one| one == name)?, nth)))
    }

    pub(crate) fn columns_error(&self, expected: &'static str) -> RecordingError {
        let got: Vec<String> = self.names.iter().take(12).map(|name| name.chars().take(24).collect()).collect();
        RecordingError::Columns { got: got.join(", "), expected }
    }

    /// Goes to the next row; false at the end.
    pub(crate) fn next(&mut self) -> Result<bool, RecordingError> {
        self.rows.read_record(&mut self.row).map_err(read_error)
    }

    pub(crate) fn line(&self) -> u64 {
        self.row.position().map_or(0, csv::Position::line)
    }

    pub(crate) fn text(&self, column: usize) -> &str {
        self.row.get(column).unwrap_or_default()
    }

    /// A finite number in this column of the row.
    pub(crate) fn number(&self, column: usize, expected: &'static str) -> Result<f64, RecordingError> {
        let number = self.text(column).parse().ok().filter(|value: &f64| value.is_finite());
        number.ok_or_else(|| self.refuse(column, expected))
    }

    /// Why what stands in this column of the row is not taken.
    pub(crate) fn refuse(&self, column: usize, expected: &'static str) -> RecordingError {
        RecordingError::Line { line: self.line(), got: self.text(column).chars().take(40).collect(), expected }
    }
}

fn read_error(error: csv::Error) -> RecordingError {
    let line = error.position().map_or(0, csv::Position::line);
    match error.into_kind() {
        csv::ErrorKind::Io(error) => RecordingError::Read(error),
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => RecordingError::Line {
            line,
            got: format!("{len} columns"),
            expected: if expected_len == 1 { "one column" } else { "as many columns as the header names" },
        },
        csv::ErrorKind::Utf8 { .. } => {
            RecordingError::Line { line, got: "bytes that are no text".to_owned(), expected: "a table as text (UTF-8)" }
        }
        other => RecordingError::Line { line, got: format!("{other:?}").chars().take(80).collect(), expected: "a row" },
    }
}
