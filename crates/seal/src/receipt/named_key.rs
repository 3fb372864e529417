//! A name with an Ed25519 key, as C2SP `signed-note` spells it: `<name>+<key id in hexadecimal>+<base64 of type and key>`.

use base16ct::lower::encode_string;
use base64ct::{Base64, Encoding as _};
use sha2::{Digest as _, Sha256};

use super::decode_base64;
use crate::key::{KeyError, PublicKey};

/// What a key signs: the type is part of its id, so that a signature of one kind never counts as one of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum KeyType {
    /// Ed25519 over the note's text, as a log signs (`signed-note`, "Signature types").
    Ed25519 = 1,
    /// Ed25519 over a time and a checkpoint, as a witness signs (`tlog-cosignature`).
    Cosignature = 4,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NamedKey {
    pub(super) name: String,
    pub(super) id: [u8; 4],
    pub(super) key: PublicKey,
    kind: KeyType,
}

impl NamedKey {
    pub(super) fn new(name: &str, kind: KeyType, key: PublicKey) -> Result<Self, NoteKeyError> {
        if !is_name(name) {
            return Err(NoteKeyError::Name { got: name.to_owned() });
        }
        Ok(Self { name: name.to_owned(), id: key_id(name, kind, key), key, kind })
    }

    pub(super) fn parse(text: &str, kind: KeyType) -> Result<Self, NoteKeyError> {
        let mut parts = text.splitn(3, '+');
        let (Some(name), Some(id), Some(material)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(NoteKeyError::Shape);
        };
        let material = decode_base64(material).ok_or(NoteKeyError::Shape)?;
        let (&got, key) = material.split_first().ok_or(NoteKeyError::Shape)?;
        if got != kind as u8 {
            return Err(NoteKeyError::Type { got, expected: kind as u8 });
        }
        let found = Self::new(name, kind, PublicKey::parse(key).map_err(NoteKeyError::Key)?)?;
        if encode_string(&found.id) != id {
            return Err(NoteKeyError::Id);
        }
        Ok(found)
    }

    pub(super) fn to_text(&self) -> String {
        let material = [&[self.kind as u8][..], &self.key.to_bytes()].concat();
        format!("{}+{}+{}", self.name, encode_string(&self.id), Base64::encode_string(&material))
    }
}

pub(super) fn is_name(name: &str) -> bool {
    !name.is_empty() && !name.chars().any(|c| c.is_whitespace() || c.is_control() || c == '+')
}

/// SHA-256 over name, newline, type and key, cut to four bytes.
pub(super) fn key_id(name: &str, kind: KeyType, key: PublicKey) -> [u8; 4] {
    let hash =
        Sha256::new().chain_update(name).chain_update([b'\n', kind as u8]).chain_update(key.to_bytes()).finalize();
    [hash[0], hash[1], hash[2], hash[3]]
}

/// Why a log's or a witness's key was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoteKeyError {
    /// Not three parts joined by plus signs, the last in base64.
    #[error("not a key, expected `name+id+key`")]
    Shape,
    /// A key of another kind: a log's is 1 (Ed25519), a witness's is 4 (Ed25519 cosignatures).
    #[error("a key of type {got}, expected {expected} (a log's key is of type 1, a witness's of type 4)")]
    Type {
        /// The type as given.
        got: u8,
        /// The type that was expected.
        expected: u8,
    },
    /// The id is not that of name and key: one of the three was changed.
    #[error("the id of the key does not belong to its name and key")]
    Id,
    /// A name with characters that may not be in it.
    #[error("the name `{got}`, expected no blanks, control characters or plus signs")]
    Name {
        /// The name as given.
        got: String,
    },
    /// The key itself is refused.
    #[error("the key is refused")]
    Key(#[source] KeyError),
}
