//! Entries: what was written, by whom, when, and what it replaces.

use std::{fmt, str::FromStr};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest as _, Sha256 as Hasher};

use crate::{DeviceId, IdError, InspectionId, Line, Salt, Sha256, Timestamp, canonical_json};

/// An entry's name: its device and its number there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String", extend("pattern" = "^[a-z0-9][a-z0-9_-]{0,63}:[0-9]{1,19}$"))]
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
    type Err = IdError;

    fn from_str(text: &str) -> Result<Self, IdError> {
        let refused = || IdError {
            got: text.chars().take(100).collect(),
            expected: "an entry's name: a device, a colon and a number",
        };
        let (device, seq) = text.split_once(':').ok_or_else(refused)?;
        Ok(Self { device: device.parse().map_err(|_| refused())?, seq: seq.parse().map_err(|_| refused())? })
    }
}

impl TryFrom<String> for EntryId {
    type Error = IdError;

    fn try_from(text: String) -> Result<Self, IdError> {
        text.parse()
    }
}

impl From<EntryId> for String {
    fn from(id: EntryId) -> Self {
        id.to_string()
    }
}

/// Why an entry was written; it says what can be taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    pub salt: Salt,
}

/// What of an entry may be erased.
#[derive(Serialize)]
struct Body<'a> {
    path: &'a str,
    value: &'a Value,
    replaces: &'a [EntryId],
    change: &'a Change,
    written_at: &'a Timestamp,
    author: &'a Line,
    salt: &'a Salt,
}

impl Entry {
    /// The digest of what may be erased.
    ///
    /// # Panics
    /// Never: JSON values have a canonical form.
    pub fn body_digest(&self) -> Sha256 {
        let Self { id: _, inspection: _, path, value, replaces, change, written_at, author, salt } = self;
        let body = Body { path, value, replaces, change, written_at, author, salt };
        let bytes = canonical_json(&body).expect("JSON values are JSON");
        Sha256::of(&bytes)
    }
}

/// An entry on its way between notebooks; one that was erased has no body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Carried {
    /// Its name.
    pub id: EntryId,
    /// Its inspection.
    pub inspection: InspectionId,
    /// What it says.
    pub body: Option<Entry>,
    /// The digest of the body.
    pub body_digest: Sha256,
    /// Its link in the chain, where the entry before it is missing and the link cannot be reckoned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub link: Option<Sha256>,
}

impl Carried {
    /// An entry that is whole.
    pub fn whole(entry: Entry) -> Self {
        Self {
            id: entry.id.clone(),
            inspection: entry.inspection.clone(),
            body_digest: entry.body_digest(),
            body: Some(entry),
            link: None,
        }
    }

    /// Whether the body, where it has one, is the one that it names.
    pub fn is_true(&self) -> bool {
        self.body.as_ref().is_none_or(|entry| {
            entry.body_digest() == self.body_digest && entry.id == self.id && entry.inspection == self.inspection
        })
    }
}

/// The digest that chains an entry to the one before it on its device.
pub fn chain_entry(previous: Option<&Sha256>, id: &EntryId, inspection: &InspectionId, body: &Sha256) -> Sha256 {
    let mut hasher = Hasher::new();
    hasher.update(b"rimside.entry/1\n");
    hasher.update(previous.map_or([0; 32], |digest| *digest.as_bytes()));
    hasher.update(format!("{id}\n{inspection}\n"));
    hasher.update(body.as_bytes());
    Sha256::new(hasher.finalize().into())
}
