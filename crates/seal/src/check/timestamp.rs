//! RFC 3161 tokens: that the token belongs to this signature. Who issued it is judged elsewhere, by the reader's authorities.

use cms::{content_info::ContentInfo, signed_data::SignedData};
use const_oid::{
    ObjectIdentifier,
    db::rfc5912::{ID_SHA_256, ID_SHA_384, ID_SHA_512},
};
use der::{
    Decode as _, Reader as _, SliceReader,
    asn1::{GeneralizedTime, OctetString, OctetStringRef},
};
use sha2::{Digest as _, Sha256, Sha384, Sha512};
use spki::AlgorithmIdentifierOwned;

use crate::verdict::Finding;

/// id-ct-TSTInfo (RFC 3161 §2.4.2).
const TST_INFO: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");

/// Does the token's imprint fit the signature value (RFC 3161 appendix A)? Returns the remark that the token's own
/// signature was not judged, with the time that it claims; or why the token does not belong here.
pub(crate) fn check_imprint(token: &[u8], signature: &[u8]) -> Result<Finding, Finding> {
    let malformed = || Finding {
        code: "timestamp-malformed",
        reason: "the timestamp token is not one of RFC 3161 in DER".to_owned(),
    };
    let info = read_info(token).ok_or_else(malformed)?;
    let digest = match info.algorithm {
        ID_SHA_256 => Sha256::digest(signature).to_vec(),
        ID_SHA_384 => Sha384::digest(signature).to_vec(),
        ID_SHA_512 => Sha512::digest(signature).to_vec(),
        other => {
            let reason = format!("the timestamp token uses the digest {other}, expected SHA-256, SHA-384 or SHA-512");
            return Err(Finding { code: "timestamp-digest", reason });
        }
    };
    if info.imprint != digest {
        let reason = "the timestamp token belongs to another signature".to_owned();
        return Err(Finding { code: "timestamp-of-another-signature", reason });
    }
    let time = info.time.map_or_else(String::new, |time| format!(" of {}", time.to_date_time()));
    Ok(Finding {
        code: "timestamp-not-checked",
        reason: format!("the timestamp token{time} belongs to this signature; not checked: who issued it"),
    })
}

struct Info {
    algorithm: ObjectIdentifier,
    imprint: Vec<u8>,
    time: Option<GeneralizedTime>,
}

/// `TSTInfo` up to its time: version, policy, messageImprint, serialNumber, genTime.
fn read_info(token: &[u8]) -> Option<Info> {
    let message = ContentInfo::from_der(token).ok()?;
    let data: SignedData = message.content.decode_as().ok()?;
    let content = data.encap_content_info;
    if content.econtent_type != TST_INFO {
        return None;
    }
    let bytes: OctetString = content.econtent?.decode_as().ok()?;
    let mut reader = SliceReader::new(bytes.as_bytes()).ok()?;
    let header = der::Header::decode(&mut reader).ok()?;
    (header.tag() == der::Tag::Sequence).then_some(())?;
    let version: u8 = reader.decode().ok()?;
    (version == 1).then_some(())?;
    let _policy: ObjectIdentifier = reader.decode().ok()?;
    let (algorithm, imprint) = reader
        .sequence(|imprint| -> der::Result<_> {
            let algorithm: AlgorithmIdentifierOwned = imprint.decode()?;
            Ok((algorithm.oid, imprint.decode::<&OctetStringRef>()?.as_bytes().to_vec()))
        })
        .ok()?;
    let _serial: der::asn1::Int = reader.decode().ok()?;
    // A time with fractions of a second is left out of the remark rather than misread.
    Some(Info { algorithm, imprint, time: reader.decode().ok() })
}
