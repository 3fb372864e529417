//! A reply held against the questions, against the findings of an inspection, against arithmetic and against the trade's
//! rules. Nothing is called a lie: it is said what does not fit with what.

mod against;
mod promise;

use against::Against;
use model::{Claim, Evidence, Inspection, LetterRequest, QuestionAbout, Reckoning, Reply, ReplyAnswer, Source};
use promise::promises_for_ever;
use serde::Serialize;

use super::question::{Letter, write_letter};

/// How a question fared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It says what was asked.
    Answered,
    /// There are words, and none of them says what was asked.
    Evaded,
    /// There are no words.
    NotAnswered,
}

impl Outcome {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Answered => "answered",
            Self::Evaded => "words, but not what was asked",
            Self::NotAnswered => "not answered",
        }
    }
}

/// What a claim does not fit with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ContradictedBy {
    /// A finding of the inspection.
    Finding,
    /// Arithmetic.
    Arithmetic,
    /// A rule of the trade, or the disc's own mark.
    Rule,
}

/// Something that does not fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contradiction {
    /// With what.
    pub by: ContradictedBy,
    /// The sentence.
    pub text: String,
    /// Where the rule comes from.
    pub source: Source,
    /// What of the inspection it rests on.
    pub evidence: Vec<Evidence>,
}

/// One question with its answer, checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheckedAnswer {
    /// Its number in the letter, from 1.
    pub number: usize,
    /// What it is about.
    pub about: QuestionAbout,
    /// The question.
    pub question: String,
    /// The words of the reply; none where there are none.
    pub words: Option<String>,
    /// How it fared.
    pub outcome: Outcome,
    /// What of it does not fit.
    pub contradictions: Vec<Contradiction>,
}

/// A reply, checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReplyCheck {
    /// Question by question.
    pub answers: Vec<CheckedAnswer>,
    /// What was said besides and does not fit.
    pub besides: Vec<Contradiction>,
    /// The whole in one sentence.
    pub summary: String,
}

/// Checks a reply question by question; with an inspection and its reckoning against the findings, too.
pub fn check_reply(request: &LetterRequest, reply: &Reply, inspected: Option<(&Inspection, &Reckoning)>) -> ReplyCheck {
    let letter = write_letter(request);
    let against = Against { request, reply, inspected };
    let answers: Vec<_> = check_answers(&letter, &against);
    let besides: Vec<_> = reply
        .besides
        .iter()
        .filter(|words| promises_for_ever(words.as_str()))
        .flat_map(|_| against.for_ever())
        .collect();
    let count = |outcome| answers.iter().filter(|answer| answer.outcome == outcome).count();
    let misfits = besides.len() + answers.iter().map(|answer| answer.contradictions.len()).sum::<usize>();
    let were = |count: usize| if count == 1 { "was" } else { "were" };
    let (answered, evaded, open) = (count(Outcome::Answered), count(Outcome::Evaded), count(Outcome::NotAnswered));
    let misfits = match misfits {
        0 => "Nothing was found that does not fit.".to_owned(),
        1 => "One thing does not fit.".to_owned(),
        more => format!("{more} things do not fit."),
    };
    let summary = format!(
        "Of {} questions {answered} {} answered, {evaded} met words but not what was asked, {open} {} not answered. {misfits}",
        answers.len(),
        were(answered),
        were(open)
    );
    ReplyCheck { answers, besides, summary }
}

fn check_answers(letter: &Letter, against: &Against<'_>) -> Vec<CheckedAnswer> {
    letter
        .questions
        .iter()
        .enumerate()
        .map(|(place, question)| {
            let answer = against.reply.answers.iter().find(|answer| answer.about == question.about);
            let outcome = match answer {
                None => Outcome::NotAnswered,
                Some(answer) if says_what_was_asked(answer) => Outcome::Answered,
                Some(_) => Outcome::Evaded,
            };
            let mut contradictions: Vec<_> =
                answer.into_iter().flat_map(|answer| &answer.claims).flat_map(|claim| against.check(claim)).collect();
            let promised = answer.is_some_and(|answer| promises_for_ever(answer.words.as_str()));
            let is_claimed = answer.is_some_and(|answer| answer.claims.contains(&Claim::LastsForEver));
            if promised && !is_claimed {
                contradictions.extend(against.for_ever());
            }
            CheckedAnswer {
                number: place + 1,
                about: question.about,
                question: question.text.clone(),
                words: answer.map(|answer| answer.words.to_string()),
                outcome,
                contradictions,
            }
        })
        .collect()
}

/// Whether any claim is of the kind that the question asks for.
fn says_what_was_asked(answer: &ReplyAnswer) -> bool {
    let fits = |claim: &Claim| {
        matches!(claim, Claim::NotKnown)
            || matches!(
                (answer.about, claim),
                (QuestionAbout::Originals, Claim::DiscsAreFirst { .. } | Claim::DiscReplaced { .. })
                    | (QuestionAbout::Weighed, Claim::DiscMass { .. } | Claim::DiscThickness { .. })
                    | (QuestionAbout::Faces, Claim::FacesLookedAt { .. })
                    | (QuestionAbout::PadSets, Claim::PadSets { .. })
                    | (QuestionAbout::Linings, Claim::Lining { .. })
                    | (QuestionAbout::Cleaner, Claim::CleanerUsed { .. } | Claim::WaterOnly)
                    | (QuestionAbout::HardUse, Claim::HardUse { .. })
                    | (QuestionAbout::Standing, Claim::StoodMonths { .. })
                    | (QuestionAbout::Callipers, Claim::CallipersSeenTo { .. } | Claim::FluidChanged { .. })
                    | (QuestionAbout::Life, Claim::DiscMass { .. } | Claim::DiscThickness { .. } | Claim::LastsForEver)
                    | (QuestionAbout::Signed, Claim::WillSign { .. })
            )
    };
    answer.claims.iter().any(fits)
}
