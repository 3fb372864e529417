//! The nouns: car, corner, face, finding, reading, inspection, record; ids, units, validation; the JSON Schema of a record.
//!
//! Everything here is plain data that refuses nonsense when it is parsed. [`parse_inspection`] and
//! [`parse_record`] are the two doors; nothing else in the house turns JSON into these types.

mod amount;
mod canonical;
mod car;
mod check;
mod choice;
mod colour;
mod condition_statement;
mod corner;
mod doubled;
mod drive;
mod entry;
mod figures;
mod id;
mod inspection;
mod instruction;
mod letter;
mod measured_face;
mod money;
mod parse;
mod photograph;
mod plain;
mod quantity;
mod reading;
mod reckoning;
mod record;
mod road_test;
#[cfg(feature = "sample")]
pub mod sample;
mod schema;
mod surroundings;
mod text;
mod unknown;
mod use_ahead;
mod vin;

pub use canonical::{CanonicalError, canonical_json};
pub use car::{
    AxleFitment, Car, Disc, DiscMaterial, DiscReplacement, EarlierFace, ElectricalMark, FluidClass, Odometer,
    OdometerUnit, PadFitment, PriorVisit, TyreSize,
};
pub use choice::{Axle, CornerName, FaceName, Inspected, PadName, PerAxle, PerCorner, PerSide, Side};
pub use colour::{Lab, ciede2000};
pub use condition_statement::{
    AnswerBasis, ConditionStatement, ConditionStatementSchema, ReportFound, RestsOn, StatedAnswer, StatedCar,
    StatementContent, Undertaking, WorkshopFinding,
};
pub use corner::{
    Bell, BellFinish, Calliper, CalliperState, Colour, Corner, CrackExtent, Defect, DefectKind, DefectPlace, Face,
    FibrePattern, Fixings, HowSeen, Pad, RadialZone, Touch, WearLead,
};
pub use drive::{
    AntiLockSeen, AxleFit, BrakeSound, Braking, BrakingKind, Character, DriveTrace, FullyDeveloped, MeasuredDrive,
    NotEvaluable, Order, Pulsation, SoundFlaw,
};
pub use entry::{Carried, Change, Entry, EntryId, chain_entry};
pub use figures::cut_figures;
pub use id::{DeviceId, IdError, InspectionId, Label, Salt, Sha256};
pub use inspection::{Inspection, InspectionSchema, Omission, Question};
pub use instruction::{Inspector, Instruction, Party, PartyRole};
pub use letter::{
    Claim, Correspondent, LetterRequest, LetterSchema, OfferedCar, QuestionAbout, Reply, ReplyAnswer, ReplySchema,
};
pub use measured_face::{
    DiscMark, DiscQuality, FaceSeen, GreyCardMark, MeasuredFace, PartFigures, Pattern, Proposal, ReferenceStage,
    Texture,
};
pub use money::{Currency, Decimal, PriceBasis, PriceItem, PriceLine};
pub use parse::{
    MAX_DOCUMENT_BYTES, ParseError, Problem, parse_canonical_record, parse_canonical_statement, parse_inspection,
    parse_letter_request, parse_record, parse_reply, parse_statement_content,
};
pub use photograph::{Photograph, PhotographSubject, PhotographTaken, Place, Recording, ReportPhotograph};
pub use quantity::{
    Celsius, Fraction, Gram, Kilogram, Kilometre, KilometrePerHour, Millimetre, Percent, QuantityError,
    StandardUncertainty,
};
pub use reading::{Instrument, Measurand, Point, Reading, Unit, WhichBrake};
pub use reckoning::{
    Agreement, Alternative, Answer, Asymmetry, Cause, CauseChance, CauseReckoning, ChanceOnBasis, CornerLife,
    CornerReckoning, CostReckoning, CostRow, Culprit, DistanceComparison, DriveWarning, Estimate, Evidence,
    ExpectedCost, ExpectedRow, Explanation, Figure, Life, LifeBasis, LifeEnds, LifeLeft, Measured, NextLook, Outcome,
    Pairing, Reckoning, Scope, Sentence, SignWeight, Source, Stage, StageChances,
};
pub use record::{Device, MethodVersion, Record, RecordSchema, RendererVersion};
pub use road_test::{AntiLock, Felt, Heard, RoadTest, RoadTestStep, StepKind};
pub use schema::{
    condition_statement_schema, inspection_schema, letter_schema, record_schema, reply_schema, statement_schema,
};
pub use surroundings::{RoadSurface, Surroundings, Weather};
pub use text::{Line, Note, TextError};
pub use use_ahead::{AskingPrice, UseAhead};
pub use vin::{Vin, VinError};

/// A moment with the offset of the place where it was written down (RFC 3339).
pub type Timestamp = chrono::DateTime<chrono::FixedOffset>;
/// A calendar day.
pub type Day = chrono::NaiveDate;
