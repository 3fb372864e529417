//! Entries: what was written, by whom, when, and what it replaces.

use std::{fmt, str::FromStr};

use model::{DeviceId, InspectionId, Line, Sha256, Timestamp};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256 as Hasher};

use crate::NotebookError;

/// An entry's name: its device and its number there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct EntryId {
    /// The device that wrote it.
    pub device: DeviceId,
    /// Its number there, from 1 without gaps.
    pub seq: u64,
}

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.device, self.seq)
    }
}

impl FromStr for EntryId {
    type Err = NotebookError;

    fn from_str(text: &str) -> Result<Self, NotebookError> {
        let refused = || NotebookError::EntryName { got: text.chars().take(100).collect() };
        let (device, seq) = text.split_once(':').ok_or_else(refused)?;
        Ok(Self { device: device.parse().map_err(|_| refused())?, seq: seq.parse().map_err(|_| refused())? })
    }
}

impl TryFrom<String> for EntryId {
    type Error = NotebookError;

    fn try_from(text: String) -> Result<Self, NotebookError> {
        text.parse()
    }
}

impl From<EntryId> for String {
    fn from(id: EntryId) -> Self {
        id.to_string()
    }
}

/// Why an entry was written; it says what can be taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// The notebook wrote it by itself, as when an inspection begins.
    Given,
    /// A person wrote it.
    Written,
    /// A person took back the change of the entry with this number on the same device.
    TakenBack(u64),
    /// A person made that change again.
    MadeAgain(u64),
    /// A person settled a conflict.
    Settled,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its name.
    pub id: EntryId,
    /// The inspection.
    pub inspection: InspectionId,
    /// The field.
    pub path: String,
    /// What it says; null takes the value away.
    pub value: Value,
    /// The entries of the same field that it replaces.
    pub replaces: Vec<EntryId>,
    /// Why it was written.
    pub change: Change,
    /// When, by the device's clock; it orders what is shown and decides nothing.
    pub written_at: Timestamp,
    /// Who wrote it.
    pub author: Line,
    /// Random bytes, so that an erased body cannot be found out by trying digests.
    pub salt: model::Salt,
}

impl Entry {
    /// The digest of what may be erased.
    ///
    /// # Panics
    /// Never: JSON values have a canonical form.
    pub fn body_digest(&self) -> Sha256 {
        let body = json!({
            "author": self.author, "change": self.change, "path": self.path, "replaces": self.replaces,
            "salt": self.salt, "value": self.value, "written_at": self.written_at,
        });
        let bytes = model::canonical_json(&body).expect("JSON values are JSON");
        Sha256::of(&bytes)
    }
}

/// The digest that chains an entry to the one before it on its device.
pub(crate) fn chain(previous: Option<&Sha256>, id: &EntryId, inspection: &InspectionId, body: &Sha256) -> Sha256 {
    let mut hasher = Hasher::new();
    hasher.update(b"rimside.entry/1\n");
    hasher.update(previous.map_or([0; 32], |digest| *digest.as_bytes()));
    hasher.update(format!("{id}\n{inspection}\n"));
    hasher.update(body.as_bytes());
    Sha256::new(hasher.finalize().into())
}

/// What comes from outside with everything that is written.
#[derive(Debug, Clone)]
pub struct Stamp {
    /// The device's clock.
    pub at: Timestamp,
    /// Who writes.
    pub author: Line,
    /// Fresh random bytes.
    pub salt: model::Salt,
}
