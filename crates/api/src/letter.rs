//! Letters of questions and replies to them: no inspection and no seal is needed.

mod pages;

use std::path::Path;

use condition::letter::{Letter, ReplyCheck, check_reply, write_letter};
use model::{LetterRequest, MAX_DOCUMENT_BYTES, ParseError};
use serde::Serialize;

use crate::{
    fault::Explained,
    reckoning::{InspectionError, read_inspection},
    whole_file::{Existing, write_whole},
    world::{Access, World, WorldError},
};

/// Why no letter was written, or no reply checked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LetterError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// What is in the file is not what it should be.
    #[error("{file} is not {what} that can be used: {cause}")]
    Parse {
        /// Its file.
        file: String,
        /// What it should be.
        what: &'static str,
        /// The fields that are wrong.
        #[source]
        cause: ParseError,
    },
    /// The inspection to check against.
    #[error(transparent)]
    Inspection(#[from] InspectionError),
    /// The pages could not be written.
    #[error("the letter's pages could not be written: {0}")]
    Pages(#[from] report::RenderError),
}

impl Explained for LetterError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Parse { .. } => "letter-refused",
            Self::Inspection(error) => error.code(),
            Self::Pages(_) => "pages-failed",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Parse { .. } => {
                Some("correct it; the JSON Schemas of letter and reply say what is expected".to_owned())
            }
            Self::Inspection(error) => error.hint(),
            Self::Pages(_) => None,
        }
    }
}

/// A letter that was written.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WrittenLetter {
    /// The letter as plain text.
    pub text: String,
    /// The letter.
    pub letter: Letter,
    /// Where its pages lie, if they were asked for.
    pub file: Option<String>,
}

/// A reply that was checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckedReply {
    /// The check as plain text.
    pub text: String,
    /// The check.
    pub check: ReplyCheck,
    /// Where its pages lie, if they were asked for.
    pub file: Option<String>,
}

/// Where pages go.
#[derive(Debug, Clone, Copy)]
pub struct PagesTo<'a> {
    /// The file.
    pub out: &'a Path,
    /// What to do with a file that is there.
    pub existing: Existing,
}

/// Writes the letter of questions for a car, as text and, where asked for, as a PDF.
///
/// # Errors
/// [`LetterError`], naming the fields that are wrong.
pub fn write_questions(
    world: &dyn World,
    request: &Path,
    pages: Option<PagesTo<'_>>,
) -> Result<WrittenLetter, LetterError> {
    let request = read_request(world, request)?;
    let letter = write_letter(&request);
    let document = pages::of_letter(&request, &letter);
    let file = put(world, &document, pages)?;
    Ok(WrittenLetter { text: document.to_text(), letter, file })
}

/// Checks a reply question by question; against the findings, too, where an inspection is given.
///
/// # Errors
/// [`LetterError`], naming the fields that are wrong.
pub fn check_answers(
    world: &dyn World,
    request: &Path,
    reply: &Path,
    inspection: Option<&Path>,
    pages: Option<PagesTo<'_>>,
) -> Result<CheckedReply, LetterError> {
    let request = read_request(world, request)?;
    let bytes = read(world, reply)?;
    let parsed = model::parse_reply(&bytes).map_err(refused(reply, "a reply"))?;
    let inspected = match inspection {
        Some(file) => {
            let inspection = read_inspection(world, file)?;
            let reckoning = condition::reckon(&inspection);
            Some((inspection, reckoning))
        }
        None => None,
    };
    let check =
        check_reply(&request, &parsed, inspected.as_ref().map(|(inspection, reckoning)| (inspection, reckoning)));
    let document = pages::of_check(&request, &parsed, &check, inspected.is_some());
    let file = put(world, &document, pages)?;
    Ok(CheckedReply { text: document.to_text(), check, file })
}

fn read_request(world: &dyn World, file: &Path) -> Result<LetterRequest, LetterError> {
    let bytes = read(world, file)?;
    model::parse_letter_request(&bytes).map_err(refused(file, "a letter"))
}

fn read(world: &dyn World, file: &Path) -> Result<Vec<u8>, LetterError> {
    Ok(world.read(file, MAX_DOCUMENT_BYTES as u64 + 1).map_err(WorldError::at("read", file))?)
}

fn refused(file: &Path, what: &'static str) -> impl FnOnce(ParseError) -> LetterError {
    let file = file.display().to_string();
    move |cause| LetterError::Parse { file, what, cause }
}

fn put(
    world: &dyn World,
    document: &report::document::Document,
    pages: Option<PagesTo<'_>>,
) -> Result<Option<String>, LetterError> {
    let Some(PagesTo { out, existing }) = pages else { return Ok(None) };
    write_whole(world, out, &document.render()?, Access::Shared, existing)?;
    Ok(Some(out.display().to_string()))
}
