//! Road tests.

use model::{AntiLock, Felt, Heard, StepKind};
use serde_json::{Value, json};

/// A road test.
#[derive(Debug, Clone, Copy)]
pub(super) struct RoadTest {
    pub driver: &'static str,
    pub distance_km: f64,
    pub note: Option<&'static str>,
    pub steps: &'static [Step],
}

/// One step of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub kind: StepKind,
    pub from_km_h: f64,
    pub felt: &'static [Felt],
    pub heard: &'static [Heard],
    pub anti_lock: Option<AntiLock>,
    pub note: Option<&'static str>,
}

/// The steps of a car in good order.
pub(super) const GOOD: &[Step] = &[
    Step {
        kind: StepKind::LowSpeedDab,
        from_km_h: 8.0,
        felt: &[Felt::SharpBite],
        heard: &[Heard::NearlySilent],
        anti_lock: None,
        note: None,
    },
    Step {
        kind: StepKind::HalfEffort,
        from_km_h: 100.0,
        felt: &[Felt::NothingUnusual],
        heard: &[Heard::NearlySilent],
        anti_lock: Some(AntiLock::NotReached),
        note: None,
    },
    Step {
        kind: StepKind::FullEffort,
        from_km_h: 80.0,
        felt: &[Felt::NothingUnusual],
        heard: &[Heard::NearlySilent],
        anti_lock: Some(AntiLock::Worked),
        note: None,
    },
];

impl RoadTest {
    /// As it was seen, for an inspection's `road_test`.
    pub fn entry(&self) -> Value {
        let steps: Vec<_> = self
            .steps
            .iter()
            .map(|step| {
                json!({
                    "kind": step.kind, "from_km_h": step.from_km_h, "felt": step.felt, "heard": step.heard,
                    "anti_lock": step.anti_lock, "recordings": [], "note": step.note
                })
            })
            .collect();
        json!({
            "driver": self.driver, "distance_km": self.distance_km, "steps": steps, "note": self.note
        })
    }
}
