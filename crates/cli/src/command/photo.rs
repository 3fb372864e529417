use api::{Existing, FaceRequest, Fault, read_faces};

use super::WORLD;
use crate::{answer::Answer, arguments::Photo};

pub fn photo(arguments: &Photo) -> Result<Answer, Fault> {
    let read = read_faces(
        &WORLD,
        &FaceRequest {
            photographs: &arguments.files,
            references: arguments.references.as_deref(),
            plots: arguments.plots.as_deref(),
            into: arguments.into.as_deref(),
            existing: if arguments.replace { Existing::Replace } else { Existing::Refuse },
        },
    )?;
    Ok(Answer::told(read.text.clone(), &read))
}
