//! Photographs and recordings: what they show, where they came from, which bytes they are.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Timestamp,
    choice::{CornerName, FaceName, PadName, names},
    id::{Label, Sha256},
    measured_face::MeasuredFace,
    text::Line,
};

names!(
    /// How a photograph came into the inspection.
    PhotographTaken {
        /// Taken by the inspector in the app.
        InApp = "taken in the app",
        /// Brought in from elsewhere.
        Imported = "imported",
    }
);

/// What a photograph shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "of", rename_all = "snake_case", deny_unknown_fields)]
pub enum PhotographSubject {
    /// The identification number.
    Vin,
    /// The registration plate.
    Registration,
    /// The odometer.
    Odometer,
    /// The car as a whole.
    Car,
    /// A face of a disc.
    Face {
        /// Where.
        corner: CornerName,
        /// Which.
        face: FaceName,
    },
    /// A bell.
    Bell {
        /// Where.
        corner: CornerName,
    },
    /// A pad.
    Pad {
        /// Where.
        corner: CornerName,
        /// Which.
        pad: PadName,
    },
    /// A calliper.
    Calliper {
        /// Where.
        corner: CornerName,
    },
    /// An instrument while it shows a reading.
    Instrument,
    /// Something else; the caption says what.
    Other,
}

impl PhotographSubject {
    /// The corner that is shown.
    pub const fn corner(self) -> Option<CornerName> {
        match self {
            Self::Face { corner, .. }
            | Self::Bell { corner }
            | Self::Pad { corner, .. }
            | Self::Calliper { corner } => Some(corner),
            _ => None,
        }
    }

    /// What is shown, in words: "front left, outer face".
    pub fn words(self) -> String {
        match self {
            Self::Vin => "identification number".into(),
            Self::Registration => "registration plate".into(),
            Self::Odometer => "odometer".into(),
            Self::Car => "the car".into(),
            Self::Face { corner, face } => format!("{}, {} face", corner.words(), face.words()),
            Self::Bell { corner } => format!("{}, bell", corner.words()),
            Self::Pad { corner, pad } => format!("{}, {} pad", corner.words(), pad.words()),
            Self::Calliper { corner } => format!("{}, calliper", corner.words()),
            Self::Instrument => "instrument".into(),
            Self::Other => "other".into(),
        }
    }
}

/// A place on the earth, WGS 84.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Degrees north of the equator; negative in the south.
    #[schemars(range(min = -90.0, max = 90.0))]
    pub latitude_deg: f64,
    /// Degrees east of Greenwich; negative in the west.
    #[schemars(range(min = -180.0, max = 180.0))]
    pub longitude_deg: f64,
}

/// A photograph of the inspection: the original as it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Photograph {
    /// Its name inside this inspection.
    pub id: Label,
    /// Digest of the original's bytes.
    pub sha256: Sha256,
    /// What it shows.
    pub subject: PhotographSubject,
    /// How it came here.
    pub taken: PhotographTaken,
    /// When it was taken, as the camera or the inspector says.
    pub taken_at: Option<Timestamp>,
    /// What there is to see.
    pub caption: Option<Line>,
    /// Where it was taken, as its file says: only where the inspector wants the report to say so, else left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Place")]
    pub place: Option<Place>,
    /// What was measured in it, where it shows a face whose ring the inspector marked; left out elsewhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "MeasuredFace")]
    pub measured: Option<MeasuredFace>,
}

/// A photograph as the report carries it: a smaller copy whose bytes stand in the file unchanged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportPhotograph {
    /// The photograph's name in the inspection.
    pub id: Label,
    /// Digest of the copy's bytes.
    pub sha256: Sha256,
    /// Width of the copy in pixels.
    #[schemars(range(min = 1, max = 65_535))]
    pub width_px: u32,
    /// Height of the copy in pixels.
    #[schemars(range(min = 1, max = 65_535))]
    pub height_px: u32,
}

/// A recording of motion, position or sound.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Recording {
    /// Its name inside this inspection.
    pub id: Label,
    /// Digest of its bytes.
    pub sha256: Sha256,
    /// What it holds ("motion log, 100 Hz").
    pub what: Line,
}
