//! Photographs of a disc's faces on disk, to figures: the fibre pattern, the colour, the stage among references, one face
//! against the other.

mod words;

use std::path::{Path, PathBuf};

use condition::{FaceDifference, compare_faces};
use model::{DiscMark, MeasuredFace, ReferenceStage, Sha256};
use photo::{
    MAX_ORIGINAL_BYTES, PhotoError,
    disc::{
        FaceError, GreyCard, Reference, ReferenceError, ReferenceSet, RingMark, decode_whole, read_face, unroll_png,
    },
};
use serde::{Deserialize, Serialize};

pub(crate) use words::figures as tell_figures;

use crate::{
    Access,
    evidence::{EvidenceError, add_face, write_inspection},
    fault::Explained,
    reckoning::read_inspection,
    whole_file::{Existing, write_whole},
    world::{World, WorldError},
};

/// What to read, and where pictures go.
#[derive(Debug)]
pub struct FaceRequest<'a> {
    /// The photographs, each with its mark: `face.jpg` and `face.jpg.mark.json`. The second is compared with the first.
    pub photographs: &'a [PathBuf],
    /// A list of references (`rimside.references/1`), its photographs beside it.
    pub references: Option<&'a Path>,
    /// The folder for the unrolled rings, if they are wanted.
    pub plots: Option<&'a Path>,
    /// What to do with pictures that are there.
    pub existing: Existing,
    /// An inspection that lists these photographs and is to have what they show.
    pub into: Option<&'a Path>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReferencesFile {
    schema: String,
    references: Vec<ReferenceFile>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReferenceFile {
    photograph: PathBuf,
    stage: ReferenceStage,
}

/// The form of a list of references.
const REFERENCES: &str = "rimside.references/1";

/// What the photographs show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadFaces {
    /// Each face with what is proposed of it.
    pub faces: Vec<ReadFace>,
    /// The first against the second.
    pub difference: Option<FaceDifference>,
    /// What was written: pictures, the inspection.
    pub written: Vec<String>,
    /// The same in words.
    #[serde(skip)]
    pub text: String,
}

/// One face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadFace {
    /// Its file.
    pub file: String,
    /// Digest of its bytes.
    pub sha256: Sha256,
    /// What it shows, and the stage that it is most like where there are references.
    pub measured: MeasuredFace,
}

/// Why photographs were not read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReadFaceError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A file that is no photograph.
    #[error("{file}: {cause}")]
    Photo {
        /// Which.
        file: String,
        /// Why.
        #[source]
        cause: PhotoError,
    },
    /// A photograph that gives no figures.
    #[error("{file}: {cause}")]
    Face {
        /// Which.
        file: String,
        /// Why.
        #[source]
        cause: FaceError,
    },
    /// A mark or a list that cannot be read.
    #[error("{file}: {cause}")]
    Json {
        /// Which.
        file: String,
        /// Where and why.
        #[source]
        cause: serde_json::Error,
    },
    /// A list of another form.
    #[error("{file}: got the form {got:?}, expected {REFERENCES:?}")]
    Form {
        /// Which.
        file: String,
        /// What it says.
        got: String,
    },
    /// References that make no set.
    #[error(transparent)]
    References(#[from] ReferenceError),
    /// An inspection that cannot have it.
    #[error(transparent)]
    Evidence(#[from] EvidenceError),
}

impl Explained for ReadFaceError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Photo { .. } => "photograph-refused",
            Self::Face { .. } => "face-refused",
            Self::Json { .. } | Self::Form { .. } => "mark-refused",
            Self::References(_) => "references-refused",
            Self::Evidence(error) => error.code(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Evidence(error) => error.hint(),
            Self::Json { .. } => Some(
                "a mark names the points at the disc's right, below, left and above: \
                 {\"outer\": [[x, y], …], \"inner\": [[x, y], …], \"outer_diameter_mm\": 390, \"grey_card\": null}"
                    .to_owned(),
            ),
            _ => None,
        }
    }
}

/// Reads the faces, and puts what they show into an inspection where one is named.
///
/// # Errors
/// [`ReadFaceError`]. Nothing is written then.
pub fn read_faces(world: &dyn World, request: &FaceRequest<'_>) -> Result<ReadFaces, ReadFaceError> {
    let mut inspection =
        request.into.map(|file| read_inspection(world, file)).transpose().map_err(EvidenceError::from)?;
    let set = request.references.map(|file| read_references(world, file)).transpose()?;
    let mut faces = Vec::new();
    let mut pictures = Vec::new();
    for file in request.photographs {
        let (original, mark) = read(world, file)?;
        let (measured, unrolled) = measure(&original, mark, set.as_ref(), request.plots.is_some())
            .map_err(|error| error.of(file.display().to_string()))?;
        pictures.extend(unrolled.map(|unrolled| (file, unrolled)));
        let sha256 = Sha256::of(&original);
        if let Some(inspection) = &mut inspection {
            add_face(inspection, file, sha256, measured.clone())?;
        }
        faces.push(ReadFace { file: file.display().to_string(), sha256, measured });
    }
    let difference = match &faces[..] {
        [first, second, ..] => Some(compare_faces(&first.measured.seen.pattern, &second.measured.seen.pattern)),
        _ => None,
    };
    let mut written = Vec::new();
    if let Some(folder) = request.plots {
        world.create_folder(folder).map_err(WorldError::at("made", folder))?;
        for (file, unrolled) in pictures {
            let name = file.file_stem().map_or_else(|| "face".into(), |stem| stem.to_string_lossy().into_owned());
            let place = folder.join(format!("{name}-ring.png"));
            write_whole(world, &place, &unrolled, Access::Shared, request.existing)?;
            written.push(place.display().to_string());
        }
    }
    if let (Some(inspection), Some(place)) = (&inspection, request.into) {
        write_inspection(world, place, inspection)?;
        written.push(place.display().to_string());
    }
    let text = words::tell(&faces, difference.as_ref(), &written);
    Ok(ReadFaces { faces, difference, written, text })
}

/// Why one photograph gives no figures.
#[derive(Debug, thiserror::Error)]
pub(crate) enum MeasureError {
    /// It is no photograph.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// It shows no disc where the mark is.
    #[error(transparent)]
    Face(#[from] FaceError),
}

impl MeasureError {
    fn of(self, file: String) -> ReadFaceError {
        match self {
            Self::Photo(cause) => ReadFaceError::Photo { file, cause },
            Self::Face(cause) => ReadFaceError::Face { file, cause },
        }
    }
}

/// Measures a face in its photograph. The ring unrolled, as a PNG, comes with it where it is asked for.
pub(crate) fn measure(
    original: &[u8],
    mark: DiscMark,
    references: Option<&ReferenceSet>,
    draws: bool,
) -> Result<(MeasuredFace, Option<Vec<u8>>), MeasureError> {
    let picture = decode_whole(original)?;
    let ring = RingMark::from(&mark);
    let card = mark.grey_card.as_ref().map(GreyCard::from);
    let seen = read_face(&picture, &ring, card.as_ref())?;
    let unrolled = draws.then(|| unroll_png(&picture, &ring));
    let proposal = references.map(|set| set.propose(&seen.pattern));
    let measured = MeasuredFace { mark, seen, proposal };
    // Figures of a picture that was read are finite; were one not, the record's own check would say so.
    let cut = model::cut_figures(&measured).unwrap_or(measured);
    Ok((cut, unrolled))
}

fn read(world: &dyn World, file: &Path) -> Result<(Vec<u8>, DiscMark), ReadFaceError> {
    let original = world.read(file, MAX_ORIGINAL_BYTES as u64).map_err(WorldError::at("read", file))?;
    let place = PathBuf::from(format!("{}.mark.json", file.display()));
    let text = world.read(&place, 1 << 16).map_err(WorldError::at("read", &place))?;
    let mark = serde_json::from_slice(&text)
        .map_err(|cause| ReadFaceError::Json { file: place.display().to_string(), cause })?;
    Ok((original, mark))
}

fn read_references(world: &dyn World, file: &Path) -> Result<ReferenceSet, ReadFaceError> {
    let text = world.read(file, 1 << 20).map_err(WorldError::at("read", file))?;
    let list: ReferencesFile = serde_json::from_slice(&text)
        .map_err(|cause| ReadFaceError::Json { file: file.display().to_string(), cause })?;
    if list.schema != REFERENCES {
        return Err(ReadFaceError::Form { file: file.display().to_string(), got: list.schema });
    }
    let folder = file.parent().unwrap_or(Path::new(""));
    let references = list.references.iter().map(|one| {
        let photograph = folder.join(&one.photograph);
        let (original, mark) = read(world, &photograph)?;
        let (measured, _) =
            measure(&original, mark, None, false).map_err(|error| error.of(photograph.display().to_string()))?;
        Ok(Reference::of(one.stage, &measured.seen.pattern))
    });
    Ok(ReferenceSet::new(references.collect::<Result<_, ReadFaceError>>()?)?)
}
