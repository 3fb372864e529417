use std::io;

use crate::{
    AnalyseRecordingError, LetterError, SealReportError, SealStatementError, StateError, VerifyError,
    face::MeasureError,
    fault::{Explained, Fault},
    firm::FirmError,
    world::WorldError,
};
use notebook::NotebookError;

/// Why a page got no answer.
#[derive(Debug, thiserror::Error)]
pub(super) enum DoorError {
    #[error("the request could not be read: {0}")]
    Request(#[source] serde_json::Error),
    #[error("the answer could not be written: {0}")]
    Answer(#[source] serde_json::Error),
    #[error("no random numbers could be drawn: {0}")]
    Randomness(#[source] io::Error),
    #[error("storage: {0}")]
    Storage(String),
    #[error("{0}")]
    Unfit(String),
    #[error("{} to be done before it can be sealed: {}", count(.0), .0.join("; "))]
    Unfinished(Vec<String>),
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    #[error(transparent)]
    World(#[from] WorldError),
    #[error(transparent)]
    Firm(#[from] FirmError),
    #[error(transparent)]
    Seal(#[from] SealReportError),
    #[error(transparent)]
    Verify(#[from] VerifyError),
    #[error(transparent)]
    Letter(#[from] LetterError),
    #[error(transparent)]
    State(#[from] SealStatementError),
    #[error(transparent)]
    Photo(#[from] photo::PhotoError),
    #[error(transparent)]
    Recording(Box<AnalyseRecordingError>),
    #[error(transparent)]
    Face(#[from] MeasureError),
    #[error("the ZIP file: {0}")]
    Zip(#[from] zip::result::ZipError),
    #[error("there is no signing key on this device yet")]
    NoKeys,
    #[error("the firm's office has certified nobody as a dealer on this device")]
    NoDealer,
    /// Told already in the words of whoever failed.
    #[error("{}", .0.message)]
    Told(Box<Fault>),
    #[error("{0}")]
    NotJoined(String),
    /// What was given as an office's address is none.
    #[error("got {0:?} as the office's address, expected https:// and a host")]
    Address(String),
    /// The office said no, in its own words.
    #[error("the office: {words}")]
    OfficeRefused { words: String, hint: Option<String> },
    #[error(transparent)]
    Withdraw(#[from] StateError),
}

fn count(things: &[String]) -> String {
    match things.len() {
        1 => "one thing is".to_owned(),
        many => format!("{many} things are"),
    }
}

impl Explained for DoorError {
    fn code(&self) -> &'static str {
        match self {
            Self::Request(_) => "request-refused",
            Self::Answer(_) => "answer-failed",
            Self::Randomness(_) => "no-randomness",
            Self::Storage(_) => "storage-refused",
            Self::Unfit(_) => "value-refused",
            Self::Unfinished(_) => "unfinished",
            Self::Notebook(error) => match error {
                NotebookError::Field(_) => "value-refused",
                NotebookError::NoInspection { .. } | NotebookError::Missing { .. } => "not-there",
                NotebookError::Erased { .. } => "erased",
                NotebookError::Nothing { .. } => "nothing-to-change",
                NotebookError::Full(_) => "storage-full",
                NotebookError::Newer { .. } => "notebook-newer",
                NotebookError::Foreign => "notebook-foreign",
                _ => "notebook-failed",
            },
            Self::World(error) => error.code(),
            Self::Firm(error) => error.code(),
            Self::Seal(error) => error.code(),
            Self::Verify(error) => error.code(),
            Self::Letter(error) => error.code(),
            Self::State(error) => error.code(),
            Self::Photo(_) => "photograph-refused",
            Self::Recording(error) => error.code(),
            Self::Face(_) => "face-refused",
            Self::Zip(_) => "zip-refused",
            Self::NoKeys => "no-keys",
            Self::NoDealer => "no-dealer",
            Self::Told(fault) => fault.code,
            Self::NotJoined(_) => "not-let-in",
            Self::Address(_) => "office-address",
            Self::OfficeRefused { .. } => "office-refused",
            Self::Withdraw(error) => error.code(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Firm(error) => error.hint(),
            // Here there is no folder into which a person could copy them.
            Self::Seal(error) if error.code() == "photographs-missing" => Some(
                "a colleague's device or the office has them: fetch them from the inspection's first screen, or wait until they have come"
                    .to_owned(),
            ),
            Self::Seal(error) => error.hint(),
            Self::Verify(error) => error.hint(),
            Self::State(error) => error.hint(),
            Self::Letter(error) => error.hint(),
            Self::Recording(error) => error.hint(),
            Self::Storage(_) => Some("look whether the disk is full or the file belongs to somebody else".to_owned()),
            Self::Unfinished(_) => Some("write what is missing, or say why it was not inspected".to_owned()),
            Self::Notebook(NotebookError::Newer { .. }) => {
                Some("update this program; the notebook was left as it is".to_owned())
            }
            Self::Notebook(NotebookError::Full(_)) => Some(
                "nothing was lost: make room on this device, or save everything and erase what is no longer needed, and try again"
                    .to_owned(),
            ),
            Self::Notebook(NotebookError::Foreign) => Some(
                "the file was left as it is: open the notebook that this program made, or begin in another folder"
                    .to_owned(),
            ),
            Self::Zip(_) => Some("choose a file that this program saved".to_owned()),
            Self::NoDealer => Some("let the office let this device in as a dealer's, then ask it for a certificate".to_owned()),
            Self::NoKeys => Some("make one first, under Signing keys".to_owned()),
            Self::Told(fault) => fault.hint.clone(),
            Self::OfficeRefused { hint, .. } => hint.clone(),
            Self::Withdraw(error) => error.hint(),
            Self::Address(_) => Some("ask the office for its address, or paste the link that it shows".to_owned()),
            Self::NotJoined(_) => {
                Some("ask the office for a code: each is good once, for ten minutes".to_owned())
            }
            _ => None,
        }
    }
}
