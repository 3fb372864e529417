//! RFC 3161: the question to an authority for a timestamp over a report's signature, its answer, and whether an authority
//! that a reader names stands behind it.
//!
//! The question carries no nonce (§2.4.1 leaves it open): an answer to an earlier question over the same signature proves an
//! earlier time, which is what is wanted.

#[cfg(feature = "authority")]
mod algorithm;
#[cfg(feature = "authority")]
mod authority;
#[cfg(feature = "authority")]
mod token;

#[cfg(feature = "authority")]
pub use authority::{AuthorityCertificate, AuthorityCertificateError};

#[cfg(feature = "authority")]
pub(crate) use authority::{Judged, judge_token};
#[cfg(feature = "authority")]
pub(crate) use token::Token;

use der::{Any, Decode as _, Encode as _, Reader as _, Sequence, SliceReader, Tag, Tagged as _, asn1::OctetString};
use sha2::{Digest as _, Sha512};
use spki::AlgorithmIdentifierOwned;

use crate::asn1::{bare_algorithm, decode_canonical};

/// The answer was given (`PKIStatus`, §2.4.2).
const GRANTED: u32 = 0;
/// The answer was given, with other extensions than asked for.
const GRANTED_WITH_MODS: u32 = 1;

/// `TimeStampReq` of §2.4.1 without policy, nonce and extensions.
#[derive(Sequence)]
struct Question {
    version: u8,
    imprint: Imprint,
    wants_certificates: bool,
}

/// `MessageImprint` of §2.4.1.
#[derive(Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    digest: OctetString,
}

/// The question for a token over a signature value, in DER: SHA-512, the authority's certificates inside the answer.
pub fn ask_for_token(signature: &[u8]) -> der::Result<Vec<u8>> {
    let digest = OctetString::new(Sha512::digest(signature).to_vec())?;
    let imprint = Imprint { algorithm: bare_algorithm(const_oid::db::rfc5912::ID_SHA_512), digest };
    Question { version: 1, imprint, wants_certificates: true }.to_der()
}

/// The token in an authority's answer (`TimeStampResp`, §2.4.2), in DER.
pub fn read_answer(answer: &[u8]) -> Result<Vec<u8>, AnswerFault> {
    let mut reader = SliceReader::new(answer)?;
    let (status, token) = reader.sequence(|answer| -> der::Result<_> {
        let status = Any::decode(answer)?;
        let token: Option<Any> = if answer.is_finished() { None } else { Some(answer.decode()?) };
        Ok((status, token))
    })?;
    reader.finish()?;
    status.tag().assert_eq(Tag::Sequence)?;
    // Words about the status and a reason may follow; the number decides.
    let mut inside = SliceReader::new(status.value())?;
    let status: u32 = inside.decode()?;
    if status != GRANTED && status != GRANTED_WITH_MODS {
        return Err(AnswerFault::Refused { status });
    }
    let token = token.ok_or(AnswerFault::Empty)?.to_der()?;
    decode_canonical::<Any>(&token)?;
    Ok(token)
}

/// Why an answer holds no token.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AnswerFault {
    /// Not an answer.
    #[error("the answer is not one of RFC 3161 in DER")]
    NotDer(#[from] der::Error),
    /// The authority refused.
    #[error("the authority refused: got the status {status}, expected 0 or 1")]
    Refused {
        /// Its status.
        status: u32,
    },
    /// The answer says that it was given, and nothing is there.
    #[error("the answer holds no token")]
    Empty,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A status of these numbers, and what follows it.
    fn answer(status: &[u8], rest: &[u8]) -> Vec<u8> {
        let inside = [&[0x30, status.len() as u8][..], status, rest].concat();
        [&[0x30, inside.len() as u8][..], &inside].concat()
    }

    #[test]
    fn the_question_is_the_one_that_the_standard_spells() {
        // RFC 3161 §2.4.1, byte for byte: version 1, SHA-512 (2.16.840.1.101.3.4.2.3), the digest, certReq.
        let asked = ask_for_token(b"signature").unwrap();
        let digest = hex::encode(Sha512::digest(b"signature"));
        assert_eq!(hex::encode(&asked), format!("3057020101304f300b06096086480165030402030440{digest}0101ff"));
    }

    #[test]
    fn only_a_token_that_was_granted_is_taken() {
        let token = [0x30, 3, 2, 1, 5];
        for status in [0, 1] {
            assert_eq!(read_answer(&answer(&[2, 1, status], &token)).unwrap(), token);
        }
        // With words about it: PKIFreeText "ok".
        assert_eq!(read_answer(&answer(&[2, 1, 0, 0x30, 4, 12, 2, b'o', b'k'], &token)).unwrap(), token);
        assert!(matches!(read_answer(&answer(&[2, 1, 2], &[])), Err(AnswerFault::Refused { status: 2 })));
        assert!(matches!(read_answer(&answer(&[2, 1, 2], &token)), Err(AnswerFault::Refused { status: 2 })));
        assert!(matches!(read_answer(&answer(&[2, 1, 0], &[])), Err(AnswerFault::Empty)));
        let twice = [token, token].concat();
        let longer = [&answer(&[2, 1, 0], &token)[..], &[0]].concat();
        for bad in [&b""[..], b"no answer", &token, &longer, &answer(&[2, 1, 0], &twice), &answer(&[], &token)] {
            assert!(matches!(read_answer(bad), Err(AnswerFault::NotDer(_))), "{bad:02x?}");
        }
    }
}
