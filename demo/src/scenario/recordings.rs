//! What a phone and a receiver would have recorded of each visit's road test. Generated from how the brakes really are, and
//! marked as such; no recordings of real brakes are to be had.

use model::{AntiLock, CornerName, StepKind};

use super::{Visit, road::Step, state::CornerState};
use crate::drive::{self, Generated, Hearing, Plan, Stop};

/// The recordings of a road test, as files.
pub struct RoadRecordings {
    /// The log of motion, a table.
    pub motion: String,
    /// The log of position, NMEA 0183.
    pub position: String,
    /// The sound, WAV.
    pub sound: Vec<u8>,
    /// What is true of each stop.
    pub drive: Generated,
}

const SOUND_HZ: u32 = 48_000;
/// Rolling circumference of the rear tyres in m: the pulsing disc is a rear one.
const REAR_M: f64 = 2.103;

/// Records a visit's road test.
pub fn record(visit: &Visit) -> RoadRecordings {
    let steps = visit.road_test.steps;
    let worst = |of: fn(&CornerState) -> f64| {
        CornerName::ALL.iter().map(|name| of(visit.corners.at(*name))).fold(0.0, f64::max)
    };
    let wear = worst(|corner| corner.outer_wear.max(corner.inner_wear));
    let heat = worst(|corner| corner.heat);
    // Heat makes discs thick and thin by turns.
    let pulsation = [0.7 * heat, 0.25 * heat];
    let stops: Vec<Stop> = steps.iter().filter_map(|step| stop(step, wear, pulsation)).collect();
    let plan = Plan {
        seed: u64::from(visit.odometer_km),
        stops,
        circumference: REAR_M,
        rolling_s: 5.0,
        receiver: drive::Receiver { rate_hz: 5.0, noise: 0.05, ..Plan::default().receiver },
        ..Plan::default()
    };
    let driven = drive::drive(&plan);
    let hearing = Hearing {
        rate_hz: SOUND_HZ,
        worn: wear,
        wind_db: -20.0,
        gain: 1.5,
        early_s: 0.6,
        seed: plan.seed,
        circumference: REAR_M,
    };
    let samples = drive::hear(&driven, &hearing);
    RoadRecordings {
        motion: format!("# generated for demonstration\n{}", drive::motion_csv(&driven)),
        position: drive::nmea(&driven),
        sound: drive::wav(SOUND_HZ, &[&samples]),
        drive: driven,
    }
}

/// How a step was driven; none where nothing was braked.
fn stop(step: &Step, wear: f64, pulsation: [f64; 2]) -> Option<Stop> {
    let from = step.from_km_h / 3.6;
    let soft = 1.0 - 0.4 * wear;
    let planned = match step.kind {
        // Worn discs bite late and little.
        StepKind::LowSpeedDab => Stop { rise_s: 0.12 + 0.5 * wear, ..Stop::from(from, 4.5 * soft) },
        StepKind::HalfEffort => Stop::from(from, 4.2 * soft),
        StepKind::FullEffort => Stop::from(from, 9.4 * soft),
        _ => return None,
    };
    let anti_lock = (step.anti_lock == Some(AntiLock::Worked)).then_some((6.0, 2.2));
    Some(Stop { anti_lock, pulsation, ..planned })
}
