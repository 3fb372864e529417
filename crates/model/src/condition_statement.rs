//! A dealer's condition statement: the answer to somebody who asked in writing, to be sealed and attached to a sale.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Day, Timestamp,
    canonical::{CanonicalError, canonical_json},
    car::Odometer,
    choice::names,
    id::{Salt, Sha256},
    record::{Device, RendererVersion},
    text::{Line, Note},
    vin::Vin,
};

/// The version of a condition statement's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ConditionStatementSchema {
    /// The first.
    #[serde(rename = "rimside.condition-statement/1")]
    V1,
}

names!(
    /// What an answer rests on.
    AnswerBasis {
        /// What the dealer's own workshop found.
        OwnFindings = "own workshop findings",
        /// What the attached report says.
        Report = "the attached report",
        /// Nothing: it is not known.
        NotKnown = "not known",
    }
);
names!(
    /// How the attached report was found when the statement was made.
    ReportFound {
        /// Unaltered, whose, and standing.
        Genuine = "genuine",
        /// Unaltered and whose; whether it still stands was not checked.
        StandingNotChecked = "genuine, standing not checked",
        /// Taken back by its firm.
        Withdrawn = "withdrawn by its firm",
        /// Replaced by another report.
        Superseded = "superseded by another report",
        /// Not to be confirmed in full.
        NotConfirmed = "not fully confirmed",
        /// Not to be relied on.
        Refused = "not to be relied on",
    }
);

/// What is written before it is frozen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatementContent {
    /// Whether it is invented, to show the program.
    pub demonstration: bool,
    /// The firm that states it, as its certificate names it.
    pub firm: Line,
    /// How to reach it.
    pub contact: Line,
    /// Who asked.
    pub asked_by: Line,
    /// On which day.
    pub asked_on: Day,
    /// The car.
    pub car: StatedCar,
    /// The questions with their answers.
    #[schemars(length(min = 1, max = 50))]
    pub answers: Vec<StatedAnswer>,
    /// What the dealer's own workshop found.
    #[schemars(length(max = 100))]
    pub findings: Vec<WorkshopFinding>,
    /// What will be done before the car is handed over.
    #[schemars(length(max = 50))]
    pub before_handover: Vec<Undertaking>,
    /// What limits the statement, in the dealer's own words.
    pub limits: Option<Note>,
}

/// The car that is spoken of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedCar {
    /// Make and model.
    pub description: Line,
    /// Vehicle identification number.
    pub vin: Vin,
    /// Registration.
    pub registration: Line,
    /// Odometer on the day of the statement.
    pub odometer: Odometer,
}

/// A question and its answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedAnswer {
    /// The question, as it was asked.
    pub question: Note,
    /// The answer.
    pub answer: Note,
    /// What it rests on.
    pub basis: AnswerBasis,
}

/// Something that the dealer's own workshop found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorkshopFinding {
    /// What was looked at or measured, with its place.
    pub what: Line,
    /// What was found: a value with its unit and how sure it is, or words.
    pub found: Line,
    /// With what, or how.
    pub how: Line,
    /// By whom.
    pub by: Line,
    /// On which day.
    pub on: Day,
}

/// Something that will be done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Undertaking {
    /// What.
    pub what: Line,
    /// By which day.
    pub by_day: Day,
}

/// The inspector's report that a statement rests on, and how it was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RestsOn {
    /// The report's identity.
    pub identity: Sha256,
    /// Digest of its record.
    pub record: Sha256,
    /// Who signed it.
    pub signed_by: Line,
    /// How it was found.
    pub found: ReportFound,
    /// When it was checked.
    pub checked_at: Timestamp,
}

/// A condition statement, frozen. Its canonical JSON (RFC 8785) is what is hashed and attached.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConditionStatement {
    /// The version of the form.
    pub schema: ConditionStatementSchema,
    /// The version of the pages.
    pub renderer: RendererVersion,
    /// 128 random bits.
    pub salt: Salt,
    /// The device and the row of its records.
    pub device: Device,
    /// When it was frozen, by the device's clock.
    pub frozen_at: Timestamp,
    /// Who signs.
    pub author: Line,
    /// What is stated.
    pub content: StatementContent,
    /// The report that it rests on; absent where it rests on the dealer's own findings alone.
    pub rests_on: Option<RestsOn>,
}

impl ConditionStatement {
    /// The beginning of the schema's name, whatever its version.
    pub const SCHEMA: &'static str = "rimside.condition-statement/";

    /// The statement's canonical JSON (RFC 8785).
    ///
    /// # Errors
    /// None that a statement of ours can meet: it holds no figure that is not finite.
    pub fn canonical_bytes(&self) -> Result<Vec<u8>, CanonicalError> {
        canonical_json(self)
    }
}
