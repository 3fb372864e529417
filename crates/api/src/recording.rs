//! The recordings of a road test on disk, to figures and plots.

mod streams;
mod words;

use std::{
    io::{self, Read},
    path::{Path, PathBuf},
};

use model::{Axle, MeasuredDrive, Sha256, TyreSize};
use road_test::{RecordingError, spectrogram_png};
use serde::Serialize;
use sha2::Digest as _;

use crate::{
    Access,
    evidence::{EvidenceError, add_drive, write_inspection},
    fault::Explained,
    reckoning::read_inspection,
    whole_file::{Existing, write_whole},
    world::{World, WorldError},
};
pub(crate) use streams::{Gathered, describe};
pub(crate) use words::figures as tell_figures;

/// What to analyse, and where plots go.
#[derive(Debug)]
pub struct RecordingRequest<'a> {
    /// The recordings of one drive: a log of motion, and beside it a log of position and a sound, in any order.
    pub files: &'a [PathBuf],
    /// The folder for plots, if any are wanted.
    pub plots: Option<&'a Path>,
    /// The tyres of the front and of the rear axle.
    pub tyres: [Option<TyreSize>; 2],
    /// The speed from which stops were to be made, in km/h.
    pub prescribed_km_h: Option<f64>,
    /// What to do with plots that are there.
    pub existing: Existing,
    /// An inspection that is to have what they show; its tyres count where none are given.
    pub into: Option<&'a Path>,
}

/// What the recordings show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnalysedRecording {
    /// What each file was taken for.
    pub files: Vec<RecordingFile>,
    /// The figures.
    pub measured: MeasuredDrive,
    /// What was written: plots, the inspection.
    pub written: Vec<String>,
    /// The same in words.
    #[serde(skip)]
    pub text: String,
}

/// A file and what it was taken for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordingFile {
    /// Its path.
    pub file: String,
    /// What it is.
    pub is: &'static str,
    /// Digest of its bytes.
    pub sha256: Sha256,
}

/// Why recordings were not analysed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AnalyseRecordingError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A file that cannot be used.
    #[error("{file}: {cause}")]
    File {
        /// Which.
        file: String,
        /// Why.
        #[source]
        cause: RecordingError,
    },
    /// Files that do not make one drive.
    #[error("the recordings do not make a drive: {0}")]
    Drive(#[source] RecordingError),
    /// Two files of one kind.
    #[error("{first} and {second} are both {is}; give the recordings of one drive")]
    Twice {
        /// The first.
        first: String,
        /// The second.
        second: String,
        /// What both are.
        is: &'static str,
    },
    /// An inspection that cannot have it.
    #[error(transparent)]
    Evidence(#[from] EvidenceError),
    /// Figures that are none.
    #[error("the recordings give figures that are not finite: {0}")]
    Figures(#[source] serde_json::Error),
}

impl Explained for AnalyseRecordingError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::File { .. } => "recording-refused",
            Self::Drive(_) | Self::Figures(_) => "drive-refused",
            Self::Twice { .. } => "recording-twice",
            Self::Evidence(error) => error.code(),
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::File { .. } => Some(
                "a log of motion is a table with time_s, ax_m_s2, ay_m_s2, az_m_s2; one of position is GPX, NMEA 0183 or a \
                 table with time_s and speed_m_s; a sound is a WAV file"
                    .to_owned(),
            ),
            Self::Drive(_) => Some("look whether all files are of the same drive, and the phone was fixed".to_owned()),
            Self::Evidence(error) => error.hint(),
            Self::Twice { .. } | Self::Figures(_) => None,
        }
    }
}

/// Analyses the recordings of one drive, and puts what they show into an inspection where one is named.
///
/// # Errors
/// [`AnalyseRecordingError`]. Nothing is written then.
pub fn analyse_recordings(
    world: &dyn World,
    request: &RecordingRequest<'_>,
) -> Result<AnalysedRecording, AnalyseRecordingError> {
    let mut inspection =
        request.into.map(|file| read_inspection(world, file)).transpose().map_err(EvidenceError::from)?;
    let mut gathered = Gathered::default();
    let mut files = Vec::new();
    for file in request.files {
        let name = file.display().to_string();
        let input = world.open(file).map_err(WorldError::at("read", file))?;
        let is = gathered.read(&name, input)?;
        let sha256 =
            digest(world.open(file).map_err(WorldError::at("read", file))?).map_err(WorldError::at("read", file))?;
        files.push(RecordingFile { file: name, is, sha256 });
    }
    let tyre_of = |axle: Axle, given: Option<TyreSize>| {
        given.or_else(|| inspection.as_ref().map(|inspection| inspection.car.brakes.at(axle).tyre))
    };
    let [front, rear] = request.tyres;
    let tyres = [tyre_of(Axle::Front, front), tyre_of(Axle::Rear, rear)];
    let measured = gathered.measure(tyres, request.prescribed_km_h)?;
    let mut written = Vec::new();
    if let Some(folder) = request.plots {
        world.create_folder(folder).map_err(WorldError::at("made", folder))?;
        let mut put = |name: &str, bytes: &[u8]| {
            let place = folder.join(name);
            write_whole(world, &place, bytes, Access::Shared, request.existing)?;
            written.push(place.display().to_string());
            Ok::<(), WorldError>(())
        };
        put("drive.svg", report::draw_drive(&measured).as_bytes())?;
        if let Some(sound) = gathered.sound() {
            put("sound.png", &spectrogram_png(sound))?;
        }
    }
    if let (Some(inspection), Some(place)) = (&mut inspection, request.into) {
        let recordings = files.iter().map(|file| (file.sha256, describe(file.is, name_of(&file.file)))).collect();
        add_drive(inspection, recordings, measured.clone())?;
        write_inspection(world, place, inspection)?;
        written.push(place.display().to_string());
    }
    let text = words::tell(&measured, &written);
    Ok(AnalysedRecording { files, measured, written, text })
}

fn name_of(path: &str) -> &str {
    Path::new(path).file_name().and_then(|name| name.to_str()).unwrap_or(path)
}

/// The digest of a stream, piece by piece.
fn digest(mut input: impl Read) -> io::Result<Sha256> {
    let mut hasher = sha2::Sha256::new();
    let mut piece = vec![0; 1 << 16];
    loop {
        match input.read(&mut piece)? {
            0 => return Ok(Sha256::new(hasher.finalize().into())),
            count => hasher.update(&piece[..count]),
        }
    }
}
