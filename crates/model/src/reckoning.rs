//! What the findings come to: figures that can say where they came from, and sentences that rest on them.
//!
//! The types only; the crate `condition` fills them.

mod cause;
mod cost;
mod explanation;
mod life;
mod wear;

pub use cause::{Cause, CauseChance, CauseReckoning, NextLook, SignWeight};
pub use cost::{Alternative, CostReckoning, CostRow, ExpectedCost, ExpectedRow, Scope};
pub use explanation::{Agreement, Culprit, Estimate, Evidence, Explanation, Figure, Source};
pub use life::{ChanceOnBasis, CornerLife, DistanceComparison, Life, LifeBasis, LifeEnds, LifeLeft};
pub use wear::{Answer, Asymmetry, DriveWarning, Measured, Outcome, Pairing, Sentence, Stage, StageChances};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{choice::PerCorner, record::MethodVersion};

/// One corner reckoned. Each quantity stands on its own; the worse governs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerReckoning {
    /// Wear of the disc's bulk against its own marks.
    pub bulk: Option<Figure>,
    /// Wear of the outer face's surface.
    pub outer_face: Option<Figure>,
    /// Wear of the inner face's surface.
    pub inner_face: Option<Figure>,
    /// Wear of the outer pad's lining against its mark.
    pub outer_pad: Option<Figure>,
    /// Wear of the inner pad's lining against its mark.
    pub inner_pad: Option<Figure>,
    /// The disc's stage by the worst of bulk and faces.
    pub disc_stage: Stage,
    /// How likely each stage of the disc is; absent where nothing of it could be reckoned.
    pub disc_chances: Option<StageChances>,
    /// The pads' stage by the worse one.
    pub pad_stage: Stage,
    /// How likely each stage of the pads is; absent where no lining could be reckoned.
    pub pad_chances: Option<StageChances>,
    /// Why the disc wore; absent where nothing of the corner was seen, or the disc is of iron.
    pub cause: Option<CauseReckoning>,
    /// How far disc and pads will go.
    pub life: CornerLife,
    /// What could not be reckoned, and why.
    pub missing: Vec<String>,
}

/// What the findings come to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reckoning {
    /// The version of the method.
    pub method: MethodVersion,
    /// Corner by corner.
    pub corners: PerCorner<CornerReckoning>,
    /// Differences between what ought to wear alike.
    pub asymmetries: Vec<Asymmetry>,
    /// The distance run beside what rules allow for.
    pub distance: Vec<DistanceComparison>,
    /// What was measured on the whole car or against a limit.
    pub measured: Vec<Measured>,
    /// The look that would settle the causes best; absent where no look would settle anything more.
    pub next_look: Option<NextLook>,
    /// Reasons not to drive. Their absence is never a clearance.
    pub drive_warnings: Vec<DriveWarning>,
    /// What renewal costs; absent without a price basis.
    pub cost: Option<CostReckoning>,
    /// The answer in words.
    pub answer: Answer,
}

impl Reckoning {
    /// What the sentences rest on, each once, in the order in which the answer, the reasons not to drive and the rest
    /// come to speak of it. A finding's number, from 1, is its place in this list; what is missing has none.
    pub fn list_findings(&self) -> Vec<&Evidence> {
        let answer = &self.answer;
        let said = [
            &answer.lead,
            &answer.why,
            &answer.limits,
            &answer.to_buyer,
            &answer.to_seller,
            &answer.to_workshop,
            &answer.questions,
        ];
        let carried = said.into_iter().flatten().flat_map(|sentence| &sentence.evidence);
        let all = carried.chain(self.drive_warnings.iter().flat_map(|warning| &warning.evidence));
        let mut listed: Vec<&Evidence> = Vec::new();
        for one in all {
            if !matches!(one, Evidence::Missing { .. }) && !listed.contains(&one) {
                listed.push(one);
            }
        }
        listed
    }
}
