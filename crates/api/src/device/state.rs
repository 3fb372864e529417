use std::{io, path::Path};

use model::{DeviceId, Sha256};
use serde::{Deserialize, Serialize};

use super::DeviceError;
use crate::world::{World, WorldError};

const SCHEMA: &str = "rimside.device/1";
const MOST_STATE: u64 = 64 * 1024;

/// What a device remembers of its row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct State {
    schema: String,
    pub id: DeviceId,
    /// The number of the next record, from 1.
    pub next: u64,
    /// Digest of the last record.
    pub previous: Option<Sha256>,
    /// The record that has the next number and is not in the row yet.
    pub pending: Option<Pending>,
}

/// A record whose report is on its way to its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Pending {
    pub record: Sha256,
    /// The report's identity.
    pub identity: Sha256,
    pub place: String,
    pub lies_at: String,
    /// Whether a file at its place may be replaced.
    pub replaces: bool,
}

impl State {
    pub(super) fn new(id: DeviceId) -> Self {
        Self { schema: SCHEMA.to_owned(), id, next: 1, previous: None, pending: None }
    }

    /// Reads the state; none where there is no file.
    pub(super) fn read(world: &dyn World, file: &Path) -> Result<Option<Self>, DeviceError> {
        let bytes = match world.read(file, MOST_STATE) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(WorldError::at("read", file)(error).into()),
        };
        let refused = |reason: String| DeviceError::State { file: file.display().to_string(), reason };
        let state: Self = serde_json::from_slice(&bytes).map_err(|error| refused(error.to_string()))?;
        if state.schema != SCHEMA {
            return Err(refused(format!("got the form {}, expected {SCHEMA}", state.schema)));
        }
        if state.next == 0 || (state.next == 1) != state.previous.is_none() {
            return Err(refused("number and previous record do not fit together".to_owned()));
        }
        Ok(Some(state))
    }

    pub(super) fn to_json(&self) -> Vec<u8> {
        let mut bytes = serde_json::to_vec_pretty(self).expect("strings and numbers under fixed keys are always JSON");
        bytes.push(b'\n');
        bytes
    }

    /// With another note of what is pending.
    pub(super) fn with_pending(&self, pending: Option<Pending>) -> Self {
        Self { pending, ..self.clone() }
    }

    /// With the pending record in the row.
    pub(super) fn with_pending_taken(&self) -> Self {
        match &self.pending {
            Some(pending) => {
                Self { next: self.next + 1, previous: Some(pending.record), pending: None, ..self.clone() }
            }
            None => self.clone(),
        }
    }

    pub(super) fn is_unused(&self) -> bool {
        self.next == 1 && self.pending.is_none()
    }
}

/// A path as the state keeps it. The next run may start in another folder, so it begins at the root.
pub(super) fn spell(path: &Path) -> String {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned()).to_string_lossy().into_owned()
}
