//! The three visits as inspections.

use model::{Inspection, ParseError, PerCorner, Timestamp};
use serde_json::{Value, json};

use super::{
    DrawnPhotograph, car, draw_photographs, findings, list_shots, people,
    readings::readings,
    road,
    state::{CornerState, FIRST, SECOND, THIRD},
};
use crate::photograph::CameraFileError;

/// One visit of the scenario.
#[derive(Debug, Clone, Copy)]
pub struct Visit {
    /// The folder that it is written to; its number first.
    pub folder: &'static str,
    /// The day.
    pub day: &'static str,
    /// The odometer, in kilometres.
    pub odometer_km: u32,
    /// The truth.
    pub state: &'static PerCorner<CornerState>,
    /// Whether this is the last visit, for the buyer.
    pub is_last: bool,
}

/// A visit that could not be written down.
#[derive(Debug, thiserror::Error)]
pub enum VisitError {
    /// A photograph.
    #[error("a photograph of the demonstration could not be drawn")]
    Photograph(#[from] CameraFileError),
    /// The date and time.
    #[error("the visit's time is not a time")]
    Time(#[from] chrono::ParseError),
    /// The inspection does not pass its own door.
    #[error("the demonstration's inspection is refused: {0}")]
    Inspection(#[from] ParseError),
}

/// The three visits, the oldest first.
pub const fn visits() -> [Visit; 3] {
    [
        Visit { folder: "1-as-new", day: "2024-11-19", odometer_km: 19_460, state: &FIRST, is_last: false },
        Visit { folder: "2-some-wear", day: "2025-11-18", odometer_km: 30_210, state: &SECOND, is_last: false },
        Visit { folder: "3-before-the-sale", day: "2026-11-24", odometer_km: 41_380, state: &THIRD, is_last: true },
    ]
}

impl Visit {
    /// When the visit began.
    ///
    /// # Errors
    /// A day that is none.
    pub fn began_at(&self) -> Result<Timestamp, VisitError> {
        Ok(format!("{}T09:10:00+01:00", self.day).parse()?)
    }

    /// The inspection with these photographs, through the door that every inspection goes through.
    ///
    /// # Errors
    /// An inspection that contradicts itself.
    pub fn inspection(&self, photographs: &[DrawnPhotograph]) -> Result<Inspection, VisitError> {
        let document = document(self, self.began_at()?, photographs);
        Ok(model::parse_inspection(document.to_string().as_bytes())?)
    }
}

/// The visit's inspection and its photographs, drawn at this size.
///
/// # Errors
/// A photograph that cannot be drawn at this size, or an inspection that contradicts itself.
pub fn inspect(visit: &Visit, size: (u32, u32)) -> Result<(Inspection, Vec<DrawnPhotograph>), VisitError> {
    let photographs = draw_photographs(list_shots(visit, visit.began_at()?, size))?;
    Ok((visit.inspection(&photographs)?, photographs))
}

fn document(visit: &Visit, began_at: Timestamp, photographs: &[DrawnPhotograph]) -> Value {
    let earlier: Vec<_> = visits()
        .iter()
        .filter(|other| other.day < visit.day)
        .map(|other| json!({ "on": other.day, "odometer": { "figure": other.odometer_km, "unit": "km" }, "record": null }))
        .collect();
    let corners: serde_json::Map<_, _> = visit
        .state
        .iter()
        .map(|(name, state)| (name.words().replace(' ', "_"), findings::corner(name, state)))
        .collect();
    json!({
        "schema": "rimside.inspection/1",
        "id": format!("tessel-{}", visit.day),
        "demonstration": true,
        "visited_at": began_at,
        "place": if visit.is_last { "Saltmarsh Motor House, Port Merrow, bay 2" } else { "Harbour & Vale, Port Merrow" },
        "instruction": if visit.is_last { people::buyers_instruction() } else { people::owners_instruction(visit.day) },
        "inspector": people::inspector(),
        "surroundings": {
            "weather": if visit.is_last { "damp" } else { "dry" },
            "road_surface": if visit.is_last { "wet_hard" } else { "dry_hard" },
            "air_c": 9.0,
            "disc_c": { "front_left": 14.0, "front_right": 14.0, "rear_left": 15.0, "rear_right": 14.0 },
            "tyres": "summer tyres, 5 mm or more, pressures as on the car's plate"
        },
        "car": car::car(visit.odometer_km, &earlier),
        "corners": corners,
        "readings": readings(visit.day, visit.state),
        "road_test": if visit.is_last { road::last() } else { road::good() },
        "photographs": photographs.iter().map(DrawnPhotograph::entry).collect::<Vec<_>>(),
        "recordings": [],
        "not_inspected": not_inspected(visit),
        "questions": if visit.is_last { people::questions() } else { json!([]) },
        "remarks": visit.is_last.then_some(people::REMARKS),
        "prices": visit.is_last.then(car::prices)
    })
}

fn not_inspected(visit: &Visit) -> Value {
    if !visit.is_last {
        return json!([]);
    }
    json!([
        { "what": "front left disc off the car: mass, thickness, electrical reading, runout", "why": "locking wheel bolt, key not with the car" },
        { "what": "full-effort stop", "why": "road wet and rear left brake dragging" },
        { "what": "stored fault codes", "why": "not instructed" }
    ])
}
