//! The questions, for this very car.

use model::{DiscMaterial, LetterRequest, QuestionAbout, Source};
use serde::Serialize;

use crate::number::{distance, percent_alone, thousands};
use crate::rule::{DISC_BY_PAPER, DISC_BY_THUMB, PADS_BY_THUMB};

/// A letter as it is sent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Letter {
    /// The first lines.
    pub opening: String,
    /// The questions in their order; a question's number is its place, from 1.
    pub questions: Vec<LetterQuestion>,
    /// What is asked of the answer as a whole.
    pub closing: String,
    /// What a reader of the letter has to know.
    pub cautions: Vec<String>,
}

/// A question with its reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LetterQuestion {
    /// What it is about.
    pub about: QuestionAbout,
    /// The question.
    pub text: String,
    /// Why it matters.
    pub why: String,
    /// Where the reason comes from.
    pub source: Source,
}

/// The letter of questions for this car.
pub fn write_letter(request: &LetterRequest) -> Letter {
    let car = &request.car;
    let known: Vec<String> = [
        car.registration.as_ref().map(|plate| format!("registration {plate}")),
        car.vin.as_ref().map(|vin| format!("VIN {vin}")),
        car.odometer.map(|odometer| {
            format!("{}\u{A0}{} on the odometer", thousands(f64::from(odometer.figure)), odometer.unit.words())
        }),
        car.first_registered.map(|day| format!("first registered {day}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    let of = if known.is_empty() { String::new() } else { format!(" ({})", known.join(", ")) };
    Letter {
        opening: format!(
            "{}, I am considering your {}{of}. Its brakes are a large part of what it may cost me. Please answer these questions in writing, each by its number; \"not known\" is an answer.",
            request.to.name, car.description
        ),
        questions: list_questions(request),
        closing: "Please say who answers, and on which day, and sign it. What is measured by a workshop or an independent inspector may be attached instead of an answer.".to_owned(),
        cautions: vec![
            "Answers describe the day on which they are given. They do not replace an inspection, the maker's procedure, the law of the place or a licensed workshop.".to_owned(),
            "That nothing bad is answered is no clearance to drive.".to_owned(),
        ],
    }
}

fn list_questions(request: &LetterRequest) -> Vec<LetterQuestion> {
    let car = &request.car;
    let axles = [("front", car.front), ("rear", car.rear)];
    let ceramic: Vec<_> =
        axles.iter().filter(|(_, material)| *material != Some(DiscMaterial::Iron)).map(|(axle, _)| *axle).collect();
    let where_ceramic = match ceramic.as_slice() {
        [one] => format!("the {one} discs"),
        _ => "the discs".to_owned(),
    };
    let unit = car.odometer.map_or(model::OdometerUnit::Km, |odometer| odometer.unit);
    let mut questions = Vec::new();
    let mut ask =
        |about, text: String, why: String, source| questions.push(LetterQuestion { about, text, why, source });
    ask(
        QuestionAbout::Originals,
        "Are all four discs the ones that the car left the works with? If not: which were replaced, when, at what distance, and with what (serial numbers, invoice)?".to_owned(),
        "The distance that the car has run says something of a disc only if it was there all the way.".to_owned(),
        Source::CommonPractice,
    );
    if !ceramic.is_empty() {
        ask(
            QuestionAbout::Weighed,
            format!(
                "Was any of {where_ceramic} ever weighed, or its thickness or electrical value measured? What was read, when, by whom, and what least value is marked on the disc?"
            ),
            "A carbon-ceramic disc is renewed by the least mass, thickness or reading that is marked on itself."
                .to_owned(),
            Source::PartMark,
        );
        ask(
            QuestionAbout::Faces,
            "When did somebody last look at both faces of each disc with the wheels off, and what was found: cracks, chips, stains, flaked places?".to_owned(),
            "The inner face cannot be judged from outside, and often wears first where a calliper does not work freely.".to_owned(),
            Source::CommonPractice,
        );
    }
    let sets = car.odometer.map_or_else(String::new, |odometer| {
        format!(
            " The distance run would be {} % of what such a set lasts.",
            percent_alone(odometer.km() / PADS_BY_THUMB.km)
        )
    });
    ask(
        QuestionAbout::PadSets,
        "How many sets of pads has each axle used so far, when were the last ones fitted, and by whom?".to_owned(),
        format!(
            "By a rule of thumb a set of pads lasts about {} in normal road use.{sets}",
            distance(PADS_BY_THUMB.km, unit)
        ),
        Source::CommonPractice,
    );
    ask(
        QuestionAbout::Linings,
        "How thick are the linings now at their thinnest, inner and outer, on each axle?".to_owned(),
        "Pads are renewed at the maker's mark; under 1.5 mm a car fails its test in the United Kingdom, as its inspection manual of 2012 is quoted (§3.5; not checked at the source).".to_owned(),
        Source::CommonPractice,
    );
    if !ceramic.is_empty() {
        ask(
            QuestionAbout::Cleaner,
            "With what were the wheels cleaned, and how often?".to_owned(),
            "Some wheel cleaners attack the outer face and the bell.".to_owned(),
            Source::CommonPractice,
        );
        ask(
            QuestionAbout::HardUse,
            "Was the car driven on a track, on race days or down long passes, and was an overheated or dragging brake ever reported?".to_owned(),
            "Carbon fibre burns in air from 400 to 500 °C: heat takes substance that ordinary wear does not.".to_owned(),
            Source::Published { document: "the abstract of a paper on the oxidation of carbon fibre in C/SiC".to_owned() },
        );
    }
    ask(
        QuestionAbout::Standing,
        "How long did the car stand without being driven, at the longest, and where?".to_owned(),
        "Pads, fixings and callipers corrode while a car stands.".to_owned(),
        Source::CommonPractice,
    );
    ask(
        QuestionAbout::Callipers,
        "When were the callipers last seen to, and the brake fluid changed, and with fluid of which class?".to_owned(),
        "A calliper that drags spends a disc's inner face; old fluid boils early.".to_owned(),
        Source::CommonPractice,
    );
    if !ceramic.is_empty() {
        let run = car.odometer.map_or_else(String::new, |odometer| {
            format!(
                " This car has run {} % of the one and {} % of the other.",
                percent_alone(odometer.km() / DISC_BY_THUMB.km),
                percent_alone(odometer.km() / DISC_BY_PAPER.km)
            )
        });
        ask(
            QuestionAbout::Life,
            format!(
                "What do you say of the life that {where_ceramic} still have, and on what does it rest? Has a workshop offered or advised their renewal, and at what price?"
            ),
            format!(
                "Discs are wear parts. A rule of thumb gives them about {}, a published figure up to {}; they disagree, and neither says anything of these discs.{run}",
                distance(DISC_BY_THUMB.km, unit),
                distance(DISC_BY_PAPER.km, unit)
            ),
            Source::CommonPractice,
        );
    }
    ask(
        QuestionAbout::Signed,
        "Will you sign these answers, and will you let an independent inspector look at the brakes with the wheels off before the sale?".to_owned(),
        "An answer that somebody stands by is worth more than one that nobody signed.".to_owned(),
        Source::CommonPractice,
    );
    questions
}
