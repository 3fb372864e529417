//! What is entered: that a report was issued, withdrawn or superseded, that a certificate was revoked. Digests and a time, no
//! names.

use chrono::{DateTime, SecondsFormat, SubsecRound as _, Utc};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    receipt::LogEntry,
};

/// First line, with the version of the format.
const HEADER: &str = "rimside.log-entry/1";

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryKind {
    /// A report was issued.
    Issued {
        /// Which.
        report: ReportIdentity,
        /// SHA-256 of its signature value.
        signature: Sha256Digest,
    },
    /// A report was withdrawn.
    Withdrawn {
        /// Which.
        report: ReportIdentity,
        /// SHA-256 of the signed statement that says so.
        statement: Sha256Digest,
    },
    /// A report was superseded.
    Superseded {
        /// Which.
        report: ReportIdentity,
        /// By which.
        by: ReportIdentity,
        /// SHA-256 of the signed statement that says so.
        statement: Sha256Digest,
    },
    /// A certificate was revoked.
    Revoked {
        /// SHA-256 of the certificate.
        certificate: Sha256Digest,
    },
}

/// An entry of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// What happened.
    pub kind: EntryKind,
    /// When it was entered, by the log's clock, whole seconds.
    pub at: DateTime<Utc>,
}

impl EntryKind {
    /// The word for it in the log.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Issued { .. } => "issued",
            Self::Withdrawn { .. } => "withdrawn",
            Self::Superseded { .. } => "superseded",
            Self::Revoked { .. } => "revoked",
        }
    }

    /// SHA-256 of the signed statement that says so; none where nothing is said but the entry.
    pub const fn statement(&self) -> Option<Sha256Digest> {
        match self {
            Self::Withdrawn { statement, .. } | Self::Superseded { statement, .. } => Some(*statement),
            Self::Issued { .. } | Self::Revoked { .. } => None,
        }
    }
}

impl Entry {
    /// An entry, its time cut to whole seconds.
    pub fn new(kind: EntryKind, at: DateTime<Utc>) -> Self {
        Self { kind, at: at.trunc_subsecs(0) }
    }

    /// The entry as it stands in the log: the header, the kind, its digests in hexadecimal, the time in UTC, a line each.
    pub fn to_text(&self) -> String {
        let digests = match &self.kind {
            EntryKind::Issued { report, signature } => format!("{report}\n{signature}"),
            EntryKind::Withdrawn { report, statement } => format!("{report}\n{statement}"),
            EntryKind::Superseded { report, by, statement } => format!("{report}\n{by}\n{statement}"),
            EntryKind::Revoked { certificate } => certificate.to_string(),
        };
        let at = self.at.to_rfc3339_opts(SecondsFormat::Secs, true);
        format!("{HEADER}\n{}\n{digests}\n{at}\n", self.kind.name())
    }

    /// Reads exactly what [`Entry::to_text`] writes; none for anything else.
    pub fn parse(bytes: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes).ok()?;
        let lines: Vec<&str> = text.split('\n').collect();
        let [_, name, digests @ .., at, ""] = &lines[..] else { return None };
        let digests: Vec<Sha256Digest> =
            digests.iter().map(|digest| Sha256Digest::parse_hex(digest)).collect::<Option<_>>()?;
        let kind = match (*name, &digests[..]) {
            ("issued", &[report, signature]) => EntryKind::Issued { report: ReportIdentity(report), signature },
            ("withdrawn", &[report, statement]) => EntryKind::Withdrawn { report: ReportIdentity(report), statement },
            ("superseded", &[report, by, statement]) => {
                EntryKind::Superseded { report: ReportIdentity(report), by: ReportIdentity(by), statement }
            }
            ("revoked", &[certificate]) => EntryKind::Revoked { certificate },
            _ => return None,
        };
        let at = DateTime::parse_from_rfc3339(at).ok()?.to_utc();
        let entry = Self { kind, at };
        (entry.to_text() == text).then_some(entry)
    }

    /// The same as a receipt carries it; none of what is no issue of a report.
    pub fn as_issued(&self) -> Option<LogEntry> {
        match self.kind {
            EntryKind::Issued { report, signature } => Some(LogEntry { report, signature, at: self.at }),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn digest(seed: u8) -> Sha256Digest {
        Sha256Digest::of(&[seed])
    }

    fn all() -> Vec<Entry> {
        let at = "2026-11-24T14:02:07.9Z".parse().unwrap();
        let report = ReportIdentity(digest(1));
        [
            EntryKind::Issued { report, signature: digest(2) },
            EntryKind::Withdrawn { report, statement: digest(3) },
            EntryKind::Superseded { report, by: ReportIdentity(digest(4)), statement: digest(5) },
            EntryKind::Revoked { certificate: digest(6) },
        ]
        .map(|kind| Entry::new(kind, at))
        .to_vec()
    }

    #[test]
    fn every_kind_is_read_as_it_is_written() {
        for entry in all() {
            assert_eq!(Entry::parse(entry.to_text().as_bytes()), Some(entry));
        }
    }

    #[test]
    fn an_issued_report_is_spelt_as_its_receipt_spells_it() {
        let entry = all()[0];
        assert_eq!(entry.as_issued().unwrap().to_text(), entry.to_text());
        assert!(all()[1..].iter().all(|other| other.as_issued().is_none()));
    }

    #[test]
    fn another_spelling_is_no_entry() {
        let text = all()[1].to_text();
        for spoilt in [
            text.to_uppercase(),
            text.replace("withdrawn", "issued\n"),
            text.replace("/1", "/2"),
            text.replace("14:02:07Z", "15:02:07+01:00"),
            text.trim_end().to_owned(),
            format!("{text}\n"),
            text.replacen('\n', "\r\n", 1),
        ] {
            assert_eq!(Entry::parse(spoilt.as_bytes()), None, "{spoilt:?}");
        }
        assert_eq!(Entry::parse(&[0xff]), None);
    }
}
