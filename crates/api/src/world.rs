//! The world as the operations see it: a clock, randomness, files. Nothing else in this crate reaches outside.

use std::{
    any::Any,
    io,
    path::{Path, PathBuf},
};

use chrono::{DateTime, Utc};
use model::Sha256;
use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};

use crate::fault::Explained;

/// Who may read a new file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Whoever may read its folder.
    Shared,
    /// Its owner alone.
    Private,
}

/// An exclusive hold on something, until it is dropped.
pub struct Lock(#[allow(dead_code, reason = "it is held, not looked at")] Box<dyn Any + Send>);

impl Lock {
    /// Takes what must stay alive for the hold to last.
    pub fn new(held: impl Any + Send) -> Self {
        Self(Box::new(held))
    }
}

/// What the operations need from outside. Each function says what has happened when it returns; where one fails, its
/// effect may have come about all the same, and the operations reckon with that.
pub trait World: Sync {
    /// The time by this machine's clock.
    fn now(&self) -> DateTime<Utc>;

    /// Fills all bytes with randomness that is fit for keys.
    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()>;

    /// The whole file; [`io::ErrorKind::FileTooLarge`] if it has more than `most` bytes.
    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>>;

    /// The file as a stream, for what is read piece by piece. The default reads it whole.
    fn open(&self, file: &Path) -> io::Result<Box<dyn io::Read>> {
        Ok(Box::new(io::Cursor::new(self.read(file, u64::MAX - 1)?)))
    }

    /// The plain files in a folder, not those in folders below, sorted.
    fn list_files(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;

    /// What a report carries of the photograph whose original has this digest, where it was made before. The default is
    /// a world that keeps none.
    fn copy_of(&self, original: &Sha256) -> io::Result<Option<Vec<u8>>> {
        let _ = original;
        Ok(None)
    }

    /// Whether anything stands at this path.
    fn exists(&self, path: &Path) -> io::Result<bool>;

    /// Whether a folder holds nothing.
    fn is_empty(&self, folder: &Path) -> io::Result<bool>;

    /// Makes a folder with those above it; no error if it is there.
    fn create_folder(&self, folder: &Path) -> io::Result<()>;

    /// Writes a file that was not there and has it on the disk when it returns; [`io::ErrorKind::AlreadyExists`] else.
    fn write_new(&self, file: &Path, bytes: &[u8], access: Access) -> io::Result<()>;

    /// Moves a file or folder in one step; a file of the new name is replaced.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Moves a file in one step; [`io::ErrorKind::AlreadyExists`] if the new name is taken.
    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Has the names in a folder on the disk when it returns.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Removes a file.
    fn remove_file(&self, file: &Path) -> io::Result<()>;

    /// Removes a folder with all that is in it, as far as that is possible; for what an operation had begun itself.
    fn remove_folder(&self, folder: &Path);

    /// Takes an exclusive hold by means of a file, which is made if need be and stays;
    /// [`io::ErrorKind::WouldBlock`] if another process has it.
    fn lock(&self, file: &Path) -> io::Result<Lock>;
}

/// A generator for keys, seeded from the world's randomness.
pub(crate) fn seed_generator(world: &dyn World) -> Result<ChaCha20Rng, WorldError> {
    let mut seed = [0; 32];
    world.fill_random(&mut seed).map_err(WorldError::randomness)?;
    Ok(ChaCha20Rng::from_seed(seed))
}

/// Something outside that failed: what was being done, to what, and how it failed.
#[derive(Debug, thiserror::Error)]
#[error("{path} could not be {doing}: {}", words(failure))]
pub struct WorldError {
    /// What was being done, as in "could not be read".
    pub doing: &'static str,
    /// To what.
    pub path: String,
    /// How it failed. The words above tell it already, so it is no source.
    pub failure: io::Error,
}

impl WorldError {
    pub(crate) fn at(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.display().to_string();
        move |failure| Self { doing, path, failure }
    }

    fn randomness(failure: io::Error) -> Self {
        Self { doing: "drawn", path: "the machine's randomness".to_owned(), failure }
    }
}

fn words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "it is not there".into(),
        io::ErrorKind::PermissionDenied => "permission denied".into(),
        io::ErrorKind::StorageFull => "the disk is full".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".into(),
        io::ErrorKind::AlreadyExists => "it is there already".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::NotADirectory => "it is no folder".into(),
        io::ErrorKind::WouldBlock => "another process is using it".into(),
        _ => error.to_string(),
    }
}

impl Explained for WorldError {
    fn code(&self) -> &'static str {
        match self.failure.kind() {
            io::ErrorKind::NotFound => "file-not-found",
            io::ErrorKind::PermissionDenied => "permission-denied",
            io::ErrorKind::StorageFull => "disk-full",
            io::ErrorKind::ReadOnlyFilesystem => "disk-read-only",
            io::ErrorKind::AlreadyExists => "file-exists",
            io::ErrorKind::IsADirectory => "is-a-folder",
            io::ErrorKind::NotADirectory => "not-a-folder",
            io::ErrorKind::FileTooLarge => "file-too-large",
            io::ErrorKind::WouldBlock => "in-use",
            _ => "file-error",
        }
    }

    fn hint(&self) -> Option<String> {
        let hint = match self.failure.kind() {
            io::ErrorKind::NotFound => "look at the spelling of the path",
            io::ErrorKind::PermissionDenied => "choose a folder that you may write to, or ask its owner",
            io::ErrorKind::StorageFull => "make room and try again; nothing was lost",
            io::ErrorKind::ReadOnlyFilesystem => "choose a folder on another disk",
            io::ErrorKind::AlreadyExists => "choose another name, or allow it to be replaced (--replace)",
            io::ErrorKind::WouldBlock => "wait until it is done and try again",
            _ => return None,
        };
        Some(hint.to_owned())
    }
}
