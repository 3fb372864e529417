//! The verdict as data: four answers, the headline that follows from them, and what a reader may do next.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::Serialize;

use crate::{headline::Headline, indication::Indication};

/// The answer to one question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum Answer {
    /// Yes.
    Passed {
        /// What was found, in a sentence.
        sentence: String,
    },
    /// No.
    Failed {
        /// A stable code in kebab case.
        code: &'static str,
        /// What is wrong, in a sentence.
        reason: String,
    },
    /// It could not be decided.
    NotChecked {
        /// A stable code in kebab case.
        code: &'static str,
        /// What is missing, in a sentence.
        reason: String,
    },
}

impl Answer {
    /// The sentence, whichever way the answer went.
    pub fn sentence(&self) -> &str {
        match self {
            Self::Passed { sentence } => sentence,
            Self::Failed { reason, .. } | Self::NotChecked { reason, .. } => reason,
        }
    }

    /// The code of what is wrong or missing; none if passed.
    pub fn code(&self) -> Option<&'static str> {
        match self {
            Self::Passed { .. } => None,
            Self::Failed { code, .. } | Self::NotChecked { code, .. } => Some(code),
        }
    }
}

/// The four questions with their answers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Questions {
    /// Is the file what was signed, and do its pages say what its record says?
    pub unchanged: Answer,
    /// Whose signature is it?
    pub whose: Answer,
    /// Since when has it existed?
    pub since_when: Answer,
    /// Does it still stand?
    pub still_stands: Answer,
}

impl Questions {
    /// Each question as it is asked, in its order.
    pub const fn list_in_order(&self) -> [Asked<'_>; 4] {
        let (closed, open) = (["yes", "no"], ["known", "refused"]);
        [
            Asked { question: "Unchanged?", states: closed, answer: &self.unchanged },
            Asked { question: "Whose?", states: open, answer: &self.whose },
            Asked { question: "Since when?", states: open, answer: &self.since_when },
            Asked { question: "Does it still stand?", states: closed, answer: &self.still_stands },
        ]
    }
}

/// A question in words, with its answer.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The question.
    pub question: &'static str,
    /// The answer.
    pub answer: &'a Answer,
    /// What is said where it passed, and where it failed.
    states: [&'static str; 2],
}

impl Asked<'_> {
    /// The answer in a word or two.
    pub const fn state(&self) -> &'static str {
        match self.answer {
            Answer::Passed { .. } => self.states[0],
            Answer::Failed { .. } => self.states[1],
            Answer::NotChecked { .. } => "not checked",
        }
    }
}

/// Who signed, by the certificate inside the signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SignedBy {
    /// The person.
    pub name: String,
    /// The firm.
    pub organization: String,
    /// What the person may do.
    pub role: Option<String>,
    /// SHA-256 over the key, in groups of four digits.
    pub fingerprint: String,
}

/// The root that vouches for the signer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Root {
    /// Its name.
    pub name: String,
    /// SHA-256 over its key, in groups of four digits: to be compared with what the firm says of itself.
    pub fingerprint: String,
    /// Whether the reader brought this root along.
    pub given_by_reader: bool,
}

/// Which report it is. Present only when the signature fits the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Identified {
    /// SHA-256 over the signed bytes.
    pub identity: String,
    /// SHA-256 over the record inside, as it stands on each page.
    pub record: String,
    /// The record's digest as the pages print it: its first 80 bits in five groups.
    pub record_short: String,
    /// When it was signed by the signer's own clock; proves nothing.
    pub claimed_time: Option<DateTime<Utc>>,
}

/// What else there is to know, for programs and for the curious.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Details {
    /// The signature's status in the words of ETSI EN 319 102-1.
    pub indication: Indication,
    /// The version of the pages' form, as the record says.
    pub renderer: Option<u32>,
    /// The version of the reckoning's method, as the record says.
    pub method: Option<u32>,
    /// The record says that everything in it is invented, to show the program.
    pub demonstration: Option<bool>,
    /// Evidence that was given and set aside, and why.
    pub remarks: Vec<Remark>,
}

/// Something that does not change the headline and that a reader should know.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Remark {
    /// A stable code in kebab case.
    pub code: &'static str,
    /// A sentence.
    pub reason: String,
}

/// What was found out about a file. Only this crate makes one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Verdict {
    /// The verdict in one word for programs.
    pub headline: Headline,
    /// The headline in words.
    pub title: String,
    /// What decided it, in a sentence.
    pub because: String,
    /// What the headline means and what it does not.
    pub meaning: String,
    /// What to do next.
    pub next: String,
    /// The four questions.
    pub questions: Questions,
    /// Who signed, as far as the file names somebody whose signature fits.
    pub signed_by: Option<SignedBy>,
    /// Whose root vouches.
    pub root: Option<Root>,
    /// Which report it is.
    pub report: Option<Identified>,
    /// Who says what, where the file is a condition statement: the sentence of a dealer's statement. Absent for a report.
    pub states: Option<String>,
    /// The verdict on the report that a condition statement rests on.
    pub rests_on: Option<Box<Verdict>>,
    /// For programs and for the curious.
    pub details: Details,
}
