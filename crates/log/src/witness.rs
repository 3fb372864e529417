//! What a log and a witness say to each other: C2SP `tlog-witness`, `add-checkpoint`. A log sends its newest head with the proof
//! that it holds all of the one before; the witness signs it, or says what keeps it from doing so.

use base64ct::{Base64, Encoding as _};
use seal::digest::Sha256Digest;

use crate::{Checkpoint, LogKey, Tree, leads_on};

/// The most hashes of a proof of growth that are sent (`tlog-witness`, "add-checkpoint").
const MOST_HASHES: usize = 63;

/// A head to be signed by a witness.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AddCheckpoint {
    /// How many entries the head had that the witness signed last; 0 where it has signed none.
    pub old: u64,
    /// The proof that the tree now begins with the one then; empty where `old` is 0.
    pub proof: Vec<Sha256Digest>,
    /// The head.
    pub checkpoint: Checkpoint,
}

impl AddCheckpoint {
    /// Asks for a signature over this head of a tree. None where the tree was never that small.
    pub fn new(tree: &Tree, old: u64, checkpoint: Checkpoint) -> Option<Self> {
        let proof = if old == 0 { Vec::new() } else { tree.prove_growth(old, checkpoint.size())? };
        Some(Self { old, proof, checkpoint })
    }

    /// The body of the request.
    pub fn to_text(&self) -> String {
        let mut text = format!("old {}\n", self.old);
        for hash in &self.proof {
            text.push_str(&Base64::encode_string(hash.as_bytes()));
            text.push('\n');
        }
        text.push('\n');
        text.push_str(self.checkpoint.as_str());
        text
    }

    /// Reads what [`AddCheckpoint::to_text`] writes, and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let (head, note) = text.split_once("\n\n")?;
        let mut lines = head.split('\n');
        let old = lines.next()?.strip_prefix("old ")?.parse().ok()?;
        let hash = |line: &str| -> Option<Sha256Digest> {
            Base64::decode_vec(line).ok()?.try_into().ok().map(Sha256Digest::from_bytes)
        };
        let proof: Vec<Sha256Digest> = lines.map(hash).collect::<Option<_>>()?;
        let read = Self { old, proof, checkpoint: Checkpoint::parse(note)? };
        (read.proof.len() <= MOST_HASHES && read.to_text() == text).then_some(read)
    }

    /// Whether a witness may sign this: `key` is that of the log which the head names, if the witness knows it, and `latest` the
    /// head that it signed last. The order of the questions is that of the specification.
    ///
    /// # Errors
    /// [`WitnessRefusal`].
    pub fn judge(&self, key: Option<&LogKey>, latest: Option<&Checkpoint>) -> Result<(), WitnessRefusal> {
        let head = &self.checkpoint;
        let key = key.filter(|key| key.name() == head.origin()).ok_or(WitnessRefusal::UnknownLog)?;
        if !head.is_signed_by(key) {
            return Err(WitnessRefusal::Signature);
        }
        if self.old > head.size() {
            return Err(WitnessRefusal::Smaller { old: self.old, size: head.size() });
        }
        let (size, root) = latest.map_or((0, nothing()), |latest| (latest.size(), latest.root()));
        if self.old != size {
            return Err(WitnessRefusal::Moved { size });
        }
        let grows = match (size, head.size()) {
            (0, 0) => self.proof.is_empty() && head.root() == nothing(),
            (0, _) => self.proof.is_empty(),
            _ => leads_on((size, root), (head.size(), head.root()), &self.proof),
        };
        if grows { Ok(()) } else { Err(WitnessRefusal::NoGrowth { old: size, size: head.size() }) }
    }
}

/// The root of a tree of nothing (RFC 6962 §2.1).
fn nothing() -> Sha256Digest {
    Sha256Digest::of(b"")
}

/// Why a witness does not sign.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WitnessRefusal {
    /// Not a request.
    #[error("got another text, expected `old` with a size, hashes of a proof, a blank line and a signed checkpoint")]
    Malformed,
    /// A log that the witness does not watch.
    #[error("the log is not one that is watched here")]
    UnknownLog,
    /// Not the log's own head.
    #[error("the log's head is not signed by the log's key")]
    Signature,
    /// A tree that shrinks.
    #[error("got a checkpoint over {size} entries, expected at least the old {old}")]
    Smaller {
        /// What the log says that it had.
        old: u64,
        /// What it has.
        size: u64,
    },
    /// The witness has signed another head since, or none.
    #[error("the checkpoint that was signed last is over {size} entries")]
    Moved {
        /// How many entries the head has that it signed last.
        size: u64,
    },
    /// Another tree.
    #[error("no proof that the tree of {size} entries begins with that of {old}")]
    NoGrowth {
        /// Entries of the head that was signed last.
        old: u64,
        /// Entries of this head.
        size: u64,
    },
}

impl WitnessRefusal {
    /// The status of HTTP that the specification gives it.
    pub const fn status(&self) -> u16 {
        match self {
            Self::Malformed | Self::Smaller { .. } => 400,
            Self::Signature => 403,
            Self::UnknownLog => 404,
            Self::Moved { .. } => 409,
            Self::NoGrowth { .. } => 422,
        }
    }
}

#[cfg(test)]
mod tests;
