//! The log's receipt: proof that a signature was entered into a firm's append-only log, in the C2SP formats
//! `tlog-proof`, `tlog-checkpoint`, `tlog-cosignature` and `signed-note`.
//!
//! The text's `extra` line carries the entry, whose RFC 6962 leaf hash the proof leads from. The time stands in the
//! entry, not in the checkpoint: an entry is part of the tree and can be audited by anyone who reads the log, while
//! C2SP advises against extension lines because nobody can.

mod entry;
mod merkle;
mod named_key;
mod note;
mod witness;

pub use entry::LogEntry;
pub use merkle::{inclusion_root, leaf_hash, node_hash};
pub use named_key::NoteKeyError;
pub use note::{Checkpoint, LogKey};
pub use witness::{WitnessKey, Witnesses, WitnessesError, Witnessing};

use base64ct::{Base64, Encoding as _};
use chrono::{DateTime, Utc};

use crate::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
};

/// First line of the format.
const HEADER: &str = "c2sp.org/tlog-proof@v1";
/// Twice what a log of 2^64 entries with sixteen witnesses needs.
const MOST_BYTES: usize = 16 * 1024;
/// A path in a tree of 2^64 leaves.
const MOST_HASHES: usize = 64;

/// A receipt as read: nothing of it counts before [`Receipt::check`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// What was entered.
    pub entry: LogEntry,
    /// Where, counted from zero.
    pub index: u64,
    /// The inclusion proof, from the leaf's sibling upwards.
    pub proof: Vec<Sha256Digest>,
    /// The signed tree head.
    pub checkpoint: Checkpoint,
}

/// What a checked receipt proves: as the firm's log says, the signature existed then.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LoggedTime {
    /// The time in the log's entry.
    pub at: DateTime<Utc>,
    /// The log's name, from the reader's own key.
    pub log: String,
    /// The entry's place, counted from zero.
    pub index: u64,
}

impl Receipt {
    /// Reads the text; anything but its one canonical spelling is refused.
    pub fn parse(text: &str) -> Result<Self, ReceiptFault> {
        if text.len() > MOST_BYTES {
            return Err(ReceiptFault::TooLarge { got: text.len() });
        }
        let malformed = |what| ReceiptFault::Malformed { what };
        let (head, note) = text.split_once("\n\n").ok_or(malformed("a blank line before the checkpoint"))?;
        let mut lines = head.split('\n');
        if lines.next() != Some(HEADER) {
            return Err(malformed("the header of the format"));
        }
        let extra = lines.next().and_then(|line| line.strip_prefix("extra ")).ok_or(malformed("an extra line"))?;
        let entry = decode_base64(extra).ok_or(malformed("an extra line in base64"))?;
        let entry = LogEntry::parse(&entry).ok_or(ReceiptFault::Entry)?;
        let index = lines.next().and_then(|line| line.strip_prefix("index ")).ok_or(malformed("an index line"))?;
        let index = parse_decimal(index).ok_or(malformed("an index without leading zeros"))?;
        let proof = lines
            .map(parse_hash)
            .collect::<Option<Vec<_>>>()
            .filter(|proof| proof.len() <= MOST_HASHES)
            .ok_or(malformed("hashes of 32 bytes, one a line"))?;
        let checkpoint = Checkpoint::parse(note).ok_or(malformed("a signed checkpoint"))?;
        let receipt = Self { entry, index, proof, checkpoint };
        // One spelling alone, so that nothing can hide in a receipt.
        if receipt.to_text() != text {
            return Err(malformed("the canonical spelling"));
        }
        Ok(receipt)
    }

    /// The text of the format.
    pub fn to_text(&self) -> String {
        let mut text = format!(
            "{HEADER}\nextra {}\nindex {}\n",
            Base64::encode_string(self.entry.to_text().as_bytes()),
            self.index
        );
        for hash in &self.proof {
            text.push_str(&Base64::encode_string(hash.as_bytes()));
            text.push('\n');
        }
        text.push('\n');
        text.push_str(self.checkpoint.as_str());
        text
    }

    /// Does the receipt prove that this report's signature was entered into a log whose key the reader has?
    pub fn check(
        &self,
        report: ReportIdentity,
        signature: &[u8],
        log_keys: &[LogKey],
    ) -> Result<LoggedTime, ReceiptFault> {
        if self.entry.report != report {
            return Err(ReceiptFault::OtherReport);
        }
        if self.entry.signature != Sha256Digest::of(signature) {
            return Err(ReceiptFault::OtherSignature);
        }
        let origin = self.checkpoint.origin();
        let key = log_keys
            .iter()
            .find(|key| self.checkpoint.names(key))
            .ok_or_else(|| ReceiptFault::UnknownLog { origin: origin.to_owned() })?;
        if !self.checkpoint.is_signed_by(key) {
            return Err(ReceiptFault::CheckpointSignature);
        }
        let leaf = leaf_hash(self.entry.to_text().as_bytes());
        let root = inclusion_root(self.index, self.checkpoint.size(), leaf, &self.proof);
        if root != Some(self.checkpoint.root()) {
            return Err(ReceiptFault::NotIncluded);
        }
        Ok(LoggedTime { at: self.entry.at, log: origin.to_owned(), index: self.index })
    }

    /// The receipt of the first entry of a fresh log.
    pub fn issue_first(entry: LogEntry, origin: &str, log_key: &PrivateKey) -> Self {
        let root = leaf_hash(entry.to_text().as_bytes());
        let checkpoint = Checkpoint::sign(origin, 1, root, log_key);
        Self { entry, index: 0, proof: Vec::new(), checkpoint }
    }
}

fn decode_base64(text: &str) -> Option<Vec<u8>> {
    let bytes = Base64::decode_vec(text).ok()?;
    (Base64::encode_string(&bytes) == text).then_some(bytes)
}

fn parse_hash(line: &str) -> Option<Sha256Digest> {
    decode_base64(line)?.try_into().ok().map(Sha256Digest::from_bytes)
}

/// Decimal digits without leading zeros.
fn parse_decimal(text: &str) -> Option<u64> {
    let number: u64 = text.parse().ok()?;
    (number.to_string() == text).then_some(number)
}

/// Why a receipt proves nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ReceiptFault {
    /// More bytes than any receipt.
    #[error("a receipt of {got} bytes, expected at most {MOST_BYTES}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
    },
    /// Not the text format.
    #[error("a malformed receipt, expected {what}")]
    Malformed {
        /// What was expected at the place that failed.
        what: &'static str,
    },
    /// The entry inside is not one of an issued report.
    #[error("the receipt's entry is not that of an issued report")]
    Entry,
    /// The receipt belongs to another report.
    #[error("the receipt belongs to another report")]
    OtherReport,
    /// The receipt belongs to this report signed by somebody else, or at another time.
    #[error("the receipt belongs to another signature over this report")]
    OtherSignature,
    /// The reader has no key of this log.
    #[error("the log `{origin}` is not one whose key is known here")]
    UnknownLog {
        /// The log's name, as the receipt says.
        origin: String,
    },
    /// The checkpoint is not signed by the log's key.
    #[error("the log's head is not signed by the log's key")]
    CheckpointSignature,
    /// A signature under the name and id of a witness that the reader relies on does not stand.
    #[error("the log's head carries a false signature of the witness `{witness}`")]
    WitnessSignature {
        /// The witness's name.
        witness: String,
    },
    /// The proof does not lead from the entry to the checkpoint.
    #[error("the entry is not under the head that is named")]
    NotIncluded,
}

impl ReceiptFault {
    /// A stable code in kebab case.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::TooLarge { .. } => "receipt-too-large",
            Self::Malformed { .. } => "receipt-malformed",
            Self::Entry => "receipt-entry-malformed",
            Self::OtherReport => "receipt-of-another-report",
            Self::OtherSignature => "receipt-of-another-signature",
            Self::UnknownLog { .. } => "receipt-log-unknown",
            Self::CheckpointSignature => "receipt-checkpoint-signature",
            Self::WitnessSignature { .. } => "receipt-witness-signature",
            Self::NotIncluded => "receipt-not-included",
        }
    }
}

#[cfg(test)]
mod tests;
