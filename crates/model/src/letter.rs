//! A buyer's letter to a seller, and the reply to it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Day,
    car::{DiscMaterial, FluidClass, Odometer},
    choice::{Axle, CornerName, names},
    quantity::{Gram, Kilometre, Millimetre},
    text::{Line, Note},
    use_ahead::AskingPrice,
    vin::Vin,
};

/// The version of a letter's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum LetterSchema {
    /// The first.
    #[serde(rename = "rimside.letter/1")]
    V1,
}

/// The version of a reply's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ReplySchema {
    /// The first.
    #[serde(rename = "rimside.reply/1")]
    V1,
}

/// Somebody who writes or is written to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Correspondent {
    /// The name.
    pub name: Line,
    /// Where an answer reaches them.
    pub contact: Line,
}

/// What a letter of questions is written from: no inspection is needed for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LetterRequest {
    /// The version of the form.
    pub schema: LetterSchema,
    /// Whether it is invented, to show the program.
    pub demonstration: bool,
    /// The day of the letter.
    pub dated: Day,
    /// Who asks.
    pub from: Correspondent,
    /// Who is asked.
    pub to: Correspondent,
    /// The car, as far as it is known from afar.
    pub car: OfferedCar,
}

/// A car as an offer describes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OfferedCar {
    /// Make and model.
    pub description: Line,
    /// Registration.
    pub registration: Option<Line>,
    /// Vehicle identification number.
    pub vin: Option<Vin>,
    /// Odometer.
    pub odometer: Option<Odometer>,
    /// First registered.
    pub first_registered: Option<Day>,
    /// What the front discs are made of.
    pub front: Option<DiscMaterial>,
    /// What the rear discs are made of.
    pub rear: Option<DiscMaterial>,
    /// What is asked for it.
    pub asking_price: Option<AskingPrice>,
}

names!(
    /// What a question of the letter is about.
    QuestionAbout {
        /// Whether the discs are the first ones.
        Originals = "whether the discs are the first ones",
        /// What they weighed or measured.
        Weighed = "mass and thickness",
        /// When both faces were looked at.
        Faces = "both faces",
        /// How many sets of pads were used.
        PadSets = "sets of pads",
        /// What lining is left.
        Linings = "linings",
        /// What the wheels were cleaned with.
        Cleaner = "wheel cleaner",
        /// Tracks and long passes.
        HardUse = "hard use",
        /// How long the car stood.
        Standing = "standing",
        /// Callipers and fluid.
        Callipers = "callipers and fluid",
        /// What the seller says of the discs' life.
        Life = "the discs' life",
        /// Whether the answer will be signed.
        Signed = "a signed answer",
    }
);

/// What a recorder took a reply to say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "says", rename_all = "snake_case", deny_unknown_fields)]
pub enum Claim {
    /// That it is not known, or was never done.
    NotKnown,
    /// Whether all discs are the first ones.
    DiscsAreFirst {
        /// Whether they are.
        yes: bool,
    },
    /// That a disc was replaced.
    DiscReplaced {
        /// Where.
        corner: CornerName,
        /// At which distance.
        at_km: Kilometre,
    },
    /// What a disc weighed.
    DiscMass {
        /// Where.
        corner: CornerName,
        /// What the scale showed.
        mass_g: Gram,
    },
    /// How thick a disc was.
    DiscThickness {
        /// Where.
        corner: CornerName,
        /// What the gauge showed.
        thickness_mm: Millimetre,
    },
    /// When both faces were looked at.
    FacesLookedAt {
        /// The day.
        day: Day,
    },
    /// How many sets of pads an axle has used.
    PadSets {
        /// The axle.
        axle: Axle,
        /// How many.
        count: u8,
    },
    /// What lining is left on an axle, at the least.
    Lining {
        /// The axle.
        axle: Axle,
        /// Its thickness.
        lining_mm: Millimetre,
    },
    /// Which cleaner was used on the wheels.
    CleanerUsed {
        /// Its kind.
        what: Line,
    },
    /// That water alone was used.
    WaterOnly,
    /// Whether the car was driven hard: on a track, down long passes.
    HardUse {
        /// Whether it was.
        yes: bool,
    },
    /// The longest that the car stood, in months.
    StoodMonths {
        /// How many.
        months: u16,
    },
    /// When callipers were last seen to.
    CallipersSeenTo {
        /// The day.
        day: Day,
    },
    /// When the fluid was changed.
    FluidChanged {
        /// The day.
        day: Day,
        /// For which class.
        class: Option<FluidClass>,
    },
    /// That the discs last as long as the car.
    LastsForEver,
    /// Whether the answer will be signed.
    WillSign {
        /// Whether it will.
        yes: bool,
    },
}

/// A seller's reply, word for word, with what it was taken to say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reply {
    /// The version of the form.
    pub schema: ReplySchema,
    /// Who replies.
    pub from: Line,
    /// When.
    pub dated: Day,
    /// How the words came: by letter, by telephone, written down by whom.
    pub how: Line,
    /// Each question's answer; a question that is missing was not answered.
    #[schemars(length(max = 50))]
    pub answers: Vec<ReplyAnswer>,
    /// What else was said, word for word.
    pub besides: Option<Note>,
}

/// The answer to one question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReplyAnswer {
    /// Which question.
    pub about: QuestionAbout,
    /// The words.
    pub words: Note,
    /// What they were taken to say; empty where they say nothing that was asked.
    #[schemars(length(max = 50))]
    pub claims: Vec<Claim>,
}
