use crate::{fault::Explained, world::WorldError};

/// Why a report was not put in its place, or the device's row could not be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DeviceError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// The device's state is damaged.
    #[error("{file} is not a device's state: {reason}")]
    State {
        /// Its file.
        file: String,
        /// What came and what was expected.
        reason: String,
    },
    /// What was to be put in its place is no sealed report.
    #[error("got bytes that are no sealed report")]
    NotAReport,
    /// The disk failed, and the report may be in its place.
    #[error("{cause}; the report may be at {place} all the same")]
    NotCertain {
        /// The place.
        place: String,
        /// How the disk failed.
        #[source]
        cause: WorldError,
    },
    /// The disk failed, and the report lies beside its place.
    #[error("{cause}; the sealed report lies at {lies_at}")]
    Waiting {
        /// Where it lies.
        lies_at: String,
        /// How the disk failed.
        #[source]
        cause: WorldError,
    },
}

impl Explained for DeviceError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::State { .. } => "device-state-refused",
            Self::NotAReport => "not-a-report",
            Self::NotCertain { .. } => "report-not-certain",
            Self::Waiting { .. } => "report-waiting",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::State { .. } => Some(
                "restore it from a backup that is certainly the newest; else move it away, and a new device begins its \
                 own row"
                    .to_owned(),
            ),
            Self::NotAReport => None,
            Self::NotCertain { .. } | Self::Waiting { .. } => {
                Some("the next sealing finishes it; its number stays its own".to_owned())
            }
        }
    }
}
