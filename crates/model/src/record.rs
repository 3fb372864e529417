//! A record: an inspection frozen with what it comes to.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Timestamp,
    canonical::{CanonicalError, canonical_json},
    id::{DeviceId, Salt, Sha256},
    inspection::Inspection,
    photograph::ReportPhotograph,
    reckoning::Reckoning,
    text::Line,
};

/// The version of a record's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum RecordSchema {
    /// The first.
    #[serde(rename = "rimside.record/1")]
    V1,
}

/// The version of the renderer that made the pages, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct RendererVersion(#[schemars(range(min = 1, max = 4_294_967_295_u64))] pub u32);

/// The version of the method that reckoned, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct MethodVersion(#[schemars(range(min = 1, max = 4_294_967_295_u64))] pub u32);

/// The device that froze the record, and the record's place in its row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// The device.
    pub id: DeviceId,
    /// The record's number on this device, from 1 without gaps.
    #[schemars(range(min = 1, max = 9_007_199_254_740_991_u64))]
    pub sequence: u64,
    /// Digest of this device's previous record; absent for the first.
    pub previous: Option<Sha256>,
}

/// An inspection frozen with its reckoning. Its canonical JSON (RFC 8785) is what is hashed and attached.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The version of the form.
    pub schema: RecordSchema,
    /// The version of the renderer.
    pub renderer: RendererVersion,
    /// 128 random bits.
    pub salt: Salt,
    /// The device and the row of its records.
    pub device: Device,
    /// When it was frozen, by the device's clock.
    pub frozen_at: Timestamp,
    /// Who signs.
    pub author: Line,
    /// Where a reader can have the file checked.
    pub verify_at: Option<Line>,
    /// The record that this one replaces.
    pub supersedes: Option<Sha256>,
    /// The findings.
    pub inspection: Inspection,
    /// The photographs as the report carries them, in the inspection's order.
    #[schemars(length(max = 2000))]
    pub report_photographs: Vec<ReportPhotograph>,
    /// What they come to.
    pub reckoning: Reckoning,
}

impl Record {
    /// The record's canonical JSON (RFC 8785): the bytes that are hashed, attached and printed as a digest.
    ///
    /// # Errors
    /// A figure of the reckoning that is not finite. A record that came through [`crate::parse_record`] has none.
    pub fn canonical_bytes(&self) -> Result<Vec<u8>, CanonicalError> {
        canonical_json(self)
    }

    /// The digest by which a record with these canonical bytes is known.
    pub fn digest(canonical_bytes: &[u8]) -> Sha256 {
        Sha256::of(canonical_bytes)
    }
}
