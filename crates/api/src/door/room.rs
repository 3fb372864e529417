//! The notebook as a world of files, so that the operations that work in a folder work in it unchanged.
//!
//! ```text
//! /notebook/inspections/ID.json   an inspection as it stands, if nothing is missing
//! /notebook/photographs/ID/SHA    the originals that it shows
//! /notebook/…                     files that are kept: keys, certificates, reports, letters
//! ```

use std::{
    collections::BTreeSet,
    io,
    path::{Path, PathBuf},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use chrono::{DateTime, Utc};
use model::Sha256;
use notebook::{FileAccess as _, Notebook, NotebookError};

use crate::world::{Access, Lock, World};

/// A device's clock and randomness.
pub trait Source: Send + Sync {
    /// The time by this device's clock.
    fn now(&self) -> DateTime<Utc>;

    /// Fills all bytes with randomness that is fit for keys.
    ///
    /// # Errors
    /// The device has none.
    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()>;
}

/// Where everything of the notebook lies.
const TOP: &str = "notebook";

/// A path inside the notebook.
pub(super) fn at(path: &str) -> PathBuf {
    Path::new("/").join(TOP).join(path)
}

pub(super) struct Room<'a> {
    book: &'a Mutex<Notebook>,
    source: &'a dyn Source,
    held: Arc<Mutex<BTreeSet<String>>>,
}

impl<'a> Room<'a> {
    pub(super) fn new(book: &'a Mutex<Notebook>, source: &'a dyn Source) -> Self {
        Self { book, source, held: Arc::default() }
    }

    fn book(&self) -> MutexGuard<'a, Notebook> {
        self.book.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What follows the top. Some machines put a drive before it when they make a path whole.
fn key(path: &Path) -> io::Result<String> {
    let steps: Vec<&str> = path.components().filter_map(|step| step.as_os_str().to_str()).collect();
    let top = steps.iter().position(|step| *step == TOP).ok_or(io::ErrorKind::NotFound)?;
    Ok(steps[top + 1..].join("/"))
}

fn failed(error: NotebookError) -> io::Error {
    let kind = match &error {
        NotebookError::Store(cause) | NotebookError::Full(cause) => match cause.sqlite_error_code() {
            Some(notebook::ErrorCode::DiskFull) => io::ErrorKind::StorageFull,
            Some(notebook::ErrorCode::ReadOnly) => io::ErrorKind::ReadOnlyFilesystem,
            Some(notebook::ErrorCode::DatabaseBusy | notebook::ErrorCode::DatabaseLocked) => io::ErrorKind::WouldBlock,
            _ => io::ErrorKind::Other,
        },
        NotebookError::Missing { .. } | NotebookError::NoInspection { .. } => io::ErrorKind::NotFound,
        _ => io::ErrorKind::Other,
    };
    io::Error::new(kind, error)
}

impl World for Room<'_> {
    fn now(&self) -> DateTime<Utc> {
        self.source.now()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        self.source.fill_random(bytes)
    }

    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>> {
        let key = key(file)?;
        let book = self.book();
        let bytes = if let Some(name) = key.strip_prefix("inspections/").and_then(|rest| rest.strip_suffix(".json")) {
            let id = name.parse().map_err(|_| io::ErrorKind::NotFound)?;
            Some(book.draft(&id).map_err(failed)?.fold().document.to_string().into_bytes())
        } else if let Some((_, sha256)) = key.strip_prefix("photographs/").and_then(|rest| rest.split_once('/')) {
            // Whoever seals finds an original by the digest of its bytes, and so holds it against it.
            Some(book.original_unheld(sha256).map_err(failed)?)
        } else {
            book.file(&key).map_err(failed)?
        };
        let bytes = bytes.ok_or(io::ErrorKind::NotFound)?;
        if bytes.len() as u64 > most { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
    }

    fn list_files(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let key = key(folder)?;
        if let Some(inspection) = key.strip_prefix("photographs/") {
            let names = self.book().photographs_of(inspection).map_err(failed)?;
            return Ok(names.iter().map(|name| folder.join(name)).collect());
        }
        let start = format!("{key}/");
        let below = self.book().files_below(&start).map_err(failed)?;
        Ok(below
            .iter()
            .map(|path| &path[start.len()..])
            .filter(|rest| !rest.contains('/'))
            .map(|rest| folder.join(rest))
            .collect())
    }

    fn copy_of(&self, original: &Sha256) -> io::Result<Option<Vec<u8>>> {
        self.book().copy_of(&original.to_string()).map_err(failed)
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        let key = key(path)?;
        let book = self.book();
        Ok(book.file(&key).map_err(failed)?.is_some()
            || !book.files_below(&format!("{key}/")).map_err(failed)?.is_empty())
    }

    fn is_empty(&self, folder: &Path) -> io::Result<bool> {
        let below = self.book().files_below(&format!("{}/", key(folder)?)).map_err(failed)?;
        if below.is_empty() { Err(io::ErrorKind::NotFound.into()) } else { Ok(false) }
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        // A folder is there as soon as something lies in it.
        key(folder).map(drop)
    }

    fn write_new(&self, file: &Path, bytes: &[u8], _access: Access) -> io::Result<()> {
        if self.book().write_file(&key(file)?, bytes).map_err(failed)? {
            Ok(())
        } else {
            Err(io::ErrorKind::AlreadyExists.into())
        }
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let moved = self.book().move_files(&key(from)?, &key(to)?, true).map_err(failed)?;
        if moved { Ok(()) } else { Err(io::ErrorKind::NotFound.into()) }
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        let (from, to) = (key(from)?, key(to)?);
        let mut book = self.book();
        if book.file(&to).map_err(failed)?.is_some() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let moved = book.move_files(&from, &to, false).map_err(failed)?;
        if moved { Ok(()) } else { Err(io::ErrorKind::NotFound.into()) }
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        // Each change was on the disk when it returned.
        key(folder).map(drop)
    }

    fn remove_file(&self, file: &Path) -> io::Result<()> {
        let removed = self.book().remove_files(&key(file)?).map_err(failed)?;
        if removed { Ok(()) } else { Err(io::ErrorKind::NotFound.into()) }
    }

    fn remove_folder(&self, folder: &Path) {
        if let Ok(key) = key(folder) {
            // What stays behind is in nobody's way.
            let _ = self.book().remove_files(&key);
        }
    }

    fn lock(&self, file: &Path) -> io::Result<Lock> {
        let key = key(file)?;
        let taken = self.held.lock().unwrap_or_else(PoisonError::into_inner).insert(key.clone());
        if !taken {
            return Err(io::ErrorKind::WouldBlock.into());
        }
        Ok(Lock::new(Held { key, held: Arc::clone(&self.held) }))
    }
}

struct Held {
    key: String,
    held: Arc<Mutex<BTreeSet<String>>>,
}

impl Drop for Held {
    fn drop(&mut self) {
        self.held.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.key);
    }
}
