//! Photographs of a disc's faces on disk, to figures: the fibre pattern, the colour, the stage among references, one face
//! against the other.

mod words;

use std::path::{Path, PathBuf};

use photo::{
    MAX_ORIGINAL_BYTES, PhotoError,
    disc::{
        Ellipse, FaceDifference, FaceError, FaceSeen, GreyCard, Proposal, Reference, ReferenceError, ReferenceSet,
        RingMark, Stage, compare_faces, decode_whole, read_face, unroll_png,
    },
};
use serde::{Deserialize, Serialize};

use crate::{
    Access,
    fault::Explained,
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
}

/// Where an inspector marked a ring, as a file beside the photograph has it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct MarkFile {
    /// The outer edge at the disc's right, below, left and above, in pixels of the upright picture.
    outer: [(f64, f64); 4],
    /// The same of the inner edge.
    inner: [(f64, f64); 4],
    /// The known length.
    outer_diameter_mm: f64,
    /// A grey card in the picture.
    grey_card: Option<GreyCardFile>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct GreyCardFile {
    /// Left, upper, width and height of a part of it, in pixels.
    part: (u32, u32, u32, u32),
    /// Share of the light that it reflects.
    reflects: f64,
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
    stage: Stage,
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
    /// Where pictures lie.
    pub plots: Vec<String>,
    /// The same in words.
    #[serde(skip)]
    pub text: String,
}

/// One face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadFace {
    /// Its file.
    pub file: String,
    /// What it shows.
    pub seen: FaceSeen,
    /// The stage that it is most like, where there are references.
    pub proposal: Option<Proposal>,
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
}

impl Explained for ReadFaceError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Photo { .. } => "photograph-refused",
            Self::Face { .. } => "face-refused",
            Self::Json { .. } | Self::Form { .. } => "mark-refused",
            Self::References(_) => "references-refused",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Json { .. } => Some(
                "a mark names the points at the disc's right, below, left and above: \
                 {\"outer\": [[x, y], …], \"inner\": [[x, y], …], \"outer_diameter_mm\": 390, \"grey_card\": null}"
                    .to_owned(),
            ),
            _ => None,
        }
    }
}

/// Reads the faces.
///
/// # Errors
/// [`ReadFaceError`]. Nothing is written then.
pub fn read_faces(world: &dyn World, request: &FaceRequest<'_>) -> Result<ReadFaces, ReadFaceError> {
    let set = request.references.map(|file| read_references(world, file)).transpose()?;
    let mut faces = Vec::new();
    let mut pictures = Vec::new();
    for file in request.photographs {
        let (seen, unrolled) = read(world, file, request.plots.is_some())?;
        pictures.push((file, unrolled));
        let proposal = set.as_ref().map(|set| set.propose(&seen.pattern));
        faces.push(ReadFace { file: file.display().to_string(), seen, proposal });
    }
    let difference = match &faces[..] {
        [first, second, ..] => Some(compare_faces(&first.seen.pattern, &second.seen.pattern)),
        _ => None,
    };
    let mut plots = Vec::new();
    if let Some(folder) = request.plots {
        world.create_folder(folder).map_err(WorldError::at("made", folder))?;
        for (file, unrolled) in pictures {
            let name = file.file_stem().map_or_else(|| "face".into(), |stem| stem.to_string_lossy().into_owned());
            let place = folder.join(format!("{name}-ring.png"));
            write_whole(world, &place, &unrolled, Access::Shared, request.existing)?;
            plots.push(place.display().to_string());
        }
    }
    let text = words::tell(&faces, difference.as_ref(), &plots);
    Ok(ReadFaces { faces, difference, plots, text })
}

fn read(world: &dyn World, file: &Path, draws: bool) -> Result<(FaceSeen, Vec<u8>), ReadFaceError> {
    let name = || file.display().to_string();
    let original = world.read(file, MAX_ORIGINAL_BYTES as u64).map_err(WorldError::at("read", file))?;
    let place = PathBuf::from(format!("{}.mark.json", file.display()));
    let text = world.read(&place, 1 << 16).map_err(WorldError::at("read", &place))?;
    let mark: MarkFile = serde_json::from_slice(&text)
        .map_err(|cause| ReadFaceError::Json { file: place.display().to_string(), cause })?;
    let ring = RingMark {
        outer: Ellipse::through(mark.outer),
        inner: Ellipse::through(mark.inner),
        outer_diameter_mm: mark.outer_diameter_mm,
    };
    let card = mark.grey_card.map(|card| GreyCard { part: card.part, reflects: card.reflects });
    let picture = decode_whole(&original).map_err(|cause| ReadFaceError::Photo { file: name(), cause })?;
    let seen =
        read_face(&picture, &ring, card.as_ref()).map_err(|cause| ReadFaceError::Face { file: name(), cause })?;
    let unrolled = if draws { unroll_png(&picture, &ring) } else { Vec::new() };
    Ok((seen, unrolled))
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
        let (seen, _) = read(world, &folder.join(&one.photograph), false)?;
        Ok(Reference::of(one.stage, &seen.pattern))
    });
    Ok(ReferenceSet::new(references.collect::<Result<_, ReadFaceError>>()?)?)
}
