//! Witnesses: whoever has seen a log grow and signs its head with the time (C2SP `tlog-cosignature`, Ed25519, type 0x04).
//!
//! A log's clock is its firm's own. Witnesses are others; where so many of them that the reader relies on have signed a head,
//! what it covers existed by then, whatever the firm says.

use base64ct::{Base64, Encoding as _};
use chrono::{DateTime, Utc};

use super::{
    ReceiptFault,
    named_key::{KeyType, NamedKey, NoteKeyError},
    note::{Checkpoint, NoteSignature, parse_signature},
};
use crate::key::{PrivateKey, PublicKey};

/// A time of eight bytes before a signature of 64 (`tlog-cosignature`, "Format").
const TIME_BYTES: usize = 8;

/// A witness's public key with its name, as the reader knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WitnessKey(NamedKey);

impl WitnessKey {
    /// The key under a name. Errors: an empty name, or one with a blank, a control character or a plus sign.
    pub fn new(name: &str, key: PublicKey) -> Result<Self, NoteKeyError> {
        NamedKey::new(name, KeyType::Cosignature, key).map(Self)
    }

    /// Reads a verifier key: `<name>+<key id in hexadecimal>+<base64 of type and key>`.
    pub fn parse(text: &str) -> Result<Self, NoteKeyError> {
        NamedKey::parse(text, KeyType::Cosignature).map(Self)
    }

    /// The witness's name.
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// The key alone.
    pub fn public_key(&self) -> PublicKey {
        self.0.key
    }

    /// The verifier key as text.
    pub fn to_text(&self) -> String {
        self.0.to_text()
    }
}

impl Checkpoint {
    /// A witness's signature line over this checkpoint, with its newline: it has seen the log grow to here by `at`, whole
    /// seconds. None for a time before 1970, which the format cannot say.
    pub fn cosign(&self, witness: &WitnessKey, key: &PrivateKey, at: DateTime<Utc>) -> Option<String> {
        let time = u64::try_from(at.timestamp()).ok()?;
        let signature = key.sign(message(time, self.body()).as_bytes());
        let bytes = [&witness.0.id[..], &time.to_be_bytes(), &signature].concat();
        Some(format!("— {} {}\n", witness.name(), Base64::encode_string(&bytes)))
    }

    /// This checkpoint with more signature lines below those that it has. A line that is there already is not put there twice.
    /// None for anything but signature lines, or for too many.
    pub fn with_signatures(&self, lines: &str) -> Option<Self> {
        let mut text = self.as_str().to_owned();
        for line in lines.split_inclusive('\n') {
            parse_signature(line.strip_suffix('\n')?)?;
            if !text[self.body().len()..].split_inclusive('\n').any(|own| own == line) {
                text.push_str(line);
            }
        }
        Self::parse(&text)
    }

    /// The time of this witness's signature, the earliest if it signed several times. None if it has not signed. A false
    /// signature under its name and id refuses all (`signed-note`, "Signatures").
    pub fn cosigned_at(&self, witness: &WitnessKey) -> Result<Option<u64>, ReceiptFault> {
        let mut earliest = None;
        for line in self.signatures().iter().filter(|line| line.is_of(&witness.0)) {
            let time = self
                .check_cosignature(line, witness)
                .ok_or_else(|| ReceiptFault::WitnessSignature { witness: witness.name().to_owned() })?;
            earliest = Some(earliest.map_or(time, |before: u64| before.min(time)));
        }
        Ok(earliest)
    }

    fn check_cosignature(&self, line: &NoteSignature, witness: &WitnessKey) -> Option<u64> {
        let (time, signature) = line.signature.split_first_chunk::<TIME_BYTES>()?;
        let time = u64::from_be_bytes(*time);
        // The format ends at 2^63 - 1.
        i64::try_from(time).ok()?;
        witness.0.key.check(message(time, self.body()).as_bytes(), signature).ok()?;
        Some(time)
    }
}

/// What a witness signs (`tlog-cosignature`, "Ed25519 signed message").
fn message(time: u64, body: &str) -> String {
    format!("cosignature/v1\ntime {time}\n{body}")
}

/// The witnesses that a reader relies on, and how many of them suffice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witnesses {
    keys: Vec<WitnessKey>,
    at_least: usize,
}

/// What the reader's witnesses say of a checkpoint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Witnessing {
    /// How many of them have signed it.
    pub count: usize,
    /// The time by which as many had signed as are needed; none if they are too few.
    pub by: Option<DateTime<Utc>>,
}

impl Witnesses {
    /// So many of these. Errors: none or more needed than there are; the same key twice, under whatever name: the signed
    /// message does not name the witness.
    pub fn new(keys: Vec<WitnessKey>, at_least: usize) -> Result<Self, WitnessesError> {
        if at_least == 0 || at_least > keys.len() {
            return Err(WitnessesError::Count { got: at_least, keys: keys.len() });
        }
        for (place, key) in keys.iter().enumerate() {
            if keys[..place].iter().any(|other| other.public_key() == key.public_key()) {
                return Err(WitnessesError::Twice { place });
            }
        }
        Ok(Self { keys, at_least })
    }

    /// The witnesses.
    pub fn keys(&self) -> &[WitnessKey] {
        &self.keys
    }

    /// How many of them suffice.
    pub fn at_least(&self) -> usize {
        self.at_least
    }

    /// Who of them has signed this checkpoint, and by when enough had. Each counts once; a time after `latest`, or none at
    /// all (zero), does not count.
    ///
    /// Of the k that are needed, the k-th smallest time is meant: even if all but one of them lie about theirs, one who does
    /// not had signed by then.
    pub fn judge(&self, checkpoint: &Checkpoint, latest: DateTime<Utc>) -> Result<Witnessing, ReceiptFault> {
        let mut times = Vec::new();
        for key in &self.keys {
            let time = checkpoint.cosigned_at(key)?.filter(|time| *time > 0);
            let time = time.and_then(|time| DateTime::from_timestamp(i64::try_from(time).ok()?, 0));
            times.extend(time.filter(|time| *time <= latest));
        }
        times.sort_unstable();
        Ok(Witnessing { count: times.len(), by: times.get(self.at_least - 1).copied() })
    }
}

/// Why a set of witnesses was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WitnessesError {
    /// A number that can never be met, or always is.
    #[error("{got} of {keys} witnesses needed, expected from 1 to {keys}")]
    Count {
        /// How many are needed.
        got: usize,
        /// How many there are.
        keys: usize,
    },
    /// One key twice.
    #[error("the key of witness {} is also that of another: each witness counts once", place + 1)]
    Twice {
        /// Its place, counted from 0.
        place: usize,
    },
}

#[cfg(test)]
mod tests;
