//! Signed checkpoints: C2SP `signed-note` and `tlog-checkpoint`, Ed25519 signatures (type 0x01).

use base64ct::{Base64, Encoding as _};
use sha2::{Digest as _, Sha256};

use super::{decode_base64, parse_decimal, parse_hash};
use crate::{
    digest::{Sha256Digest, hexadecimal},
    key::{KeyError, PrivateKey, PublicKey},
};

const ED25519_TYPE: u8 = 1;
/// The format asks for at least 16.
const MOST_SIGNATURES: usize = 32;

/// A log's public key with its name, as the reader knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogKey {
    name: String,
    id: [u8; 4],
    key: PublicKey,
}

impl LogKey {
    /// The key under a name. Errors: an empty name, or one with a blank, a control character or a plus sign.
    pub fn new(name: &str, key: PublicKey) -> Result<Self, LogKeyError> {
        if !is_name(name) {
            return Err(LogKeyError::Name { got: name.to_owned() });
        }
        Ok(Self { name: name.to_owned(), id: key_id(name, key), key })
    }

    /// Reads a verifier key: `<name>+<key id in hexadecimal>+<base64 of type and key>`.
    pub fn parse(text: &str) -> Result<Self, LogKeyError> {
        let mut parts = text.splitn(3, '+');
        let (Some(name), Some(id), Some(material)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(LogKeyError::Shape);
        };
        let material = decode_base64(material).ok_or(LogKeyError::Shape)?;
        let Some((&ED25519_TYPE, key)) = material.split_first() else { return Err(LogKeyError::Type) };
        let found = Self::new(name, PublicKey::parse(key).map_err(LogKeyError::Key)?)?;
        if found.id_hex() != id {
            return Err(LogKeyError::Id);
        }
        Ok(found)
    }

    /// The log's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The key alone.
    pub fn public_key(&self) -> PublicKey {
        self.key
    }

    /// The verifier key as text.
    pub fn to_text(&self) -> String {
        let material = [&[ED25519_TYPE][..], &self.key.to_bytes()].concat();
        format!("{}+{}+{}", self.name, self.id_hex(), Base64::encode_string(&material))
    }

    fn id_hex(&self) -> String {
        hexadecimal(&self.id)
    }
}

fn is_name(name: &str) -> bool {
    !name.is_empty() && !name.chars().any(|c| c.is_whitespace() || c.is_control() || c == '+')
}

/// SHA-256 over name, newline, type and key, cut to four bytes.
fn key_id(name: &str, key: PublicKey) -> [u8; 4] {
    let hash =
        Sha256::new().chain_update(name).chain_update([b'\n', ED25519_TYPE]).chain_update(key.to_bytes()).finalize();
    [hash[0], hash[1], hash[2], hash[3]]
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

#[derive(Clone, Debug, PartialEq, Eq)]
struct NoteSignature {
    name: String,
    id: [u8; 4],
    signature: Vec<u8>,
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
        let id = key_id(origin, log_key.public());
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

    /// Is this a checkpoint of the log with that key: its name in the first line and a signature under name and id?
    pub fn names(&self, key: &LogKey) -> bool {
        self.origin() == key.name && self.signatures.iter().any(|line| line.is_of(key))
    }

    /// Is there a signature of this key, and does every one of it stand? (Unknown keys are ignored, as the format
    /// demands; a false signature under a known key refuses the whole note.)
    pub fn is_signed_by(&self, key: &LogKey) -> bool {
        let body = &self.text.as_bytes()[..self.body_length];
        let mut own = self.signatures.iter().filter(|line| line.is_of(key)).peekable();
        own.peek().is_some() && own.all(|line| key.key.check(body, &line.signature).is_ok())
    }
}

impl NoteSignature {
    fn is_of(&self, key: &LogKey) -> bool {
        self.name == key.name && self.id == key.id
    }
}

fn parse_signature(line: &str) -> Option<NoteSignature> {
    let (name, encoded) = line.strip_prefix("— ")?.split_once(' ')?;
    let bytes = decode_base64(encoded)?;
    let (id, signature) = bytes.split_first_chunk::<4>()?;
    is_name(name).then(|| NoteSignature { name: name.to_owned(), id: *id, signature: signature.to_vec() })
}

/// Why a log's key was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LogKeyError {
    /// Not three parts joined by plus signs, the last in base64.
    #[error("not a log's key, expected `name+id+key`")]
    Shape,
    /// A key of another kind than Ed25519 (0x01).
    #[error("a log's key of another kind than Ed25519")]
    Type,
    /// The id is not that of name and key: one of the three was changed.
    #[error("the id of the log's key does not belong to its name and key")]
    Id,
    /// A name with characters that may not be in it.
    #[error("the log's name `{got}`, expected no blanks, control characters or plus signs")]
    Name {
        /// The name as given.
        got: String,
    },
    /// The key itself is refused.
    #[error("the log's key is refused")]
    Key(#[source] KeyError),
}
