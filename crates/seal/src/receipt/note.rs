//! Signed checkpoints: C2SP `signed-note` and `tlog-checkpoint`, Ed25519 signatures (type 0x01).

use base64ct::{Base64, Encoding as _};

use super::{
    decode_base64,
    named_key::{KeyType, NamedKey, NoteKeyError, is_name, key_id},
    parse_decimal, parse_hash,
};
use crate::{
    digest::Sha256Digest,
    key::{PrivateKey, PublicKey},
};

/// The format asks for at least 16.
const MOST_SIGNATURES: usize = 32;

/// A log's public key with its name, as the reader knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogKey(NamedKey);

impl LogKey {
    /// The key under a name. Errors: an empty name, or one with a blank, a control character or a plus sign.
    pub fn new(name: &str, key: PublicKey) -> Result<Self, NoteKeyError> {
        NamedKey::new(name, KeyType::Ed25519, key).map(Self)
    }

    /// Reads a verifier key: `<name>+<key id in hexadecimal>+<base64 of type and key>`.
    pub fn parse(text: &str) -> Result<Self, NoteKeyError> {
        NamedKey::parse(text, KeyType::Ed25519).map(Self)
    }

    /// The log's name.
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

/// A signed tree head: the text as it came, and what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checkpoint {
    text: String,
    body_length: usize,
    size: u64,
    root: Sha256Digest,
    signatures: Vec<NoteSignature>,
}

/// A line below the text: who signed, and what; not yet checked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NoteSignature {
    name: String,
    id: [u8; 4],
    pub(super) signature: Vec<u8>,
}

impl Checkpoint {
    /// Reads a checkpoint of three lines (no extension lines) with its signatures; None for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        if text.chars().any(|c| c < ' ' && c != '\n') {
            return None;
        }
        // The text ends with its last blank line; our three lines hold none.
        let (body, signatures) = text.rsplit_once("\n\n")?;
        let mut lines = body.split('\n');
        let (origin, size, root) = (lines.next()?, lines.next()?, lines.next()?);
        if origin.is_empty() || lines.next().is_some() {
            return None;
        }
        let signatures: Vec<_> =
            signatures.strip_suffix('\n')?.split('\n').map(parse_signature).collect::<Option<_>>()?;
        (signatures.len() <= MOST_SIGNATURES).then_some(())?;
        Some(Self {
            text: text.to_owned(),
            body_length: body.len() + 1,
            size: parse_decimal(size)?,
            root: parse_hash(root)?,
            signatures,
        })
    }

    /// A checkpoint signed by the log itself.
    pub fn sign(origin: &str, size: u64, root: Sha256Digest, log_key: &PrivateKey) -> Self {
        let body = format!("{origin}\n{size}\n{}\n", Base64::encode_string(root.as_bytes()));
        let signature = log_key.sign(body.as_bytes());
        let id = key_id(origin, KeyType::Ed25519, log_key.public());
        let line = Base64::encode_string(&[&id[..], &signature].concat());
        Self {
            text: format!("{body}\n— {origin} {line}\n"),
            body_length: body.len(),
            size,
            root,
            signatures: vec![NoteSignature { name: origin.to_owned(), id, signature: signature.to_vec() }],
        }
    }

    /// The whole signed note.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// The log's name, as the first line says.
    pub fn origin(&self) -> &str {
        self.text.split('\n').next().unwrap_or_default()
    }

    /// How many entries the tree has.
    pub fn size(&self) -> u64 {
        self.size
    }

    /// The tree's root.
    pub fn root(&self) -> Sha256Digest {
        self.root
    }

    /// The lines below the text: who has signed it.
    pub fn signature_lines(&self) -> &str {
        &self.text[self.body_length + 1..]
    }

    /// What is signed: the text with its last newline.
    pub(super) fn body(&self) -> &str {
        &self.text[..self.body_length]
    }

    pub(super) fn signatures(&self) -> &[NoteSignature] {
        &self.signatures
    }

    /// Is this a checkpoint of the log with that key: its name in the first line and a signature under name and id?
    pub fn names(&self, key: &LogKey) -> bool {
        self.origin() == key.name() && self.signatures.iter().any(|line| line.is_of(&key.0))
    }

    /// This checkpoint with the lines of this key alone. None if there is none.
    pub fn only_signed_by(&self, key: &LogKey) -> Option<Self> {
        let lines = self.signature_lines().split_inclusive('\n');
        let own = lines.zip(&self.signatures).filter(|(_, signature)| signature.is_of(&key.0)).map(|(line, _)| line);
        Self::parse(&format!("{}\n{}", self.body(), own.collect::<String>()))
    }

    /// Is there a signature of this key, and does every one of it stand? (Unknown keys are ignored, as the format
    /// demands; a false signature under a known key refuses the whole note.)
    pub fn is_signed_by(&self, key: &LogKey) -> bool {
        let body = self.body().as_bytes();
        let mut own = self.signatures.iter().filter(|line| line.is_of(&key.0)).peekable();
        own.peek().is_some() && own.all(|line| key.public_key().check(body, &line.signature).is_ok())
    }
}

impl NoteSignature {
    pub(super) fn is_of(&self, key: &NamedKey) -> bool {
        self.name == key.name && self.id == key.id
    }
}

pub(super) fn parse_signature(line: &str) -> Option<NoteSignature> {
    let (name, encoded) = line.strip_prefix("— ")?.split_once(' ')?;
    let bytes = decode_base64(encoded)?;
    let (id, signature) = bytes.split_first_chunk::<4>()?;
    is_name(name).then(|| NoteSignature { name: name.to_owned(), id: *id, signature: signature.to_vec() })
}

#[cfg(test)]
mod tests;
