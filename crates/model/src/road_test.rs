//! The road test: what was done, felt, heard and recorded.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    choice::names,
    drive::MeasuredDrive,
    id::Label,
    quantity::{Kilometre, KilometrePerHour},
    text::{Line, Note},
};

names!(
    /// What was done.
    StepKind {
        /// A touch of the pedal at walking pace.
        LowSpeedDab = "low-speed dab",
        /// A stop at half effort from road speed.
        HalfEffort = "half effort",
        /// A stop at full effort.
        FullEffort = "full effort",
        /// Rolling without the brake, to compare.
        Coasting = "coasting",
        /// The parking brake.
        ParkingBrake = "parking brake",
        /// Something else; the note says what.
        Other = "other",
    }
);
names!(
    /// What was felt.
    Felt {
        /// Sharp bite, the belt reel locks.
        SharpBite = "sharp bite",
        /// Weak bite.
        WeakBite = "weak bite",
        /// No bite at all.
        NoBite = "no bite",
        /// The pedal pulses.
        PulsingPedal = "pulsing pedal",
        /// The steering wheel shakes.
        ShakingWheel = "shaking wheel",
        /// The car pulls to the left.
        PullsLeft = "pulls to the left",
        /// The car pulls to the right.
        PullsRight = "pulls to the right",
        /// The pedal goes down far.
        LongPedal = "long pedal",
        /// The brake does not let go.
        Drag = "drag",
        /// Nothing unusual.
        NothingUnusual = "nothing unusual felt",
    }
);
names!(
    /// What was heard.
    Heard {
        /// Nearly silent.
        NearlySilent = "nearly silent",
        /// A coarse noise.
        CoarseNoise = "coarse noise",
        /// Squeal.
        Squeal = "squeal",
        /// Metal on metal.
        Grinding = "grinding",
        /// Clicks or knocks.
        Knock = "knock",
    }
);
names!(
    /// Whether the anti-lock worked.
    AntiLock {
        /// It worked.
        Worked = "anti-lock worked",
        /// It was not reached.
        NotReached = "anti-lock not reached",
        /// It could not be told.
        NotTold = "anti-lock could not be told",
    }
);

/// The road test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoadTest {
    /// Who drove.
    pub driver: Line,
    /// How far.
    pub distance_km: Option<Kilometre>,
    /// The steps in their order.
    #[schemars(length(max = 100))]
    pub steps: Vec<RoadTestStep>,
    /// What recordings of it show; left out where there are none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 20))]
    pub drives: Vec<MeasuredDrive>,
    /// What else there is to say.
    pub note: Option<Note>,
}

/// One step of the road test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoadTestStep {
    /// What was done.
    pub kind: StepKind,
    /// From which speed.
    pub from_km_h: Option<KilometrePerHour>,
    /// What was felt.
    #[schemars(length(max = 20))]
    pub felt: Vec<Felt>,
    /// What was heard.
    #[schemars(length(max = 20))]
    pub heard: Vec<Heard>,
    /// Whether the anti-lock worked.
    pub anti_lock: Option<AntiLock>,
    /// Recordings of it.
    #[schemars(length(max = 50))]
    pub recordings: Vec<Label>,
    /// What else there is to say.
    pub note: Option<Note>,
}
