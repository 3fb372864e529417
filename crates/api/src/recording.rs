//! The recordings of a road test on disk, to figures and plots.

mod words;

use std::{
    io::{self, BufReader, Read},
    path::{Path, PathBuf},
};

use model::TyreSize;
use road_test::{
    DriveSeen, Motion, Position, RecordingError, Recordings, Sound, analyse, plot_drive, read_gpx, read_motion,
    read_nmea, read_position_table, read_sound, spectrogram_png, to_svg,
};
use serde::Serialize;

use crate::{
    Access,
    fault::Explained,
    whole_file::{Existing, write_whole},
    world::{World, WorldError},
};

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
}

/// What the recordings show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnalysedRecording {
    /// What each file was taken for.
    pub files: Vec<RecordingFile>,
    /// The figures.
    pub seen: DriveSeen,
    /// Where plots lie.
    pub plots: Vec<String>,
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
}

impl Explained for AnalyseRecordingError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::File { .. } => "recording-refused",
            Self::Drive(_) => "drive-refused",
            Self::Twice { .. } => "recording-twice",
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
            Self::Twice { .. } => None,
        }
    }
}

/// What was read so far, each with its file.
#[derive(Default)]
struct Gathered {
    motion: Option<(String, Motion)>,
    position: Option<(String, Position)>,
    sound: Option<(String, Sound)>,
}

/// Analyses the recordings of one drive. A sound is read piece by piece.
///
/// # Errors
/// [`AnalyseRecordingError`]. Nothing is written then.
pub fn analyse_recordings(
    world: &dyn World,
    request: &RecordingRequest<'_>,
) -> Result<AnalysedRecording, AnalyseRecordingError> {
    let mut gathered = Gathered::default();
    let mut files = Vec::new();
    for file in request.files {
        files.push(gather(world, file, &mut gathered)?);
    }
    let motion = gathered.motion.as_ref().map(|(_, motion)| motion);
    let sound = gathered.sound.as_ref().map(|(_, sound)| sound);
    let drive = analyse(Recordings {
        motion,
        position: gathered.position.as_ref().map(|(_, position)| position),
        sound,
        wheels: request.tyres,
        prescribed_m_per_s: request.prescribed_km_h.map(|speed| speed / 3.6),
    })
    .map_err(AnalyseRecordingError::Drive)?;
    let mut plots = Vec::new();
    if let (Some(folder), Some(motion)) = (request.plots, motion) {
        world.create_folder(folder).map_err(WorldError::at("made", folder))?;
        let drawn = to_svg(&plot_drive(&drive, &motion.time_s, sound));
        let mut put = |name: &str, bytes: &[u8]| {
            let place = folder.join(name);
            write_whole(world, &place, bytes, Access::Shared, request.existing)?;
            plots.push(place.display().to_string());
            Ok::<(), WorldError>(())
        };
        put("drive.svg", drawn.as_bytes())?;
        if let Some(sound) = sound {
            put("sound.png", &spectrogram_png(sound))?;
        }
    }
    let text = words::tell(&drive.seen, &plots);
    Ok(AnalysedRecording { files, seen: drive.seen, plots, text })
}

/// Takes a file for what its beginning says that it is.
fn gather(world: &dyn World, file: &Path, gathered: &mut Gathered) -> Result<RecordingFile, AnalyseRecordingError> {
    let name = file.display().to_string();
    let mut input = BufReader::new(world.open(file).map_err(WorldError::at("read", file))?);
    let head = peek(&mut input).map_err(WorldError::at("read", file))?;
    let input = Read::chain(&head[..], input);
    let refused = |cause| AnalyseRecordingError::File { file: name.clone(), cause };
    let text = String::from_utf8_lossy(&head);
    let text = text.trim_start_matches('\u{feff}').trim_start();
    let first_line = text.lines().find(|line| !line.starts_with('#')).unwrap_or_default().to_ascii_lowercase();
    let is_motion = first_line.split(',').any(|column| matches!(column.trim(), "ax" | "ax_m_s2" | "ax_g" | "x"));
    let is = if head.starts_with(b"RIFF") {
        put(&mut gathered.sound, &name, read_sound(input).map_err(refused)?, "a sound")?
    } else if text.starts_with('<') {
        put(&mut gathered.position, &name, read_gpx(input).map_err(refused)?, "a log of position (GPX)")?
    } else if text.starts_with('$') {
        put(&mut gathered.position, &name, read_nmea(input).map_err(refused)?, "a log of position (NMEA 0183)")?
    } else if is_motion {
        put(&mut gathered.motion, &name, read_motion(input).map_err(refused)?, "a log of motion")?
    } else {
        put(&mut gathered.position, &name, read_position_table(input).map_err(refused)?, "a log of position")?
    };
    Ok(RecordingFile { file: name, is })
}

/// Enough of a file to tell what it is.
const HEAD: u64 = 512;

fn peek(input: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut head = Vec::new();
    input.take(HEAD).read_to_end(&mut head)?;
    Ok(head)
}

fn put<T>(
    place: &mut Option<(String, T)>,
    name: &str,
    read: T,
    is: &'static str,
) -> Result<&'static str, AnalyseRecordingError> {
    if let Some((first, _)) = place {
        return Err(AnalyseRecordingError::Twice { first: first.clone(), second: name.to_owned(), is });
    }
    *place = Some((name.to_owned(), read));
    Ok(is)
}
