//! The originals of an inspection, found in a folder by what they are, and their copies for the report.

use std::{
    collections::{BTreeMap, BTreeSet},
    io,
    ops::ControlFlow,
    path::{Path, PathBuf},
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
};

use model::{Photograph, ReportPhotograph, Sha256};
use photo::{MAX_ORIGINAL_BYTES, PhotoError, find_copy_size, make_report_copy};

use crate::{
    fault::Explained,
    progress::{Progress, Step},
    world::{World, WorldError},
};

/// Most originals in memory at once: one a thread, each with its decoder. Keeps sealing under 300 MB.
#[cfg(feature = "native")]
const MOST_AT_ONCE: usize = 4;

/// The copies of an inspection's photographs.
#[derive(Debug, Default)]
pub(crate) struct Copies {
    /// As the record lists them, in the inspection's order.
    pub list: Vec<ReportPhotograph>,
    /// Their bytes.
    pub bytes: report::Copies<'static>,
}

/// What the record and the pages need of a report copy.
struct Copy {
    bytes: Vec<u8>,
    sha256: Sha256,
    width: u32,
    height: u32,
}

impl From<photo::ReportCopy> for Copy {
    fn from(copy: photo::ReportCopy) -> Self {
        Self { bytes: copy.bytes, sha256: copy.sha256, width: copy.width, height: copy.height }
    }
}

/// Why the photographs of an inspection could not be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PhotographsError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// Originals that are not in the folder.
    #[error("{} of {of} photographs are not in {folder}:{}", missing.len(), list_some(missing))]
    Missing {
        /// The folder.
        folder: String,
        /// Each with what is known of it.
        missing: Vec<String>,
        /// How many the inspection has.
        of: usize,
    },
    /// An original of which no copy can be made.
    #[error("no copy can be made of {file}: {cause}")]
    Photo {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: PhotoError,
    },
    /// It was stopped.
    #[error("stopped before anything was written")]
    Stopped,
}

/// How many missing photographs are named before the rest is counted.
const MOST_NAMED: usize = 5;

/// The first of them, one a line, and how many more there are.
fn list_some(missing: &[String]) -> String {
    let mut lines: Vec<String> = missing.iter().take(MOST_NAMED).map(|one| format!("\n  {one}")).collect();
    if missing.len() > MOST_NAMED {
        lines.push(format!("\n  and {} more", missing.len() - MOST_NAMED));
    }
    lines.concat()
}

impl Explained for PhotographsError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Missing { .. } => "photographs-missing",
            Self::Photo { .. } => "photograph-refused",
            Self::Stopped => "stopped",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Missing { .. } => Some(
                "copy the originals there as the camera wrote them; names do not matter, the bytes must be the same"
                    .to_owned(),
            ),
            Self::Photo { .. } | Self::Stopped => None,
        }
    }
}

/// Finds the originals by their SHA-256 among the files of the folder and makes a copy of each, several at once. An
/// original is in memory only while its copy is made.
pub(crate) fn copy_photographs(
    world: &dyn World,
    folder: &Path,
    wanted: &[Photograph],
    progress: Progress<'_>,
) -> Result<Copies, PhotographsError> {
    if wanted.is_empty() {
        return Ok(Copies::default());
    }
    let files = world.list_files(folder).map_err(WorldError::at("read", folder))?;
    let search = Search::new(world, wanted, progress);
    search.walk(&files)?;
    let Search { found, unreadable, .. } = search;
    let found = found.into_inner().unwrap_or_else(PoisonError::into_inner);
    let missing: Vec<&Photograph> =
        wanted.iter().filter(|photograph| !found.contains_key(&photograph.sha256)).collect();
    if !missing.is_empty() {
        // Perhaps it is the file that could not be read.
        if let Some(error) = unreadable.into_inner().unwrap_or_else(PoisonError::into_inner) {
            return Err(error.into());
        }
        let missing = missing.into_iter().map(|photograph| describe_missing(photograph, &files)).collect();
        return Err(PhotographsError::Missing { folder: folder.display().to_string(), missing, of: wanted.len() });
    }
    Ok(collect(wanted, found))
}

fn collect(wanted: &[Photograph], found: BTreeMap<Sha256, Copy>) -> Copies {
    let list = wanted
        .iter()
        .filter_map(|photograph| {
            let copy = found.get(&photograph.sha256)?;
            Some(ReportPhotograph {
                id: photograph.id.clone(),
                sha256: copy.sha256,
                width_px: copy.width,
                height_px: copy.height,
            })
        })
        .collect();
    Copies { list, bytes: found.into_values().map(|copy| copy.bytes).collect() }
}

/// The name of a file may still say that it was meant, with other bytes.
fn describe_missing(photograph: &Photograph, files: &[PathBuf]) -> String {
    let what = format!("{} ({})", photograph.id, photograph.subject.words());
    let namesake =
        files.iter().find(|file| file.file_stem().and_then(|stem| stem.to_str()) == Some(photograph.id.as_str()));
    match namesake.and_then(|file| file.file_name()?.to_str()) {
        Some(name) => format!("{what}: {name} has other bytes than the inspection says"),
        None => format!("{what}, SHA-256 {}", photograph.sha256),
    }
}

/// The work that several threads share.
struct Search<'a> {
    world: &'a dyn World,
    progress: Progress<'a>,
    /// Digests that nobody has found yet.
    open: Mutex<BTreeSet<Sha256>>,
    of: usize,
    done: AtomicUsize,
    found: Mutex<BTreeMap<Sha256, Copy>>,
    unreadable: Mutex<Option<WorldError>>,
}

impl<'a> Search<'a> {
    fn new(world: &'a dyn World, wanted: &[Photograph], progress: Progress<'a>) -> Self {
        let open: BTreeSet<Sha256> = wanted.iter().map(|photograph| photograph.sha256).collect();
        Self {
            world,
            progress,
            of: open.len(),
            open: Mutex::new(open),
            done: AtomicUsize::new(0),
            found: Mutex::default(),
            unreadable: Mutex::default(),
        }
    }

    #[cfg(feature = "native")]
    fn walk(&self, files: &[PathBuf]) -> Result<(), PhotographsError> {
        use rayon::prelude::*;
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let pool = rayon::ThreadPoolBuilder::new().num_threads(cores.min(MOST_AT_ONCE)).build();
        match pool {
            Ok(pool) => pool.install(|| files.par_iter().with_max_len(1).try_for_each(|file| self.look_at(file))),
            // A machine that gives no threads still seals.
            Err(_) => files.iter().try_for_each(|file| self.look_at(file)),
        }
    }

    #[cfg(not(feature = "native"))]
    fn walk(&self, files: &[PathBuf]) -> Result<(), PhotographsError> {
        files.iter().try_for_each(|file| self.look_at(file))
    }

    fn look_at(&self, file: &Path) -> Result<(), PhotographsError> {
        if lock(&self.open).is_empty() {
            return Ok(());
        }
        self.tell()?;
        let original = match self.world.read(file, MAX_ORIGINAL_BYTES as u64) {
            Ok(bytes) => bytes,
            // Too large for a photograph: a film, perhaps.
            Err(error) if error.kind() == io::ErrorKind::FileTooLarge => return Ok(()),
            Err(error) => {
                lock(&self.unreadable).get_or_insert(WorldError::at("read", file)(error));
                return Ok(());
            }
        };
        let digest = Sha256::of(&original);
        if !lock(&self.open).remove(&digest) {
            return Ok(());
        }
        let copy = match self.ready_copy(&digest) {
            Some(copy) => copy,
            None => make_report_copy(&original)
                .map(Copy::from)
                .map_err(|cause| PhotographsError::Photo { file: file.display().to_string(), cause })?,
        };
        drop(original);
        lock(&self.found).insert(digest, copy);
        self.done.fetch_add(1, Ordering::Relaxed);
        self.tell()
    }

    /// A copy that was made before. One that cannot be read is made anew.
    fn ready_copy(&self, original: &Sha256) -> Option<Copy> {
        let bytes = self.world.copy_of(original).ok().flatten()?;
        let (width, height) = find_copy_size(&bytes).ok()?;
        Some(Copy { sha256: Sha256::of(&bytes), width, height, bytes })
    }

    fn tell(&self) -> Result<(), PhotographsError> {
        let step = Step::Photographs { done: self.done.load(Ordering::Relaxed), of: self.of };
        match (self.progress)(step) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(PhotographsError::Stopped),
        }
    }
}

/// A thread that died with the lock leaves data that is whole: every change is one insertion or removal.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
