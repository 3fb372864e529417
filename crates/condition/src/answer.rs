//! The answer in words: first the answer, then why, then what limits it. All wording of the answer lives here.

mod cause;
mod lead;
mod life;
mod limits;
mod phrase;
mod question;
mod reader;
mod recorded;
mod why;

pub use phrase::{capital, grouped, list};

use model::{
    Answer, Asymmetry, CornerName, CornerReckoning, CostReckoning, DistanceComparison, DriveWarning, Inspection,
    Measured, NextLook, PerCorner, Sentence,
};

/// What the answer is written from.
pub struct Findings<'a> {
    /// What was found.
    pub inspection: &'a Inspection,
    /// What each corner comes to.
    pub corners: &'a PerCorner<CornerReckoning>,
    /// What a reader of a corner's figures has to know.
    pub remarks: &'a PerCorner<Vec<Sentence>>,
    /// Differences between what ought to wear alike.
    pub asymmetries: &'a [Asymmetry],
    /// The distance run beside what rules allow for.
    pub distance: &'a [DistanceComparison],
    /// What was held against a limit.
    pub measured: &'a [Measured],
    /// The look that would settle the causes best.
    pub next_look: Option<&'a NextLook>,
    /// Reasons not to drive.
    pub warnings: &'a [DriveWarning],
    /// What renewal costs.
    pub cost: Option<&'a CostReckoning>,
}

/// The sentences, each tied to what carries it.
pub fn write(findings: &Findings<'_>) -> Answer {
    let mut why: Vec<_> = CornerName::ALL.iter().flat_map(|&name| why::corner(findings, name)).collect();
    why.extend(why::whole_car(findings));
    Answer {
        lead: lead::write(findings),
        why,
        limits: limits::write(findings),
        to_buyer: reader::to_buyer(findings),
        to_seller: reader::to_seller(findings),
        to_workshop: reader::to_workshop(findings),
        questions: question::list_open(findings),
    }
}
