//! What is entered into the log when a report is issued.

use chrono::{DateTime, SecondsFormat, SubsecRound as _, Utc};

use crate::digest::{ReportIdentity, Sha256Digest};

/// First line, with the version of the format.
const HEADER: &str = "rimside.log-entry/1";
const KIND: &str = "issued";

/// An issued report: digests and a time, no names.
///
/// Five lines, each ended by a newline: `rimside.log-entry/1`, `issued`, the report's identity, the SHA-256 of the
/// signature value (so that a second signature over the same report, made later with a stolen key, gains nothing from
/// the first one's receipt), and the time of entry in UTC by the log's clock, whole seconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogEntry {
    /// Which report.
    pub report: ReportIdentity,
    /// SHA-256 of its 64-byte signature value.
    pub signature: Sha256Digest,
    /// When it was entered, by the log's clock.
    pub at: DateTime<Utc>,
}

impl LogEntry {
    /// The entry for a report with the given signature value, at a time that is cut to whole seconds.
    pub fn new(report: ReportIdentity, signature: &[u8], at: DateTime<Utc>) -> Self {
        Self { report, signature: Sha256Digest::of(signature), at: at.trunc_subsecs(0) }
    }

    /// The entry as it stands in the log.
    pub fn to_text(&self) -> String {
        let at = self.at.to_rfc3339_opts(SecondsFormat::Secs, true);
        format!("{HEADER}\n{KIND}\n{}\n{}\n{at}\n", self.report, self.signature)
    }

    /// Reads exactly what [`LogEntry::to_text`] writes.
    pub fn parse(bytes: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes).ok()?;
        let mut lines = text.split('\n').skip(2);
        let report = ReportIdentity(Sha256Digest::parse_hex(lines.next()?)?);
        let signature = Sha256Digest::parse_hex(lines.next()?)?;
        let at = DateTime::parse_from_rfc3339(lines.next()?).ok()?.to_utc();
        let entry = Self { report, signature, at };
        (entry.to_text() == text).then_some(entry)
    }
}
