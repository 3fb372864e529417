//! The messages, and what a device remembers of the office.

use std::collections::BTreeSet;

use base64ct::{Base64, Encoding as _};
use model::{Carried, DeviceId, Entry, InspectionId, Sha256};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Bytes of a piece of a photograph or recording; the last one may be shorter.
pub const PIECE_BYTES: u64 = 1 << 20;
/// The most bytes of entries that are handed over at once, either way; a single larger entry goes alone.
pub const MOST_ASKED_BYTES: usize = 256 * 1024;
/// No entry is larger, as JSON: a drive's measured figures are the largest field.
pub const MOST_ENTRY_BYTES: usize = 1 << 20;
/// No photograph and no recording is larger.
pub const MOST_BLOB_BYTES: u64 = 1 << 30;
/// So many reports are asked for their timestamp at once.
pub const MOST_UNSTAMPED: usize = 4;
/// No sealed report that goes to an office is larger.
pub const MOST_REPORT_BYTES: u64 = 128 << 20;

/// What a device asks and tells.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ask {
    /// Which office's count `seen` is of; none at first.
    pub epoch: Option<String>,
    /// How much of what the office took this device has seen.
    pub seen: u64,
    /// How many entries of its own the device has, with those that are here.
    pub own: u64,
    /// Its next entries, in their order.
    pub entries: Vec<Carried>,
    /// How many of the office's sealed reports this device has been told of.
    pub reports_seen: u64,
    /// Some of its own sealed reports that lack a timestamp; empty where the office asks no authority for them. A phone that
    /// still has an older build says nothing, and is told nothing of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unstamped: Option<Vec<Sha256>>,
    /// Of what the office wants, in the order of the digests, only what comes after this: of the others the device gave what
    /// it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wants_after: Option<Sha256>,
}

/// What the office answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Names the office's count: another one begins where a store was begun anew.
    pub epoch: String,
    /// How much of it the device has seen with this.
    pub seen: u64,
    /// There is more to be seen.
    pub more: bool,
    /// How many of the device's own entries the office has, safely.
    pub held: u64,
    /// What others wrote, and what the device itself wrote and lost.
    pub entries: Vec<Carried>,
    /// Some of what the device's entries speak of and the office lacks, in the order of the digests.
    pub wants: Vec<Wanted>,
    /// How many of the office's sealed reports the device has been told of with this.
    pub reports_seen: u64,
    /// Some of those that it had not been told of.
    pub reports: Vec<Sealed>,
    /// The tokens that came for what the device said lacks one; not there where the office asks no authority, or the device
    /// said nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stamps: Option<Vec<Stamp>>,
}

/// An authority's timestamp over a report's signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stamp {
    /// The report's identity.
    pub identity: Sha256,
    /// The token of RFC 3161, in DER, in base64 (RFC 4648 §4).
    pub token: String,
}

impl Stamp {
    /// The message that carries this token.
    pub fn carry(identity: Sha256, token: &[u8]) -> Self {
        Self { identity, token: Base64::encode_string(token) }
    }

    /// The token in DER, not yet looked at; none for anything but base64.
    pub fn read(&self) -> Option<Vec<u8>> {
        Base64::decode_vec(&self.token).ok()
    }
}

/// A sealed report that the office has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sealed {
    /// The report's identity, which a receipt does not change.
    pub identity: Sha256,
    /// SHA-256 of its file.
    pub sha256: Sha256,
}

/// A device asks for the receipt of a report that it sealed: it was issued. The signature goes and not the digests of both:
/// it is small enough for a bad link, and shows the office that somebody of the firm sealed what its log is to speak of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Issued {
    /// The report's signature, CMS in DER without what was added after signing, in base64 (RFC 4648 §4).
    pub signature: String,
}

impl Issued {
    /// The message that carries this signature.
    pub fn carry(signature: &[u8]) -> Self {
        Self { signature: Base64::encode_string(signature) }
    }

    /// The signature in DER, not yet looked at; none for anything but base64.
    pub fn read(&self) -> Option<Vec<u8>> {
        Base64::decode_vec(&self.signature).ok()
    }
}

/// A device has a sealed report for the office.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bring {
    /// SHA-256 of its file.
    pub sha256: Sha256,
    /// Bytes of its file.
    pub length: u64,
}

/// What became of a report that was brought.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Brought {
    /// The office has it whole, and has looked at it.
    pub here: bool,
    /// Else the pieces of it that came already.
    pub pieces: Vec<u64>,
}

/// Something that the office lacks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    /// Its digest.
    pub sha256: Sha256,
    /// The pieces that came already.
    pub pieces: Vec<u64>,
}

/// Another entry of this device and number is at the office: one of two that go under one name is a copy that was put back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Forked {
    /// The first number at which they differ.
    pub at: u64,
}

/// A device goes on under a new name, after its own row forked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Follow {
    /// The new name.
    pub device: DeviceId,
    /// The token that it will have: 64 hexadecimal digits that the device drew, so that asking twice is the same as once.
    pub token: String,
}

/// All pieces are there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finish {
    /// Bytes of all of them.
    pub length: u64,
}

/// What a digest in an entry is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A photograph.
    Photograph,
    /// A recording of the road test.
    Recording,
    /// A sealed report.
    Report,
}

/// What a device lacks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Awaited {
    /// Of which inspection; none for a report, which says so itself.
    pub inspection: Option<InspectionId>,
    /// What it is.
    pub kind: Kind,
    /// Its digest.
    pub sha256: Sha256,
}

/// What a device remembers of the office between two times.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct State {
    /// Which office's count.
    pub epoch: Option<String>,
    /// How much of it was seen.
    pub seen: u64,
    /// How many entries of this device are at the office.
    pub held: u64,
    /// What others' entries speak of and is not here yet.
    pub awaited: Vec<Awaited>,
    /// How many of its sealed reports were told of.
    #[serde(default)]
    pub reports_seen: u64,
    /// The office asks an authority for a timestamp of each report.
    #[serde(default)]
    pub stamps: bool,
    /// Reports that this device brought there and that lack theirs, the newest last.
    #[serde(default)]
    pub unstamped: Vec<Sha256>,
    /// What of the awaited is fetched.
    #[serde(default)]
    pub fetches: Fetches,
}

/// What a device fetches of the photographs and recordings that it lacks.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fetches {
    /// All of them, as they come.
    #[default]
    All,
    /// Those of inspections for which somebody asked.
    Asked(BTreeSet<InspectionId>),
}

/// The photograph or recording that an entry speaks of.
pub fn named_blob(entry: &Entry) -> Option<Awaited> {
    let kind = match entry.path.split_once('.')?.0 {
        "photographs" => Kind::Photograph,
        "recordings" => Kind::Recording,
        _ => return None,
    };
    let sha256 = entry.value.get("sha256")?.as_str()?.parse().ok()?;
    Some(Awaited { inspection: Some(entry.inspection.clone()), kind, sha256 })
}

/// How many pieces so many bytes are.
pub const fn pieces(length: u64) -> u64 {
    length.div_ceil(PIECE_BYTES)
}

/// The header `Content-Digest` of RFC 9530 for these bytes.
pub fn content_digest(bytes: &[u8]) -> String {
    tell_digest(&Sha256::of(bytes))
}

/// The header `Content-Digest` of RFC 9530 for bytes of this digest.
pub fn tell_digest(sha256: &Sha256) -> String {
    format!("sha-256=:{}:", Base64::encode_string(sha256.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_content_digest_is_that_of_the_standard() {
        // RFC 9530, appendix B.1 and B.2: the digest of `{"hello": "world"}` with a line's end, in SHA-256.
        assert_eq!(
            content_digest(b"{\"hello\": \"world\"}\n"),
            "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:"
        );
    }
}
