//! The truth of each visit: how the brakes are, before anybody looks at them.

use model::{BellFinish, CalliperState, HowSeen, PerCorner};

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
    /// How the inner face could be seen.
    pub inner_seen: HowSeen,
    /// Service brake force on the roller tester, in newtons.
    pub force_n: f64,
}

const NEW: CornerState = CornerState {
    outer_wear: 0.05,
    inner_wear: 0.05,
    bulk_wear: 0.02,
    heat: 0.0,
    chemical: 0.0,
    bell: BellFinish::Even,
    outer_lining_mm: 10.6,
    inner_lining_mm: 10.5,
    inner_taper_mm: 0.1,
    calliper: CalliperState::Free,
    inner_seen: HowSeen::WheelOff,
    force_n: 3_450.0,
};

/// The first visit: as new.
pub const FIRST: PerCorner<CornerState> = PerCorner {
    front_left: NEW,
    front_right: NEW,
    rear_left: CornerState { force_n: 2_610.0, ..NEW },
    rear_right: CornerState { force_n: 2_640.0, ..NEW },
};

const USED: CornerState = CornerState {
    outer_wear: 0.3,
    inner_wear: 0.32,
    bulk_wear: 0.16,
    outer_lining_mm: 8.4,
    inner_lining_mm: 8.2,
    inner_taper_mm: 0.2,
    ..NEW
};

/// The second visit: some ordinary wear.
pub const SECOND: PerCorner<CornerState> = PerCorner {
    front_left: USED,
    front_right: USED,
    rear_left: CornerState { inner_wear: 0.38, bulk_wear: 0.2, inner_lining_mm: 7.4, force_n: 2_540.0, ..USED },
    rear_right: CornerState { force_n: 2_600.0, ..USED },
};

/// The third visit: the rear discs have seen heat, the left rear calliper drags, the front right outer face shows a
/// first chemical stain.
pub const THIRD: PerCorner<CornerState> = PerCorner {
    front_left: CornerState {
        outer_wear: 0.48,
        inner_wear: 0.5,
        bulk_wear: 0.34,
        outer_lining_mm: 6.3,
        inner_lining_mm: 6.0,
        inner_taper_mm: 0.3,
        inner_seen: HowSeen::Mirror,
        ..NEW
    },
    front_right: CornerState {
        outer_wear: 0.56,
        inner_wear: 0.5,
        bulk_wear: 0.36,
        chemical: 0.3,
        bell: BellFinish::Stained,
        outer_lining_mm: 6.2,
        inner_lining_mm: 6.1,
        inner_taper_mm: 0.2,
        force_n: 3_400.0,
        ..NEW
    },
    rear_left: CornerState {
        outer_wear: 0.62,
        inner_wear: 0.97,
        bulk_wear: 0.93,
        heat: 0.85,
        bell: BellFinish::Discoloured,
        outer_lining_mm: 5.2,
        inner_lining_mm: 2.1,
        inner_taper_mm: 1.4,
        calliper: CalliperState::Drags,
        force_n: 1_780.0,
        ..NEW
    },
    rear_right: CornerState {
        outer_wear: 0.55,
        inner_wear: 0.58,
        bulk_wear: 0.47,
        heat: 0.5,
        bell: BellFinish::Discoloured,
        outer_lining_mm: 5.4,
        inner_lining_mm: 5.1,
        inner_taper_mm: 0.4,
        force_n: 2_580.0,
        ..NEW
    },
};
