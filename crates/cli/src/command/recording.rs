use api::{Existing, Fault, RecordingRequest, analyse_recordings};

use super::WORLD;
use crate::{answer::Answer, arguments::Recording};

pub fn recording(arguments: &Recording) -> Result<Answer, Fault> {
    let analysed = analyse_recordings(
        &WORLD,
        &RecordingRequest {
            files: &arguments.files,
            plots: arguments.plots.as_deref(),
            tyres: [arguments.front_tyre, arguments.rear_tyre],
            prescribed_km_h: arguments.from_km_h,
            into: arguments.into.as_deref(),
            existing: if arguments.replace { Existing::Replace } else { Existing::Refuse },
        },
    )?;
    Ok(Answer::told(analysed.text.clone(), &analysed))
}
