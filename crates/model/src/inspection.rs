//! One inspection: everything that was found on one visit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Timestamp,
    car::Car,
    choice::{CornerName, FaceName, Inspected, PerCorner},
    corner::Corner,
    id::{InspectionId, Label},
    instruction::{Inspector, Instruction},
    measured_face::MeasuredFace,
    money::PriceBasis,
    photograph::{Photograph, PhotographSubject, Recording},
    reading::{Measurand, Reading},
    road_test::RoadTest,
    surroundings::Surroundings,
    text::{Line, Note},
    use_ahead::UseAhead,
};

/// The version of an inspection's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum InspectionSchema {
    /// The first.
    #[serde(rename = "rimside.inspection/1")]
    V1,
}

/// One inspection. Parsed only by [`crate::parse_inspection`], which also checks what spans several fields.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(
    description = "One inspection of one car on one visit. What spans several fields is checked beyond this schema."
)]
pub struct Inspection {
    /// The version of the form.
    pub schema: InspectionSchema,
    /// Its name.
    pub id: InspectionId,
    /// Whether it is invented, to show the program; printed on every page when so.
    pub demonstration: bool,
    /// When the visit began.
    pub visited_at: Timestamp,
    /// Where.
    pub place: Line,
    /// On whose behalf, and with whose leave.
    pub instruction: Instruction,
    /// Who inspects.
    pub inspector: Inspector,
    /// The day, the road, the state of the car.
    pub surroundings: Surroundings,
    /// The car.
    pub car: Car,
    /// The four corners.
    pub corners: PerCorner<Inspected<Corner>>,
    /// What was measured.
    #[schemars(length(max = 500))]
    pub readings: Vec<Reading>,
    /// The road test.
    pub road_test: Inspected<RoadTest>,
    /// Photographs.
    #[schemars(length(max = 2000))]
    pub photographs: Vec<Photograph>,
    /// Recordings.
    #[schemars(length(max = 200))]
    pub recordings: Vec<Recording>,
    /// What else was not inspected.
    #[schemars(length(max = 200))]
    pub not_inspected: Vec<Omission>,
    /// Questions that were asked.
    #[schemars(length(max = 200))]
    pub questions: Vec<Question>,
    /// What the inspector adds in own words; kept apart from what is reckoned.
    pub remarks: Option<Note>,
    /// What renewal costs.
    pub prices: Option<PriceBasis>,
    /// What the buyer means to do with the car, where that is known.
    pub use_ahead: Option<UseAhead>,
}

/// Something that was not inspected, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Omission {
    /// What.
    pub what: Line,
    /// Why.
    pub why: Line,
}

/// A question that was asked before or during the visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Who asked.
    pub asked_by: Line,
    /// What.
    pub question: Note,
    /// What was answered, and by whom.
    pub answer: Option<Note>,
}

impl Inspection {
    /// The readings of this very thing, in the order in which they were taken down.
    pub fn readings_of(&self, of: Measurand) -> impl Iterator<Item = &Reading> {
        self.readings.iter().filter(move |reading| reading.of == of)
    }

    /// The photograph of this name.
    pub fn find_photograph(&self, id: &Label) -> Option<&Photograph> {
        self.photographs.iter().find(|photograph| &photograph.id == id)
    }

    /// The photograph of this face in which it was measured and that may be rested on: the sharpest where several may.
    pub fn find_measured_face(&self, corner: CornerName, face: FaceName) -> Option<(&Label, &MeasuredFace)> {
        let shown = PhotographSubject::Face { corner, face };
        let of_face = self.photographs.iter().filter(|photograph| photograph.subject == shown);
        of_face
            .filter_map(|photograph| Some((&photograph.id, photograph.measured.as_ref()?)))
            .filter(|(_, measured)| measured.seen.quality.passes)
            .max_by(|(_, one), (_, other)| one.seen.quality.sharpness.total_cmp(&other.seen.quality.sharpness))
    }
}
