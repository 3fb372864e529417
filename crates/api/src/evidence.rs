//! What recordings and photographs show, put into an inspection's file.

use std::path::Path;

use model::{
    Inspected, Inspection, Label, Line, MeasuredDrive, MeasuredFace, PhotographSubject, Recording, Sha256,
    parse_inspection,
};

use crate::{
    Access, Existing, InspectionError,
    fault::Explained,
    whole_file::write_whole,
    world::{World, WorldError},
};

/// Why an inspection does not take what was measured.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum EvidenceError {
    /// A file.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A file that is no inspection.
    #[error(transparent)]
    Inspection(#[from] InspectionError),
    /// There was no road test.
    #[error("the inspection says that there was no road test ({reason}), and recordings of one are to go into it")]
    NoRoadTest {
        /// What it says.
        reason: String,
    },
    /// A photograph that the inspection does not have.
    #[error("{file} is none of the inspection's photographs: no digest is {sha256}")]
    NoPhotograph {
        /// The file.
        file: String,
        /// Its digest.
        sha256: Sha256,
    },
    /// A photograph of something else.
    #[error("{file} shows, as the inspection has it: {shows}; expected a face of a disc")]
    NoFace {
        /// The file.
        file: String,
        /// What it shows.
        shows: String,
    },
    /// What would come of it is no inspection.
    #[error("the inspection does not take it: {0}")]
    Unfit(#[source] model::ParseError),
    /// It could not be written as JSON.
    #[error("the inspection cannot be written: {0}")]
    Json(#[from] serde_json::Error),
}

impl Explained for EvidenceError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Inspection(error) => error.code(),
            Self::NoRoadTest { .. }
            | Self::NoPhotograph { .. }
            | Self::NoFace { .. }
            | Self::Unfit(_)
            | Self::Json(_) => "evidence-refused",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Inspection(error) => error.hint(),
            Self::NoRoadTest { .. } => Some("write the road test down first: who drove, what was done".to_owned()),
            Self::NoPhotograph { .. } => Some(
                "list the photograph in the inspection, with the digest of the file as the camera wrote it".to_owned(),
            ),
            _ => None,
        }
    }
}

/// Writes the inspection in the place of the one that was read, if it is one still.
pub(crate) fn write_inspection(world: &dyn World, file: &Path, inspection: &Inspection) -> Result<(), EvidenceError> {
    let mut bytes = serde_json::to_vec_pretty(inspection)?;
    bytes.push(b'\n');
    parse_inspection(&bytes).map_err(EvidenceError::Unfit)?;
    Ok(write_whole(world, file, &bytes, Access::Shared, Existing::Replace)?)
}

/// Adds a drive with its recordings, which are listed once each. Measured again, a drive takes the place of the one from
/// the same recordings.
pub(crate) fn add_drive(
    inspection: &mut Inspection,
    recordings: Vec<(Sha256, Line)>,
    drive: MeasuredDrive,
) -> Result<(), EvidenceError> {
    let mut labels = Vec::new();
    for (sha256, what) in recordings {
        if let Some(known) = inspection.recordings.iter().find(|known| known.sha256 == sha256) {
            labels.push(known.id.clone());
            continue;
        }
        let id = next_label(inspection);
        labels.push(id.clone());
        inspection.recordings.push(Recording { id, sha256, what });
    }
    let test = match &mut inspection.road_test {
        Inspected::Seen(test) => test,
        Inspected::NotInspected(reason) => return Err(EvidenceError::NoRoadTest { reason: reason.to_string() }),
    };
    let drive = MeasuredDrive { recordings: labels, ..drive };
    match test.drives.iter_mut().find(|known| known.recordings == drive.recordings) {
        Some(known) => *known = drive,
        None => test.drives.push(drive),
    }
    Ok(())
}

fn next_label(inspection: &Inspection) -> Label {
    let name = |number: usize| format!("recording-{number:04}");
    let is_free = |name: &String| inspection.recordings.iter().all(|known| known.id.as_str() != name);
    let free = (1..=inspection.recordings.len() + 1).map(name).find(is_free).unwrap_or_default();
    free.parse().expect("letters, a dash and digits")
}

/// Puts what a photograph of a face shows beside it.
pub(crate) fn add_face(
    inspection: &mut Inspection,
    file: &Path,
    sha256: Sha256,
    measured: MeasuredFace,
) -> Result<(), EvidenceError> {
    let name = || file.display().to_string();
    let photograph = inspection
        .photographs
        .iter_mut()
        .find(|photograph| photograph.sha256 == sha256)
        .ok_or_else(|| EvidenceError::NoPhotograph { file: name(), sha256 })?;
    if !matches!(photograph.subject, PhotographSubject::Face { .. }) {
        return Err(EvidenceError::NoFace { file: name(), shows: photograph.subject.words() });
    }
    photograph.measured = Some(measured);
    Ok(())
}
