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
    /// Writes a file beside its place.
    fn write_beside(&self, folder: &Path, bytes: &[u8]) -> io::Result<(PathBuf, File)> {
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        let part = folder.join(format!(".{}-{number}.part", std::process::id()));
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        Ok((part, file))
    }

    /// Puts a file in its place, whole or not at all, and on the disk.
    fn lay(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        let place = self.place(firm, path)?;
        let folder = place.parent().unwrap_or(&self.top);
        // A folder that is new has a name of its own in the one above.
        let new = folder.ancestors().take_while(|above| !above.is_dir()).count();
        fs::create_dir_all(folder)?;
        let (part, file) = self.write_beside(folder, bytes)?;
        file.sync_all()?;
        fs::rename(&part, &place)?;
        for named in folder.ancestors().take(new + 1) {
            File::open(named)?.sync_all()?;
        }
        Ok(())
    }

    /// Puts a file in its place, whole or not at all; a machine that falls over may lose it.
    fn lay_soon(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        let place = self.place(firm, path)?;
        let folder = place.parent().unwrap_or(&self.top);
        let written = self.write_beside(folder, bytes);
        let (part, _) = match written {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                fs::create_dir_all(folder)?;
                self.write_beside(folder, bytes)?
            }
            written => written?,
        };
        Ok(put_over(&part, &place)?)
    }
}

/// Puts a file in the place of another one, or where none is. Renaming over a file would have some disks brought up to date
/// first, for whoever does not ask for that himself.
#[cfg(target_os = "linux")]
fn put_over(part: &Path, place: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    match renameat_with(CWD, part, CWD, place, RenameFlags::EXCHANGE) {
        Ok(()) => fs::remove_file(part),
        // None is there, or the disk cannot.
        Err(_) => fs::rename(part, place),
    }
}

#[cfg(not(target_os = "linux"))]
fn put_over(part: &Path, place: &Path) -> io::Result<()> {
    fs::rename(part, place)
}

impl Shelf for FolderShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.lay(firm, path, bytes)
    }

    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        files.iter().try_for_each(|(path, bytes)| self.lay_soon(firm, path, bytes))
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
