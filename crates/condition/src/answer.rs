//! The answer in words: first the answer, then why, then what limits it. All wording of the answer lives here.

mod lead;
mod limits;
mod phrase;
mod why;

use model::{Answer, CornerName, CornerReckoning, CostReckoning, DriveWarning, Inspection, PerCorner, Sentence};

/// What the answer is written from.
pub struct Findings<'a> {
    /// What was found.
    pub inspection: &'a Inspection,
    /// What each corner comes to.
    pub corners: &'a PerCorner<CornerReckoning>,
    /// What a reader of a corner's figures has to know.
    pub remarks: &'a PerCorner<Vec<Sentence>>,
    /// Reasons not to drive.
    pub warnings: &'a [DriveWarning],
    /// What renewal costs.
    pub cost: Option<&'a CostReckoning>,
}

/// The sentences, each tied to what carries it.
pub fn write(findings: &Findings<'_>) -> Answer {
    let mut why: Vec<_> = CornerName::ALL.iter().flat_map(|&name| why::corner(findings, name)).collect();
    why.extend(why::whole_car(findings.inspection));
    Answer { lead: lead::write(findings), why, limits: limits::write(findings) }
}
