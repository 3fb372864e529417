//! What the recordings of a drive show. The types only; the crate `road-test` fills them.
//!
//! The figures stand in the inspection beside what was felt and heard: the recordings themselves are too large for a
//! report, whose record lists their digests.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{choice::names, id::Label, reckoning::Estimate, text::Line};

names!(
    /// What a braking was.
    BrakingKind {
        /// A touch of the pedal at walking pace.
        LowSpeedDab = "low-speed dab",
        /// A braking from road speed.
        Stop = "braking",
    }
);
names!(
    /// Whose tyres turn at the pace of the pulsation.
    AxleFit {
        /// The front axle's.
        Front = "the front axle's tyres",
        /// The rear axle's.
        Rear = "the rear axle's tyres",
        /// Both sizes fit, or neither is known.
        CannotTell = "tyres of either axle",
    }
);
names!(
    /// What is wrong with a recording of sound.
    SoundFlaw {
        /// The microphone was overloaded while braking.
        Overloaded = "the microphone was overloaded while braking: lay the phone farther from the wheel",
        /// Wind blew into the microphone.
        Windy = "wind blew into the microphone: close the windows and the vents",
        /// The phone turned its own gain down when it became loud.
        GainControlled = "the phone turned its gain down when it became loud: switch its sound processing off",
        /// The sound's clock could not be aligned.
        NotAligned = "the sound could not be aligned with the motion; both are taken to begin together",
    }
);

/// The recordings of one drive, measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredDrive {
    /// The recordings that it was measured from.
    #[schemars(length(max = 10))]
    pub recordings: Vec<Label>,
    /// Length of the log of motion in s.
    pub length_s: f64,
    /// Whether the car's axis is known from its position; else from the strongest motion.
    pub axis_from_position: bool,
    /// Standard uncertainty of the axis in degrees.
    pub axis_uncertainty_deg: f64,
    /// Shift of the position's clock in s, where there is one.
    pub position_shift_s: Option<Estimate>,
    /// Each braking, in the order of time.
    #[schemars(length(max = 200))]
    pub brakings: Vec<Braking>,
    /// What came with the wheel's turns.
    pub pulsation: Option<Pulsation>,
    /// How braking sounds beside rolling.
    pub sound: Option<BrakeSound>,
    /// What limits the figures.
    #[schemars(length(max = 50))]
    pub limits: Vec<Line>,
    /// The drive over time, to be drawn.
    pub trace: DriveTrace,
}

/// One braking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Braking {
    /// What it was.
    pub kind: BrakingKind,
    /// When it began, in s by the clock of the log of motion.
    pub from_s: f64,
    /// When it ended.
    pub to_s: f64,
    /// Speed at the beginning in m/s.
    pub entry_m_per_s: Estimate,
    /// Speed at the end in m/s.
    pub exit_m_per_s: Estimate,
    /// Way in m.
    pub distance_m: Estimate,
    /// Mean fully developed deceleration (UN Regulation No. 13, Annex 4, 1.1.2), or why there is none.
    pub fully_developed: FullyDeveloped,
    /// Greatest deceleration over a tenth of a second, in m/s².
    pub peak_m_per_s2: Estimate,
    /// From the beginning to 90 % of the peak, in s.
    pub rise_s: Estimate,
    /// Greatest growth of the deceleration, in m/s³: the bite.
    pub jerk_m_per_s3: Estimate,
    /// What it showed of the anti-lock; none where it is too short or too slow to tell.
    pub anti_lock: Option<AntiLockSeen>,
}

/// A mean fully developed deceleration, or why the stop gives none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FullyDeveloped {
    /// In m/s².
    Mean(Estimate),
    /// The stop is none that the regulation would take it from.
    NotEvaluable(NotEvaluable),
}

/// Why a stop gives no mean fully developed deceleration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "reason", deny_unknown_fields)]
pub enum NotEvaluable {
    /// The brake was let go before a tenth of the first speed was reached.
    LetGo {
        /// The speed at which it was, in m/s.
        at_m_per_s: f64,
    },
    /// The brake was eased in between.
    Eased,
    /// Rows are missing during the stop.
    Gap,
    /// The stop began below 98 % of the speed that was prescribed.
    TooSlow {
        /// What was prescribed, in m/s.
        prescribed_m_per_s: f64,
    },
    /// The first speed is too small for the figure to mean anything.
    WalkingPace,
    /// The speed is known too badly.
    SpeedUnknown {
        /// Its standard uncertainty in m/s.
        uncertainty_m_per_s: f64,
    },
}

/// What a braking showed of the anti-lock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AntiLockSeen {
    /// Whether the deceleration was modulated as by an anti-lock.
    pub worked: bool,
    /// Root mean square of the modulation in m/s².
    pub modulation_m_per_s2: f64,
    /// What is asked of it, in m/s².
    pub threshold_m_per_s2: f64,
    /// Where it worked, the adhesion that tyre and road gave: mean deceleration by gravity. Then the tyre was the limit;
    /// else the brake, or the foot.
    pub adhesion: Option<Estimate>,
}

/// What comes with the wheel's turns.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pulsation {
    /// Orders 1 to 4, as far as the recording is fast enough to show them.
    #[schemars(length(max = 4))]
    pub orders: Vec<Order>,
    /// Rolling circumference that fits best, in m.
    pub circumference_m: f64,
    /// Which axle's tyres that is.
    pub axle: AxleFit,
    /// Turns of the wheel that were looked at.
    pub turns: f64,
    /// The spectrum over orders while braking: order, amplitude in m/s².
    #[schemars(length(max = 1000))]
    pub spectrum: Vec<(f64, f64)>,
}

/// The amplitude of one order: so many times a turn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Order {
    /// How often a turn, 1 to 4.
    #[schemars(range(min = 1, max = 4))]
    pub order: u8,
    /// Amplitude while braking in m/s², the noise taken out.
    pub braking_m_per_s2: f64,
    /// Standard uncertainty of it.
    pub uncertainty_m_per_s2: f64,
    /// Where in the turn it is strongest, in degrees from the beginning of the longest braking.
    pub phase_deg: f64,
    /// Amplitude while rolling at the same speeds in m/s².
    pub coasting_m_per_s2: f64,
    /// Noise floor in m/s²: the least amplitude that this drive tells to a tenth, ten standard deviations of what noise
    /// does to it. Smaller ones can stand out of noise too: `chance_of_noise` says so.
    pub floor_m_per_s2: f64,
    /// Chance that noise alone reaches this amplitude somewhere that was looked at.
    pub chance_of_noise: f64,
}

/// One sound: braking, or rolling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Character {
    /// Level of the friction band in dB relative to full scale.
    pub level_db: f64,
    /// Spectral centroid of the friction band in Hz.
    pub centroid_hz: f64,
    /// Spectral flatness of it.
    pub flatness: f64,
    /// Kurtosis of its signal (Pearson): 3 for noise, more where it grates.
    pub kurtosis: f64,
    /// How much its loudness flickers between 15 and 90 Hz: root mean square by the mean.
    pub roughness: f64,
}

/// The sound of braking and of rolling at the same speeds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BrakeSound {
    /// While braking.
    pub braking: Character,
    /// While rolling.
    pub rolling: Character,
    /// Grain: by how many dB the friction band rises above rolling at the same speed.
    pub grain_db: Estimate,
    /// Seconds of braking that were compared.
    pub braking_s: f64,
    /// Seconds of rolling that they were compared with.
    pub rolling_s: f64,
    /// Add this to a time of the sound to have the time of the log of motion, in s.
    pub shift_s: f64,
    /// What is wrong with the recording.
    #[schemars(length(max = 4))]
    pub flaws: Vec<SoundFlaw>,
}

/// A drive over time, thinned to what a page can show. All lists have the same length but those of the sound, which are
/// empty where none was recorded.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DriveTrace {
    /// When it begins, in s by the clock of the log of motion.
    pub from_s: f64,
    /// From one value to the next, in s.
    pub step_s: f64,
    /// Speed in km/h.
    #[schemars(length(max = 600))]
    pub speed_km_h: Vec<f64>,
    /// The least deceleration of each step in m/s², so that no peak is lost.
    #[schemars(length(max = 600))]
    pub least_m_per_s2: Vec<f64>,
    /// The greatest.
    #[schemars(length(max = 600))]
    pub greatest_m_per_s2: Vec<f64>,
    /// Level of the friction band in dB under full scale; none where the sound had not begun or was over.
    #[schemars(length(max = 600))]
    pub sound_db: Vec<Option<f64>>,
}

impl FullyDeveloped {
    /// The figure, where there is one.
    pub const fn mean(&self) -> Option<Estimate> {
        match self {
            Self::Mean(mean) => Some(*mean),
            Self::NotEvaluable(_) => None,
        }
    }
}

impl NotEvaluable {
    /// The reason in words.
    pub fn words(&self) -> String {
        match self {
            Self::LetGo { at_m_per_s } => {
                format!("the brake was let go at {:.0} km/h, above a tenth of the first speed", at_m_per_s * 3.6)
            }
            Self::Eased => "the brake was eased during the stop".to_owned(),
            Self::Gap => "the recording has a gap during the stop".to_owned(),
            Self::TooSlow { prescribed_m_per_s } => {
                format!("the stop began below 98 % of the prescribed {:.0} km/h", prescribed_m_per_s * 3.6)
            }
            Self::WalkingPace => "the stop began at walking pace".to_owned(),
            Self::SpeedUnknown { uncertainty_m_per_s } => {
                format!("the speed is known to {:.1} km/h only", uncertainty_m_per_s * 3.6)
            }
        }
    }
}

impl Order {
    /// Noise alone reaches what shows in one drive of a hundred.
    const CHANCE: f64 = 0.01;

    /// Whether it stands out of what noise alone reaches.
    pub fn is_told(&self) -> bool {
        self.chance_of_noise < Self::CHANCE
    }

    /// How often a turn, in words.
    pub const fn words(&self) -> &'static str {
        match self.order {
            1 => "once",
            2 => "twice",
            3 => "three times",
            _ => "four times",
        }
    }
}
