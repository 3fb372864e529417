//! What a page is answered about recordings and measured faces.

use model::{Label, ReferenceStage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::DraftView;

/// What a recording holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RecordingKind {
    /// The phone's motion.
    #[schemars(title = "motion")]
    Motion,
    /// Where the car was.
    #[schemars(title = "position")]
    Position,
    /// What was to be heard.
    #[schemars(title = "sound")]
    Sound,
}

impl RecordingKind {
    const ALL: [Self; 3] = [Self::Motion, Self::Position, Self::Sound];

    pub(in crate::door) const fn name(self) -> &'static str {
        match self {
            Self::Motion => "motion",
            Self::Position => "position",
            Self::Sound => "sound",
        }
    }

    pub(in crate::door) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    pub(in crate::door) const fn words(self) -> &'static str {
        match self {
            Self::Motion => "log of motion",
            Self::Position => "log of position",
            Self::Sound => "sound",
        }
    }
}

/// A recording that was begun.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RecordingBegun {
    /// Its number in this notebook.
    pub recording: i64,
}

/// A recording that stands in the inspection.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RecordingEnded {
    /// Its name in the inspection.
    pub label: Label,
    /// The inspection with it.
    pub draft: DraftView,
}

/// Recordings that were begun and not ended.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RecordingList {
    /// In the order in which they began.
    pub running: Vec<RunningRecording>,
}

/// A recording that was begun and not ended.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RunningRecording {
    /// Its number in this notebook.
    pub recording: i64,
    /// What it holds.
    pub kind: RecordingKind,
    /// When it began.
    pub begun_at: String,
    /// Its bytes so far.
    pub bytes: u64,
}

/// A drive that was measured.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct DriveMeasured {
    /// Its name in the road test.
    pub drive: String,
    /// The inspection with it.
    pub draft: DraftView,
}

/// What was measured, in words.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ToldView {
    /// Line by line; an empty one stands between kinds of figures.
    pub lines: Vec<String>,
}

/// The references that faces are compared with.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReferencesView {
    /// In the order in which they were kept.
    pub references: Vec<ReferenceView>,
    /// What is missing before a face can be compared with them; null when nothing is.
    pub missing: Option<String>,
}

/// A face whose stage the inspector knows.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReferenceView {
    /// SHA-256 of its photograph.
    pub photograph: String,
    /// Its stage.
    pub stage: ReferenceStage,
    /// When it was kept.
    pub kept_at: String,
}
