//! One corner as it was seen: both faces of the disc, the bell, the pads, the calliper.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    choice::{Inspected, names},
    id::Label,
    quantity::Millimetre,
    text::{Line, Note},
};

names!(
    /// How a face was seen.
    HowSeen {
        /// Through the wheel.
        ThroughWheel = "through the wheel",
        /// With a mirror.
        Mirror = "by mirror",
        /// With the wheel off.
        WheelOff = "wheel off",
    }
);
names!(
    /// How a face feels to the finger.
    Touch {
        /// Slick.
        Slick = "slick",
        /// Between slick and abrasive.
        SlightlyRough = "slightly rough",
        /// Abrasive.
        Abrasive = "abrasive",
    }
);
names!(
    /// How the fibre pattern shows.
    FibrePattern {
        /// Faint.
        Faint = "faint",
        /// Clear.
        Clear = "clear",
        /// Crowded.
        Crowded = "crowded",
    }
);
names!(
    /// The colour of a face.
    Colour {
        /// Near-black.
        NearBlack = "near-black",
        /// Dark grey.
        DarkGrey = "dark grey",
        /// Greyed.
        Greyed = "greyed",
    }
);
names!(
    /// What is wrong at one place of a face.
    DefectKind {
        /// A crack.
        Crack = "crack",
        /// A chip out of the edge or of a hole.
        Chip = "chip",
        /// A stain or bleached area, as a cleaner leaves it.
        Stain = "stain",
        /// Discoloured by heat.
        HeatTint = "heat tint",
        /// A fine net of cracks in the surface.
        Craze = "craze",
        /// Material flaked off.
        Spalling = "spalling",
        /// A groove.
        Groove = "groove",
        /// A deposit of pad material.
        Deposit = "deposit",
        /// The mark of a pad that stood on the disc.
        PadPrint = "pad print",
    }
);
names!(
    /// How far a crack goes.
    CrackExtent {
        /// In the surface.
        Surface = "in the surface",
        /// From a hole.
        FromHole = "from a hole",
        /// From a hole to the edge.
        HoleToEdge = "from a hole to the edge",
        /// Through the ring.
        Through = "through the ring",
    }
);
names!(
    /// Where between the ring's inner and outer edge.
    RadialZone {
        /// The inner third.
        InnerThird = "inner third",
        /// The middle third.
        MiddleThird = "middle third",
        /// The outer third.
        OuterThird = "outer third",
        /// All of the width.
        FullWidth = "full width",
    }
);
names!(
    /// The finish of the bell.
    BellFinish {
        /// Even.
        Even = "even",
        /// Discoloured.
        Discoloured = "discoloured",
        /// Stained.
        Stained = "stained",
        /// Etched.
        Etched = "etched",
    }
);
names!(
    /// The wear lead of a pad.
    WearLead {
        /// Whole.
        Intact = "intact",
        /// Worn through.
        WornThrough = "worn through",
        /// None is fitted.
        NotFitted = "not fitted",
    }
);
names!(
    /// The state of the calliper.
    CalliperState {
        /// Free.
        Free = "free",
        /// Drags.
        Drags = "drags",
        /// Seized.
        Seized = "seized",
        /// Leaks.
        Leaking = "leaking",
    }
);

/// One corner as it was seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// The face away from the car.
    pub outer_face: Inspected<Face>,
    /// The face towards the car.
    pub inner_face: Inspected<Face>,
    /// The bell.
    pub bell: Inspected<Bell>,
    /// The pad away from the car.
    pub outer_pad: Inspected<Pad>,
    /// The pad towards the car.
    pub inner_pad: Inspected<Pad>,
    /// The calliper.
    pub calliper: Inspected<Calliper>,
}

/// A face of a disc.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Face {
    /// How it was seen.
    pub seen: HowSeen,
    /// How it feels; absent when it could not be touched.
    pub touch: Option<Touch>,
    /// How the fibre pattern shows.
    pub fibre_pattern: Option<FibrePattern>,
    /// Its colour.
    pub colour: Option<Colour>,
    /// What is wrong, place by place.
    #[schemars(length(max = 100))]
    pub defects: Vec<Defect>,
    /// What else there is to say.
    pub note: Option<Note>,
}

/// Something wrong at one place of a face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Defect {
    /// What it is.
    pub kind: DefectKind,
    /// How far it goes; for a crack, and only for one.
    pub extent: Option<CrackExtent>,
    /// Its largest dimension.
    pub size_mm: Option<Millimetre>,
    /// Where it is.
    pub place: DefectPlace,
    /// Photographs that show it.
    #[schemars(length(max = 50))]
    pub photographs: Vec<Label>,
    /// What else there is to say.
    pub note: Option<Line>,
}

/// A place on a face: hour of a clock face laid on the disc as seen, valve at twelve, and zone of the radius.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DefectPlace {
    /// The hour, 1 to 12, valve at 12; absent when it is all round.
    #[schemars(range(min = 1, max = 12))]
    pub hour: Option<u8>,
    /// The zone of the radius.
    pub zone: RadialZone,
}

/// The bell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bell {
    /// Its finish.
    pub finish: BellFinish,
    /// The fixings between bell and ring.
    pub fixings: Fixings,
    /// What else there is to say.
    pub note: Option<Note>,
}

/// The fixings between bell and ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fixings {
    /// How many are missing or loose.
    #[schemars(range(max = 40))]
    pub missing_or_loose: u8,
    /// Whether any is corroded.
    pub corroded: bool,
}

/// One pad. Its lining is a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pad {
    /// The wear lead.
    pub lead: Option<WearLead>,
    /// Difference of the lining between its two ends, where measured.
    pub taper_mm: Option<Millimetre>,
    /// Whether the lining is glazed.
    pub glazed: Option<bool>,
    /// Whether the lining crumbles.
    pub crumbling: Option<bool>,
    /// What else there is to say.
    pub note: Option<Note>,
}

/// The calliper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Calliper {
    /// Its state.
    pub state: CalliperState,
    /// What else there is to say.
    pub note: Option<Note>,
}
