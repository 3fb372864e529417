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

    /// Where a firm's file lies. A path of the log's own is made of digits, letters, points and slashes.
    fn place(&self, firm: &FirmId, path: &str) -> Result<PathBuf, StoreError> {
        let is_plain = |step: &str| {
            !step.is_empty()
                && !step.starts_with('.')
                && step.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_'))
        };
        if !path.split('/').all(is_plain) {
            return Err(StoreError::Failed(format!("{path:?} is no path of a shelf")));
        }
        Ok(self.top.join(firm.as_str()).join(path))
    }
}

impl Shelf for FolderShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        let place = self.place(firm, path)?;
        let folder = place.parent().unwrap_or(&self.top);
        fs::create_dir_all(folder)?;
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        let part = folder.join(format!(".{}-{number}.part", std::process::id()));
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, &place)?;
        // The name is on the disk as well.
        File::open(folder)?.sync_all()?;
        Ok(())
    }

    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError> {
        match fs::read(self.place(firm, path)?) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error.into()),
        }
    }
}
