//! A visit as data, and as the inspection that comes of it.

mod first;
mod second;
mod third;

use model::{CornerName, FaceName, Inspection, ParseError, PerCorner, RoadSurface, Timestamp, Weather};
use serde_json::{Map, Value, json};

use super::{
    album::{DrawnPhotograph, draw_photographs, list_shots},
    car, findings,
    people::{Instruction, inspector},
    prices::{Prices, UseAhead},
    readings::readings,
    road::RoadTest,
    state::CornerState,
};
use crate::photograph::CameraFileError;

/// One visit of the scenario.
#[derive(Debug, Clone)]
pub struct Visit {
    /// The folder that it is written to; its number first.
    pub folder: &'static str,
    /// The day.
    pub day: &'static str,
    /// The hour and minute at which it begins.
    pub begins: &'static str,
    /// The odometer, in kilometres.
    pub odometer_km: u32,
    /// How each corner really is.
    pub corners: PerCorner<CornerState>,
    /// Boiling point of the fluid, in degrees Celsius.
    pub fluid_c: f64,
    pub(super) place: &'static str,
    pub(super) instruction: Instruction,
    pub(super) weather: Weather,
    pub(super) road_surface: RoadSurface,
    pub(super) air_c: f64,
    pub(super) disc_c: [f64; 4],
    pub(super) tyres: &'static str,
    pub(super) road_test: RoadTest,
    pub(super) album: Album,
    /// When somebody else took the photograph of the plate and sent it; else it was taken in the app.
    pub(super) registration_sent_on: Option<&'static str>,
    /// What, and why not.
    pub(super) not_inspected: &'static [(&'static str, &'static str)],
    /// Who asked what, and the answer.
    pub(super) questions: &'static [(&'static str, &'static str, Option<&'static str>)],
    pub(super) remarks: Option<&'static str>,
    pub(super) prices: Option<Prices>,
    pub(super) use_ahead: Option<UseAhead>,
}

/// What is photographed besides the papers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Album {
    /// Both faces of each disc.
    Faces,
    /// The faces and the inner pads.
    FacesAndInnerPads,
    /// All that could be seen, and the worst of it twice.
    Everything,
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
    [first::VISIT, second::VISIT, third::VISIT]
}

impl Visit {
    /// When the visit began.
    ///
    /// # Errors
    /// A day or hour that is none.
    pub fn began_at(&self) -> Result<Timestamp, VisitError> {
        Ok(format!("{}T{}:00+01:00", self.day, self.begins).parse()?)
    }

    /// The inspection with these photographs, through the door that every inspection goes through.
    ///
    /// # Errors
    /// An inspection that contradicts itself.
    pub fn inspection(&self, photographs: &[DrawnPhotograph]) -> Result<Inspection, VisitError> {
        let document = self.document(self.began_at()?, photographs)?;
        Ok(model::parse_inspection(document.to_string().as_bytes())?)
    }

    fn document(&self, began_at: Timestamp, photographs: &[DrawnPhotograph]) -> Result<Value, VisitError> {
        let corners: Map<_, _> = self
            .corners
            .iter()
            .map(|(name, state)| (in_json(name), json!({ "seen": findings::corner(name, state) })))
            .collect();
        let disc_c: Map<_, _> =
            CornerName::ALL.iter().zip(self.disc_c).map(|(&name, celsius)| (in_json(name), celsius.into())).collect();
        let not_inspected: Vec<_> =
            self.not_inspected.iter().map(|(what, why)| json!({ "what": what, "why": why })).collect();
        let questions: Vec<_> = self
            .questions
            .iter()
            .map(|(by, question, answer)| json!({ "asked_by": by, "question": question, "answer": answer }))
            .collect();
        Ok(json!({
            "schema": "rimside.inspection/1",
            "id": format!("tessel-{}", self.day),
            "demonstration": true,
            "visited_at": began_at,
            "place": self.place,
            "instruction": self.instruction.entry(),
            "inspector": inspector(),
            "surroundings": {
                "weather": self.weather, "road_surface": self.road_surface, "air_c": self.air_c, "disc_c": disc_c,
                "tyres": self.tyres
            },
            "car": car::car(self.odometer_km, &self.earlier()?),
            "corners": corners,
            "readings": readings(self, began_at),
            "road_test": { "seen": self.road_test.entry() },
            "photographs": photographs.iter().map(DrawnPhotograph::entry).collect::<Vec<_>>(),
            "recordings": [],
            "not_inspected": not_inspected,
            "questions": questions,
            "remarks": self.remarks,
            "prices": self.prices.as_ref().map(Prices::basis),
            "use_ahead": self.use_ahead.as_ref().map(UseAhead::entry)
        }))
    }

    /// The visits before this one, with what was measured and seen of what wears.
    fn earlier(&self) -> Result<Vec<Value>, VisitError> {
        visits().iter().filter(|other| other.day < self.day).map(Self::as_earlier).collect()
    }

    fn as_earlier(&self) -> Result<Value, VisitError> {
        let mut measured = readings(self, self.began_at()?);
        let wears = ["disc_mass", "disc_thickness", "electrical", "lining"];
        measured.retain(|reading| wears.iter().any(|kind| reading["of"]["kind"] == *kind));
        let faces: Vec<_> = self
            .corners
            .iter()
            .flat_map(|(corner, state)| {
                let found = findings::corner(corner, state);
                FaceName::ALL.iter().filter_map(move |&face| as_earlier_face(corner, face, &found))
            })
            .collect();
        Ok(json!({
            "on": self.day, "odometer": { "figure": self.odometer_km, "unit": "km" }, "record": null,
            "readings": measured, "faces": faces
        }))
    }
}

/// A face as an earlier visit keeps it, out of a corner's findings; none of a face that was not seen.
fn as_earlier_face(corner: CornerName, face: FaceName, found: &Value) -> Option<Value> {
    let seen = found.get(format!("{}_face", face.words()))?.get("seen")?;
    Some(json!({
        "corner": corner, "face": face, "seen": seen["seen"], "touch": seen["touch"],
        "fibre_pattern": seen["fibre_pattern"], "colour": seen["colour"]
    }))
}

fn in_json(corner: CornerName) -> String {
    corner.words().replace(' ', "_")
}

/// The visit's inspection and its photographs, drawn at this size.
///
/// # Errors
/// A photograph that cannot be drawn at this size, or an inspection that contradicts itself.
pub fn inspect(visit: &Visit, size: (u32, u32)) -> Result<(Inspection, Vec<DrawnPhotograph>), VisitError> {
    let photographs = draw_photographs(&list_shots(visit, size)?)?;
    Ok((visit.inspection(&photographs)?, photographs))
}
