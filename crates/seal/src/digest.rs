//! Digests that name things: a report, a public key, a signature.

use std::fmt;

use base16ct::lower::encode_string;
use sha2::{Digest as _, Sha256};

/// A SHA-256 digest (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sha256Digest([u8; 32]);

impl Sha256Digest {
    /// The digest of the given bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The digest of several pieces, taken as if they were one.
    pub fn of_pieces(pieces: &[&[u8]]) -> Self {
        let mut hasher = Sha256::new();
        for piece in pieces {
            hasher.update(piece);
        }
        Self(hasher.finalize().into())
    }

    /// A digest that was computed elsewhere.
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 bytes.
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Reads 64 lower-case hexadecimal digits; anything else is None.
    pub fn parse_hex(text: &str) -> Option<Self> {
        if text.len() != 64 {
            return None;
        }
        let mut bytes = [0; 32];
        base16ct::lower::decode(text, &mut bytes).ok()?;
        Some(Self(bytes))
    }

    /// 64 lower-case hexadecimal digits.
    pub fn to_hex(self) -> String {
        encode_string(&self.0)
    }

    /// Sixteen groups of four digits, for eyes and telephones: `9f86 d081 …`.
    pub fn to_groups(self) -> String {
        let pairs = self.0.chunks_exact(2);
        let groups: Vec<String> = pairs.map(encode_string).collect();
        groups.join(" ")
    }
}

impl fmt::Display for Sha256Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.to_hex())
    }
}

impl fmt::Debug for Sha256Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.to_hex())
    }
}

/// A report's identity: SHA-256 of the SHA-512 of its signed byte range. A receipt put in later does not change it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ReportIdentity(pub Sha256Digest);

impl fmt::Display for ReportIdentity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Debug for ReportIdentity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "report {}", self.0)
    }
}

/// A public key's fingerprint: SHA-256 over its `SubjectPublicKeyInfo` in DER.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fingerprint(pub Sha256Digest);

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.to_groups())
    }
}

impl fmt::Debug for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.to_groups())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sha256_agrees_with_the_standards_example() {
        // FIPS 180-4, example of the one-block message "abc" (NIST's published example values).
        let digest = Sha256Digest::of(b"abc");
        assert_eq!(digest.to_hex(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(Sha256Digest::of_pieces(&[b"a", b"", b"bc"]), digest);
    }

    #[test]
    fn hex_is_read_back_and_nothing_else_is() {
        let digest = Sha256Digest::of(b"brake");
        assert_eq!(Sha256Digest::parse_hex(&digest.to_hex()), Some(digest));
        assert_eq!(Sha256Digest::parse_hex(&digest.to_hex().to_uppercase()), None);
        assert_eq!(Sha256Digest::parse_hex(&digest.to_hex()[1..]), None);
        assert_eq!(Sha256Digest::parse_hex(&format!("{}é", &digest.to_hex()[2..])), None);
    }

    #[test]
    fn groups_are_four_digits_long() {
        let groups = Sha256Digest::from_bytes([0xab; 32]).to_groups();
        assert_eq!(groups, vec!["abab"; 16].join(" "));
    }
}
