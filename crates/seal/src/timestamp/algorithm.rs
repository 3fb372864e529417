//! The signatures of others: RSA, ECDSA and Ed25519, as timestamps' authorities use them. Nothing of ours is signed so.

use const_oid::{
    ObjectIdentifier,
    db::{
        rfc5912::{
            ECDSA_WITH_SHA_256, ECDSA_WITH_SHA_384, ECDSA_WITH_SHA_512, ID_EC_PUBLIC_KEY, ID_MGF_1, ID_RSASSA_PSS,
            ID_SHA_256, ID_SHA_384, ID_SHA_512, RSA_ENCRYPTION, SECP_256_R_1, SECP_384_R_1,
            SHA_256_WITH_RSA_ENCRYPTION, SHA_384_WITH_RSA_ENCRYPTION, SHA_512_WITH_RSA_ENCRYPTION,
        },
        rfc8410::ID_ED_25519,
    },
};
use der::{Decode as _, Encode as _, Sequence, asn1::AnyRef};
use p256::ecdsa::signature::hazmat::PrehashVerifier as _;
use rsa::{Pkcs1v15Sign, Pss, traits::PublicKeyParts as _};
use sha2::{Digest as _, Sha256, Sha384, Sha512};
use spki::{AlgorithmIdentifierOwned, SubjectPublicKeyInfoOwned, SubjectPublicKeyInfoRef};

use crate::key::PublicKey;

/// Shorter RSA keys are refused, in bytes: 2048 bits (NIST SP 800-57 part 1, table 2: below that, less than 112 bits of
/// strength).
const LEAST_RSA_BYTES: usize = 256;

/// One of the digests that are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Digest {
    Sha256,
    Sha384,
    Sha512,
}

impl Digest {
    /// None for any other digest, SHA-1 among them.
    pub(crate) fn of(oid: ObjectIdentifier) -> Option<Self> {
        match oid {
            ID_SHA_256 => Some(Self::Sha256),
            ID_SHA_384 => Some(Self::Sha384),
            ID_SHA_512 => Some(Self::Sha512),
            _ => None,
        }
    }

    pub(crate) fn digest(self, bytes: &[u8]) -> Vec<u8> {
        match self {
            Self::Sha256 => Sha256::digest(bytes).to_vec(),
            Self::Sha384 => Sha384::digest(bytes).to_vec(),
            Self::Sha512 => Sha512::digest(bytes).to_vec(),
        }
    }
}

/// How a message was signed.
enum Scheme {
    /// RSASSA-PKCS1-v1_5 (RFC 8017 §8.2).
    RsaPkcs1(Digest),
    /// RSASSA-PSS (RFC 8017 §8.1), with the bytes of its salt.
    RsaPss(Digest, usize),
    /// ECDSA (FIPS 186-5 §6) over the curve of the key.
    Ecdsa(Digest),
    /// Ed25519 (RFC 8032).
    Ed25519,
}

/// Does the signature stand? `digest` is the one that is named beside the algorithm, for those that name none themselves; where
/// both do, they have to be the same. None for an algorithm or a key that is not taken.
pub(super) fn check_signature(
    key: &SubjectPublicKeyInfoOwned,
    (algorithm, digest): (&AlgorithmIdentifierOwned, Option<Digest>),
    message: &[u8],
    signature: &[u8],
) -> Option<bool> {
    let scheme = read_scheme(algorithm, digest)?;
    let named = match scheme {
        Scheme::RsaPkcs1(named) | Scheme::RsaPss(named, _) | Scheme::Ecdsa(named) => Some(named),
        Scheme::Ed25519 => None,
    };
    if named.is_some() && digest.is_some() && named != digest {
        return None;
    }
    match (key.algorithm.oid, scheme) {
        (RSA_ENCRYPTION, Scheme::RsaPkcs1(digest)) => {
            let padding = match digest {
                Digest::Sha256 => Pkcs1v15Sign::new::<Sha256>(),
                Digest::Sha384 => Pkcs1v15Sign::new::<Sha384>(),
                Digest::Sha512 => Pkcs1v15Sign::new::<Sha512>(),
            };
            Some(read_rsa(key)?.verify(padding, &digest.digest(message), signature).is_ok())
        }
        (RSA_ENCRYPTION | ID_RSASSA_PSS, Scheme::RsaPss(digest, salt)) => {
            let (key, hashed) = (read_rsa(key)?, digest.digest(message));
            let verified = match digest {
                Digest::Sha256 => key.verify(Pss::<Sha256>::new_with_salt(salt), &hashed, signature),
                Digest::Sha384 => key.verify(Pss::<Sha384>::new_with_salt(salt), &hashed, signature),
                Digest::Sha512 => key.verify(Pss::<Sha512>::new_with_salt(salt), &hashed, signature),
            };
            Some(verified.is_ok())
        }
        (ID_EC_PUBLIC_KEY, Scheme::Ecdsa(digest)) => check_ecdsa(key, &digest.digest(message), signature),
        (ID_ED_25519, Scheme::Ed25519) if key.algorithm.parameters.is_none() => {
            let key = PublicKey::parse(key.subject_public_key.as_bytes()?).ok()?;
            Some(key.check(message, signature).is_ok())
        }
        _ => None,
    }
}

fn check_ecdsa(key: &SubjectPublicKeyInfoOwned, hashed: &[u8], signature: &[u8]) -> Option<bool> {
    let curve: ObjectIdentifier = key.algorithm.parameters.as_ref()?.decode_as().ok()?;
    let point = key.subject_public_key.as_bytes()?;
    match curve {
        SECP_256_R_1 => {
            let key = p256::ecdsa::VerifyingKey::from_sec1_bytes(point).ok()?;
            let signature = p256::ecdsa::Signature::from_der(signature);
            Some(signature.is_ok_and(|signature| key.verify_prehash(hashed, &signature).is_ok()))
        }
        SECP_384_R_1 => {
            let key = p384::ecdsa::VerifyingKey::from_sec1_bytes(point).ok()?;
            let signature = p384::ecdsa::Signature::from_der(signature);
            Some(signature.is_ok_and(|signature| key.verify_prehash(hashed, &signature).is_ok()))
        }
        _ => None,
    }
}

/// From 2048 bits on, and no longer than the library takes (8192 bits).
fn read_rsa(key: &SubjectPublicKeyInfoOwned) -> Option<rsa::PublicKey> {
    let mut der = key.to_der().ok()?;
    if key.algorithm.oid == ID_RSASSA_PSS {
        // A key that is for PSS alone (RFC 4055 §1.2) holds the same two numbers.
        let plain = AlgorithmIdentifierOwned { oid: RSA_ENCRYPTION, parameters: Some(AnyRef::NULL.into()) };
        let key = SubjectPublicKeyInfoOwned { algorithm: plain, subject_public_key: key.subject_public_key.clone() };
        der = key.to_der().ok()?;
    }
    let key = rsa::PublicKey::try_from(SubjectPublicKeyInfoRef::from_der(&der).ok()?).ok()?;
    (key.size() >= LEAST_RSA_BYTES).then_some(key)
}

fn read_scheme(algorithm: &AlgorithmIdentifierOwned, digest: Option<Digest>) -> Option<Scheme> {
    let is_null = algorithm.parameters.as_ref().is_none_or(der::Any::is_null);
    let plain = |scheme| is_null.then_some(scheme);
    match algorithm.oid {
        // The digest stands beside it (RFC 3370 §3.2).
        RSA_ENCRYPTION => plain(Scheme::RsaPkcs1(digest?)),
        SHA_256_WITH_RSA_ENCRYPTION => plain(Scheme::RsaPkcs1(Digest::Sha256)),
        SHA_384_WITH_RSA_ENCRYPTION => plain(Scheme::RsaPkcs1(Digest::Sha384)),
        SHA_512_WITH_RSA_ENCRYPTION => plain(Scheme::RsaPkcs1(Digest::Sha512)),
        ECDSA_WITH_SHA_256 => plain(Scheme::Ecdsa(Digest::Sha256)),
        ECDSA_WITH_SHA_384 => plain(Scheme::Ecdsa(Digest::Sha384)),
        ECDSA_WITH_SHA_512 => plain(Scheme::Ecdsa(Digest::Sha512)),
        ID_ED_25519 => algorithm.parameters.is_none().then_some(Scheme::Ed25519),
        ID_RSASSA_PSS => read_pss(algorithm),
        _ => None,
    }
}

/// `RSASSA-PSS-params` of RFC 4055 §3.1. What is left out stands for SHA-1 there, which is not taken.
#[derive(Sequence)]
struct PssParameters {
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    digest: Option<AlgorithmIdentifierOwned>,
    #[asn1(context_specific = "1", tag_mode = "EXPLICIT", optional = "true")]
    mask: Option<AlgorithmIdentifierOwned>,
    #[asn1(context_specific = "2", tag_mode = "EXPLICIT", optional = "true")]
    salt: Option<u16>,
    #[asn1(context_specific = "3", tag_mode = "EXPLICIT", optional = "true")]
    trailer: Option<u8>,
}

/// The digest of the message and that of the mask have to be the same, as everybody has them.
fn read_pss(algorithm: &AlgorithmIdentifierOwned) -> Option<Scheme> {
    let parameters: PssParameters = algorithm.parameters.as_ref()?.decode_as().ok()?;
    let digest = Digest::of(parameters.digest?.oid)?;
    let mask = parameters.mask.filter(|mask| mask.oid == ID_MGF_1)?;
    let masks_with: AlgorithmIdentifierOwned = mask.parameters?.decode_as().ok()?;
    let is_usual = Digest::of(masks_with.oid) == Some(digest) && parameters.trailer.is_none_or(|trailer| trailer == 1);
    is_usual.then(|| Scheme::RsaPss(digest, usize::from(parameters.salt.unwrap_or(20))))
}

#[cfg(test)]
mod tests {
    use der::asn1::BitString;

    use super::*;
    use crate::key::PrivateKey;

    #[test]
    fn with_ed25519_nobody_has_parameters() {
        // RFC 8410 §3: they are absent.
        let key = PrivateKey::from_seed(&[3; 32]);
        let signature = key.sign(b"a time");
        let algorithm = |parameters| AlgorithmIdentifierOwned { oid: ID_ED_25519, parameters };
        let check = |of_key, of_signature| {
            let subject_public_key = BitString::from_bytes(&key.public().to_bytes()).unwrap();
            let key = SubjectPublicKeyInfoOwned { algorithm: algorithm(of_key), subject_public_key };
            check_signature(&key, (&algorithm(of_signature), None), b"a time", &signature)
        };
        let null = || Some(AnyRef::NULL.into());
        assert_eq!(check(None, None), Some(true));
        assert_eq!((check(null(), None), check(None, null())), (None, None));
    }
}
