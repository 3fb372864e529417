//! How a corner really is at a visit, before anybody looks at it; findings, readings and photographs follow from it.

use model::{BellFinish, CalliperState, FaceName, HowSeen, PadName};

/// How far the inspector got at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// The wheel stayed on.
    WheelOn,
    /// The wheel came off, the disc stayed on its hub.
    WheelOff,
    /// The disc came off and was weighed.
    DiscOff,
}

/// How one corner is.
#[derive(Debug, Clone, Copy)]
pub struct CornerState {
    /// Wear of the outer face's surface: 0 as new, 1 spent.
    pub outer_wear: f64,
    /// Wear of the inner face's surface.
    pub inner_wear: f64,
    /// Loss of the ring's substance: 0 as new, 1 at the marks.
    pub bulk_wear: f64,
    /// Marks of heat on both faces, 0 to 1.
    pub heat: f64,
    /// Marks of a chemical on the outer face, 0 to 1.
    pub chemical: f64,
    /// The bell.
    pub bell: BellFinish,
    /// Lining of the outer pad, in millimetres.
    pub outer_lining_mm: f64,
    /// Lining of the inner pad, in millimetres.
    pub inner_lining_mm: f64,
    /// Taper of the inner pad, in millimetres.
    pub inner_taper_mm: f64,
    /// The calliper.
    pub calliper: CalliperState,
    /// How far the inspector got.
    pub reach: Reach,
    /// Service and parking brake force on the roller tester, in newtons, where it was driven onto one.
    pub force_n: Option<(f64, Option<f64>)>,
}

impl CornerState {
    /// Nothing worn, everything within reach.
    pub const NEW: Self = Self {
        outer_wear: 0.05,
        inner_wear: 0.06,
        bulk_wear: 0.03,
        heat: 0.0,
        chemical: 0.0,
        bell: BellFinish::Even,
        outer_lining_mm: 10.7,
        inner_lining_mm: 10.6,
        inner_taper_mm: 0.1,
        calliper: CalliperState::Free,
        reach: Reach::DiscOff,
        force_n: None,
    };

    /// Wear of this face's surface.
    pub const fn face_wear(&self, face: FaceName) -> f64 {
        match face {
            FaceName::Outer => self.outer_wear,
            FaceName::Inner => self.inner_wear,
        }
    }

    /// How this face could be seen.
    pub const fn face_seen(&self, face: FaceName) -> HowSeen {
        match (self.reach, face) {
            (Reach::WheelOn, FaceName::Outer) => HowSeen::ThroughWheel,
            (Reach::WheelOn, FaceName::Inner) => HowSeen::Mirror,
            _ => HowSeen::WheelOff,
        }
    }

    /// Lining and taper of this pad, in millimetres.
    pub const fn lining(&self, pad: PadName) -> (f64, f64) {
        match pad {
            PadName::Outer => (self.outer_lining_mm, 0.1),
            PadName::Inner => (self.inner_lining_mm, self.inner_taper_mm),
        }
    }

    /// Whether this pad could be seen and measured.
    pub fn reaches_pad(&self, pad: PadName) -> bool {
        pad == PadName::Outer || self.reach != Reach::WheelOn
    }
}
