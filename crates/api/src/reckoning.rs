//! What an inspection comes to.

use std::path::Path;

use model::{Inspection, MAX_DOCUMENT_BYTES, ParseError, Reckoning};

use crate::{
    fault::Explained,
    world::{World, WorldError},
};

/// Why an inspection was not read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum InspectionError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// What is in the file is no inspection.
    #[error("{file} is not an inspection that can be used: {cause}")]
    Parse {
        /// Its file.
        file: String,
        /// The fields that are wrong.
        #[source]
        cause: ParseError,
    },
}

impl Explained for InspectionError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Parse { .. } => "inspection-refused",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Parse { .. } => Some("correct it; the JSON Schema of an inspection says what is expected".to_owned()),
        }
    }
}

/// Reads an inspection and reckons what it comes to. Nothing is written.
///
/// # Errors
/// [`InspectionError`], naming the fields that are wrong.
pub fn reckon(world: &dyn World, inspection: &Path) -> Result<(Inspection, Reckoning), InspectionError> {
    let inspection = read_inspection(world, inspection)?;
    let reckoning = condition::reckon(&inspection);
    Ok((inspection, reckoning))
}

pub(crate) fn read_inspection(world: &dyn World, file: &Path) -> Result<Inspection, InspectionError> {
    // One byte more, so that the parser can say how much came.
    let bytes = world.read(file, MAX_DOCUMENT_BYTES as u64 + 1).map_err(WorldError::at("read", file))?;
    model::parse_inspection(&bytes).map_err(|cause| InspectionError::Parse { file: file.display().to_string(), cause })
}
