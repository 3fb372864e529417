//! The shelf as a folder, which any web server can serve as it is.

use std::{
    collections::BTreeSet,
    fs::{self, File},
    io::{self, Write as _},
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
    thread,
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

/// So many files are synced side by side: the disk does them in one go.
const SIDE_BY_SIDE: usize = 8;

impl FolderShelf {
    /// Puts a file in its place; its name is on the disk only when the folders that come back are.
    fn lay(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<Vec<PathBuf>, StoreError> {
        let place = self.place(firm, path)?;
        let folder = place.parent().unwrap_or(&self.top);
        // A folder that is new has a name of its own in the one above.
        let new = folder.ancestors().take_while(|above| !above.is_dir()).count();
        let folders = folder.ancestors().take(new + 1).map(Path::to_owned).collect();
        fs::create_dir_all(folder)?;
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        let part = folder.join(format!(".{}-{number}.part", std::process::id()));
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, &place)?;
        Ok(folders)
    }
}

/// Does something to each of them, some at a time.
fn side_by_side<T: Sync, R: Send>(
    all: &[T],
    work: impl Fn(&T) -> Result<R, StoreError> + Sync,
) -> Result<Vec<R>, StoreError> {
    if let [one] = all {
        return Ok(vec![work(one)?]);
    }
    let mut done = Vec::with_capacity(all.len());
    for some in all.chunks(SIDE_BY_SIDE) {
        let work = &work;
        let results: Vec<_> = thread::scope(|scope| {
            let begun: Vec<_> = some.iter().map(|one| scope.spawn(move || work(one))).collect();
            begun.into_iter().map(thread::ScopedJoinHandle::join).collect()
        });
        for result in results {
            done.push(result.map_err(|_| StoreError::Failed("a file was not written to its end".to_owned()))??);
        }
    }
    Ok(done)
}

impl Shelf for FolderShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.put_all(firm, &[(path, bytes)])
    }

    fn put_all(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        let folders = side_by_side(files, |(path, bytes)| self.lay(firm, path, bytes))?;
        // The names are on the disk as well: the first of these takes the others along.
        for folder in folders.into_iter().flatten().collect::<BTreeSet<_>>() {
            File::open(folder)?.sync_all()?;
        }
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
