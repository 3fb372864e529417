//! Photographs and recordings as files, and the pieces of those that are still coming.

use std::{
    fs::{self, File},
    io::{self, BufReader, Read as _, Seek as _, SeekFrom, Write as _},
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
    time::SystemTime,
};

use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};
use sha2::Digest as _;
use sync::{PIECE_BYTES, pieces};

use super::{FirmId, StoreError};

/// What became of pieces that were put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joined {
    /// They are the file, which is on the disk.
    Whole,
    /// One is missing or has another length than it must have.
    Missing,
    /// Together they are other bytes. They are thrown away.
    OtherBytes,
}

/// Files by their digest, each firm's apart. Pieces are each device's own until they are put together, so that nobody's
/// wrong piece spoils another's.
pub trait Blobs: Send + Sync {
    /// Puts a piece in its place. It may be lost again while the office falls over: then it is asked for again.
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        bytes: &[u8],
    ) -> Result<(), StoreError>;

    /// The pieces that are there, in their order.
    fn staged(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError>;

    /// Puts the pieces of so many bytes together.
    fn join(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError>;

    /// A piece of a file that is whole; none where there is no such file. Beyond its end it is empty.
    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError>;

    /// Throws away pieces that nobody has added to since then. How many files they would have become.
    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError>;
}

/// A folder of files and one of pieces.
#[derive(Debug)]
pub struct FolderBlobs {
    whole: PathBuf,
    coming: PathBuf,
    written: AtomicU64,
}

impl FolderBlobs {
    /// The files below this folder, which is made where it is missing.
    ///
    /// # Errors
    /// A folder that cannot be made.
    pub fn open(top: &Path) -> Result<Self, StoreError> {
        let (whole, coming) = (top.join("whole"), top.join("coming"));
        fs::create_dir_all(&whole)?;
        fs::create_dir_all(&coming)?;
        Ok(Self { whole, coming, written: AtomicU64::new(0) })
    }

    fn place(&self, firm: &FirmId, sha256: &Sha256) -> PathBuf {
        let name = sha256.to_string();
        self.whole.join(firm.as_str()).join(&name[..2]).join(name)
    }

    fn coming(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> PathBuf {
        self.coming.join(firm.as_str()).join(device.as_str()).join(sha256.to_string())
    }

    fn part(&self, folder: &Path) -> PathBuf {
        let number = self.written.fetch_add(1, Ordering::Relaxed);
        folder.join(format!(".{}-{number}.part", std::process::id()))
    }
}

fn if_there<T>(read: io::Result<T>) -> Result<Option<T>, StoreError> {
    match read {
        Ok(value) => Ok(Some(value)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error.into()),
    }
}

impl Blobs for FolderBlobs {
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        bytes: &[u8],
    ) -> Result<(), StoreError> {
        let folder = self.coming(firm, device, sha256);
        fs::create_dir_all(&folder)?;
        let part = self.part(&folder);
        fs::write(&part, bytes)?;
        Ok(fs::rename(part, folder.join(nth.to_string()))?)
    }

    fn staged(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError> {
        let Some(entries) = if_there(fs::read_dir(self.coming(firm, device, sha256)))? else { return Ok(Vec::new()) };
        let mut numbers = Vec::new();
        for entry in entries {
            numbers.extend(entry?.file_name().to_str().and_then(|name| name.parse::<u64>().ok()));
        }
        numbers.sort_unstable();
        Ok(numbers)
    }

    fn join(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError> {
        let (place, coming) = (self.place(firm, sha256), self.coming(firm, device, sha256));
        if place.exists() {
            // Another device was faster with the same bytes.
            if_there(fs::remove_dir_all(&coming))?;
            return Ok(Joined::Whole);
        }
        let folder = place.parent().unwrap_or(&self.whole);
        fs::create_dir_all(folder)?;
        let part = self.part(folder);
        let mut file = File::create(&part)?;
        let mut digest = sha2::Sha256::new();
        for nth in 0..pieces(length) {
            let Some(bytes) = if_there(fs::read(coming.join(nth.to_string())))? else {
                fs::remove_file(&part)?;
                return Ok(Joined::Missing);
            };
            if bytes.len() as u64 != (length - nth * PIECE_BYTES).min(PIECE_BYTES) {
                fs::remove_file(&part)?;
                if_there(fs::remove_file(coming.join(nth.to_string())))?;
                return Ok(Joined::Missing);
            }
            digest.update(&bytes);
            file.write_all(&bytes)?;
        }
        if Sha256::new(digest.finalize().into()) != *sha256 {
            fs::remove_file(&part)?;
            if_there(fs::remove_dir_all(&coming))?;
            return Ok(Joined::OtherBytes);
        }
        file.sync_all()?;
        fs::rename(&part, &place)?;
        File::open(folder)?.sync_all()?;
        if let Some(above) = folder.parent() {
            File::open(above)?.sync_all()?;
        }
        if_there(fs::remove_dir_all(&coming))?;
        Ok(Joined::Whole)
    }

    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError> {
        let Some(mut file) = if_there(File::open(self.place(firm, sha256)))? else { return Ok(None) };
        let start = nth.saturating_mul(PIECE_BYTES);
        let mut bytes = Vec::new();
        if start < file.metadata()?.len() {
            file.seek(SeekFrom::Start(start))?;
            BufReader::new(file).take(PIECE_BYTES).read_to_end(&mut bytes)?;
        }
        Ok(Some(bytes))
    }

    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError> {
        let mut count = 0;
        let since = SystemTime::from(unmoved_since);
        for firm in fs::read_dir(&self.coming)? {
            for device in fs::read_dir(firm?.path())? {
                for one in fs::read_dir(device?.path())? {
                    let one = one?;
                    if one.metadata()?.modified()? < since {
                        if_there(fs::remove_dir_all(one.path()))?;
                        count += 1;
                    }
                }
            }
        }
        Ok(count)
    }
}
