//! The signature: CMS `SignedData` (RFC 5652) with Ed25519 (RFC 8419) in the shape that PAdES baseline B asks for
//! (ETSI EN 319 142-1 §6), and nothing else.

mod alone;
mod attribute;
mod fault;
mod parse;
mod sign;

pub use alone::{LoneSignature, LoneSignatureFault, strip_unsigned};
pub use attribute::{AttachError, attach_receipt, attach_timestamp};
pub use fault::SignatureFault;
pub use parse::{Form, SignedMessage};
pub use sign::{Signer, SignerError, sign_attached, sign_detached};

pub(crate) use attribute::signing_certificate;

use const_oid::ObjectIdentifier;

/// SHA-512 digest of what is signed.
pub type ContentDigest = [u8; 64];

const CONTENT_TYPE: ObjectIdentifier = const_oid::db::rfc5911::ID_CONTENT_TYPE;
const MESSAGE_DIGEST: ObjectIdentifier = const_oid::db::rfc5911::ID_MESSAGE_DIGEST;
/// id-aa-signingCertificateV2 (RFC 5035 §3).
const SIGNING_CERTIFICATE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");
/// id-aa-timeStampToken (RFC 3161 appendix A).
const TIMESTAMP_TOKEN: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.14");
const SHA_512: ObjectIdentifier = const_oid::db::rfc5912::ID_SHA_512;
const ED25519: ObjectIdentifier = const_oid::db::rfc8410::ID_ED_25519;
const SIGNED_DATA: ObjectIdentifier = const_oid::db::rfc5911::ID_SIGNED_DATA;
const DATA: ObjectIdentifier = const_oid::db::rfc5911::ID_DATA;

/// The attribute type of our log receipt: 2.25.230972517915041612062580198720208596038, that is the UUID
/// adc3b059-04a7-477a-8331-2c5f7ae36c46 under the arc of Rec. ITU-T X.667. Its value is one `UTF8String`.
pub const RECEIPT_ATTRIBUTE: [u8; 20] = [
    0x69, 0x82, 0xdb, 0xc3, 0xd8, 0x96, 0xa0, 0xca, 0xba, 0x9d, 0xf5, 0x83, 0x98, 0xcb, 0x8b, 0xf7, 0xd7, 0x8d, 0xd8,
    0x46,
];

#[cfg(test)]
mod attacks;
#[cfg(test)]
mod tests;
