//! What is to be photographed, in which state, from where and when.

use model::{BellFinish, CornerName, FaceName, HowSeen, PadName, PhotographSubject, Place, Timestamp};

/// One photograph to draw.
#[derive(Debug, Clone)]
pub struct Shot {
    /// What it shows.
    pub kind: ShotKind,
    /// The state of what it shows.
    pub signs: Signs,
    /// Varies the camera, the light and the dirt. The fibre pattern of a disc belongs to its corner and face: it stays
    /// the same from visit to visit.
    pub seed: u64,
    /// Width and height in pixels, as looked at.
    pub size: (u32, u32),
    /// What the camera's clock said.
    pub taken_at: Timestamp,
    /// Where it was taken, if the camera wrote that down.
    pub place: Option<Place>,
    /// How the camera was held.
    pub held: Held,
}

/// What a photograph shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ShotKind {
    /// A face of a disc.
    Face {
        /// Where.
        corner: CornerName,
        /// Which.
        face: FaceName,
        /// How the inspector got to see it.
        seen: HowSeen,
    },
    /// A face with the wheel off, the camera straight before it and near: for its pattern to be measured.
    Straight {
        /// Where.
        corner: CornerName,
        /// Which.
        face: FaceName,
    },
    /// A bell, wheel off.
    Bell {
        /// Where.
        corner: CornerName,
    },
    /// A pad, looked at edge-on through the calliper's window with a steel rule beside it.
    Pad {
        /// Where.
        corner: CornerName,
        /// Which.
        pad: PadName,
    },
    /// The registration plate.
    Registration {
        /// What stands on it: letters A to Z, digits, spaces, hyphens.
        letters: String,
    },
    /// The plate with the identification number.
    Vin {
        /// What stands on it.
        letters: String,
    },
    /// The odometer's display.
    Odometer {
        /// What it shows, in kilometres.
        km: u32,
    },
}

impl ShotKind {
    /// The same in the words of an inspection.
    pub fn subject(&self) -> PhotographSubject {
        match *self {
            Self::Face { corner, face, .. } | Self::Straight { corner, face } => {
                PhotographSubject::Face { corner, face }
            }
            Self::Bell { corner } => PhotographSubject::Bell { corner },
            Self::Pad { corner, pad } => PhotographSubject::Pad { corner, pad },
            Self::Registration { .. } => PhotographSubject::Registration,
            Self::Vin { .. } => PhotographSubject::Vin,
            Self::Odometer { .. } => PhotographSubject::Odometer,
        }
    }
}

/// What there is to see. [`Signs::default`] is a new disc with new pads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Signs {
    /// Wear of the face: 0 as new, 1 at the end of its life.
    pub wear: f64,
    /// How far heat has marked the face: 0 not at all, 1 blue-brown all over with a fine craze.
    pub heat: f64,
    /// How far a chemical has attacked the face: 0 not at all, 0.3 a first blotch, 1 most of it.
    pub chemical: f64,
    /// The bell's surface.
    pub bell: BellFinish,
    /// Lining left in the middle of the pad, in millimetres.
    pub lining_mm: f64,
    /// Difference of the lining between its two ends, in millimetres.
    pub taper_mm: f64,
}

impl Default for Signs {
    fn default() -> Self {
        Self { wear: 0.0, heat: 0.0, chemical: 0.0, bell: BellFinish::Even, lining_mm: 11.0, taper_mm: 0.0 }
    }
}

/// How the camera was held: decides how the pixels are stored and what the EXIF orientation says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Held {
    /// Level: stored as looked at (orientation 1).
    #[default]
    Level,
    /// On its side: stored a quarter turn anticlockwise, to be turned clockwise for looking (orientation 6).
    OnItsSide,
    /// Upside down (orientation 3).
    UpsideDown,
}
