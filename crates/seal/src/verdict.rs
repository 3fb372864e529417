//! What a check found, as data. The headline that follows from it is made elsewhere.

use chrono::{DateTime, Utc};

use crate::{
    certificate::Subject,
    digest::{Fingerprint, ReportIdentity},
    revocation::Revocation,
};

/// The answer to one question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Check<T> {
    /// Yes, and what was found.
    Passed(T),
    /// No, and why.
    Failed(Finding),
    /// It could not be decided, and why.
    NotChecked(Finding),
}

impl<T> Check<T> {
    /// What was found, if the check passed.
    pub fn passed(&self) -> Option<&T> {
        match self {
            Self::Passed(found) => Some(found),
            Self::Failed(_) | Self::NotChecked(_) => None,
        }
    }

    /// The code of what is wrong or missing; none if the check passed.
    pub fn code(&self) -> Option<&'static str> {
        match self {
            Self::Passed(_) => None,
            Self::Failed(finding) | Self::NotChecked(finding) => Some(finding.code),
        }
    }

    pub(crate) fn failed(code: &'static str, reason: impl Into<String>) -> Self {
        Self::Failed(Finding { code, reason: reason.into() })
    }

    pub(crate) fn not_checked(code: &'static str, reason: impl Into<String>) -> Self {
        Self::NotChecked(Finding { code, reason: reason.into() })
    }
}

/// A reason: a stable code in kebab case and a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// For programs and tables.
    pub code: &'static str,
    /// For people.
    pub reason: String,
}

/// All that the seal itself can answer about a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SealReport {
    /// Is the file the one that was signed, in every byte?
    pub unchanged: Check<Verified>,
    /// Whose signature is it?
    pub whose: Check<Whose>,
    /// Since when has it existed?
    pub since_when: Check<SinceWhen>,
    /// Does it still stand?
    pub still_stands: Check<Standing>,
    /// The signer and the root as the file itself names them, whether or not they are known here.
    pub named: Option<Named>,
    /// The signer's own clock, from the signature dictionary. Proves nothing.
    pub claimed_time: Option<DateTime<Utc>>,
    /// What else a reader should know: evidence that was given and set aside, and why.
    pub remarks: Vec<Finding>,
}

/// The mark that a file's structure, digest and signature were found right. Only the checker can make one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verified {
    identity: ReportIdentity,
    signer: Fingerprint,
}

impl Verified {
    pub(crate) const fn new(identity: ReportIdentity, signer: Fingerprint) -> Self {
        Self { identity, signer }
    }

    /// The report's identity.
    pub const fn identity(&self) -> ReportIdentity {
        self.identity
    }

    /// The fingerprint of the key that signed it.
    pub const fn signer(&self) -> Fingerprint {
        self.signer
    }
}

/// Who the file says signed it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// The person in the signer's certificate.
    pub person: Subject,
    /// The signer's key.
    pub signer: Fingerprint,
    /// The firm's root as it names itself.
    pub root: Subject,
    /// The root's key: to be compared with what the firm says of itself.
    pub root_fingerprint: Fingerprint,
}

/// A signer under a root that the reader gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whose {
    /// The person, with role and organization.
    pub person: Subject,
    /// The signer's key.
    pub signer: Fingerprint,
    /// The root that vouches, by the reader's own copy.
    pub root: Subject,
    /// Its key.
    pub root_fingerprint: Fingerprint,
    /// The instant for which all this was judged: the proven time, else the time of the check.
    pub judged_at: DateTime<Utc>,
    /// The key was revoked, but after the proven time.
    pub revoked_later: Option<Revocation>,
}

/// Proof of an earlier time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SinceWhen {
    /// The signature existed then.
    pub at: DateTime<Utc>,
    /// Who says so.
    pub proof: Proof,
}

/// Who proves a time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Proof {
    /// A log that holds the signature's entry.
    Log {
        /// The firm's log. Its clock is the firm's own.
        log: String,
        /// The place in the log, counted from zero.
        index: u64,
        /// That enough of the reader's witnesses had signed the log by then. None: the time is the log's own word.
        by_witnesses: Option<ByWitnesses>,
    },
    /// An authority for timestamps that the reader named, or one under it.
    Authority {
        /// The subject of its certificate (RFC 4514).
        name: String,
    },
}

/// Witnesses of the reader's who prove a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ByWitnesses {
    /// So many are needed, and had signed by that time.
    pub needed: usize,
    /// So many the reader knows.
    pub known: usize,
    /// When it was entered, by the log's own clock.
    pub entered: DateTime<Utc>,
}

/// Nothing that was given speaks against the report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The age of the oldest list that this rests on.
    pub as_of: DateTime<Utc>,
}
