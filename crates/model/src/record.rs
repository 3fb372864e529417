//! A record: an inspection frozen with what it comes to.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Timestamp,
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

/// The version of the renderer that made the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct RendererVersion(pub u32);

/// The version of the method that reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct MethodVersion(pub u32);

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
    pub report_photographs: Vec<ReportPhotograph>,
    /// What they come to.
    pub reckoning: Reckoning,
}
