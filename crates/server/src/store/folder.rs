//! The shelf as a folder, which any web server can serve as it is.

use std::{
    fs::{self, File},
    io::{self, Write as _},
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
};

use super::{FirmId, Shelf, StoreError};

/// A folder with one folder for each firm.
#[derive(Debug)]
pub struct FolderShelf {
    top: PathBuf,
    written: AtomicU64,
}

impl FolderShelf {
    /// The shelf in this folder, which is made where it is missing.
    ///
    /// # Errors
    /// A folder that cannot be made.
    pub fn open(top: &Path) -> Result<Self, StoreError> {
        fs::create_dir_all(top)?;
        Ok(Self { top: top.to_owned(), written: AtomicU64::new(0) })
    }

    /// Where a firm's file lies.
    fn place(&self, firm: &FirmId, path: &str) -> Result<PathBuf, StoreError> {
        check_path(path)?;
        Ok(self.top.join(firm.as_str()).join(path))
    }
}

/// Refuses what is no path of a shelf: one of the log's own is made of digits, letters, points and slashes.
pub(super) fn check_path(path: &str) -> Result<(), StoreError> {
    let is_plain = |step: &str| {
        !step.is_empty()
            && !step.starts_with('.')
            && step.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_'))
    };
    if path.split('/').all(is_plain) {
        Ok(())
    } else {
        Err(StoreError::Failed(format!("{path:?} is no path of a shelf")))
    }
}

impl FolderShelf {
    /// Puts a file in its place, whole or not at all.
    fn lay(&self, firm: &FirmId, path: &str, bytes: &[u8], lasts: bool) -> Result<(), StoreError> {
        let place = self.place(firm, path)?;
        let folder = place.parent().unwrap_or(&self.top);
        // A folder that is new has a name of its own in the one above.
        let new = folder.ancestors().take_while(|above| !above.is_dir()).count();
        fs::create_dir_all(folder)?;
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        let part = folder.join(format!(".{}-{number}.part", std::process::id()));
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        if lasts {
            file.sync_all()?;
        }
        fs::rename(&part, &place)?;
        if lasts {
            for named in folder.ancestors().take(new + 1) {
                File::open(named)?.sync_all()?;
            }
        }
        Ok(())
    }
}

impl Shelf for FolderShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.lay(firm, path, bytes, true)
    }

    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        files.iter().try_for_each(|(path, bytes)| self.lay(firm, path, bytes, false))
    }

    fn may_lose(&self) -> bool {
        true
    }

    fn list(&self, firm: &FirmId) -> Result<Vec<String>, StoreError> {
        let top = self.top.join(firm.as_str());
        let (mut paths, mut folders) = (Vec::new(), vec![String::new()]);
        while let Some(folder) = folders.pop() {
            let entries = match fs::read_dir(top.join(&folder)) {
                Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
                read => read?,
            };
            for entry in entries {
                let entry = entry?;
                let name = entry.file_name().to_string_lossy().into_owned();
                let path = if folder.is_empty() { name } else { format!("{folder}/{name}") };
                if entry.file_type()?.is_dir() {
                    folders.push(path);
                } else if check_path(&path).is_ok() {
                    // One that is still being written begins with a point.
                    paths.push(path);
                }
            }
        }
        paths.sort_unstable();
        Ok(paths)
    }

    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError> {
        match fs::read(self.place(firm, path)?) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error.into()),
        }
    }
}
