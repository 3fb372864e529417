//! Photographs and recordings as files, and the pieces of those that are still coming.

use std::{
    collections::HashSet,
    fs::{self, File, OpenOptions},
    io::{self, BufReader, Read as _, Seek as _, SeekFrom, Write as _},
    path::{Path, PathBuf},
    sync::{Mutex, PoisonError},
    time::SystemTime,
};

use bytes::Bytes;
use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};
use sha2::Digest as _;
use sync::{PIECE_BYTES, pieces};

use super::{FirmId, StoreError, running::Runs};

/// Bytes with their digest.
#[derive(Debug, Clone)]
pub struct Digested {
    /// The bytes.
    pub bytes: Bytes,
    /// Their digest, which whoever made this has reckoned.
    pub sha256: Sha256,
}

impl Digested {
    /// These bytes.
    pub fn of(bytes: Bytes) -> Self {
        Self { sha256: Sha256::of(&bytes), bytes }
    }
}

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
    /// Puts a piece in its place. It may be on its way there still when this returns, and it may be lost again while the
    /// office falls over: then it is asked for again. Whether it could be put is told with the next one at the latest.
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        piece: &Digested,
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

/// A folder of files and one of those that are coming. What is coming is one file, into which each piece is written at its
/// place, and beside it a mark for each piece that is there: so a whole file is written once, and its name is all that changes.
#[derive(Debug)]
pub struct FolderBlobs {
    whole: PathBuf,
    coming: PathBuf,
    running: Runs<()>,
    /// Folders whose own names are on the disk.
    lasting: Mutex<HashSet<PathBuf>>,
}

/// The name of a file that is coming.
const COMING: &str = "bytes";

impl FolderBlobs {
    /// The files below this folder, which is made where it is missing.
    ///
    /// # Errors
    /// A folder that cannot be made.
    pub fn open(top: &Path) -> Result<Self, StoreError> {
        let (whole, coming) = (top.join("whole"), top.join("coming"));
        fs::create_dir_all(&whole)?;
        fs::create_dir_all(&coming)?;
        Ok(Self { whole, coming, running: Runs::default(), lasting: Mutex::default() })
    }

    fn place(&self, firm: &FirmId, sha256: &Sha256) -> PathBuf {
        let name = sha256.to_string();
        self.whole.join(firm.as_str()).join(&name[..2]).join(name)
    }

    fn coming(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> PathBuf {
        self.coming.join(firm.as_str()).join(device.as_str()).join(sha256.to_string())
    }

    /// The digest of the whole of it.
    fn digest(&self, folder: &Path, file: &File, length: u64) -> Result<Sha256, StoreError> {
        if let Some((digest, _)) = self.running.finish(&run_name(folder), pieces(length))? {
            return Ok(digest);
        }
        Ok(Sha256::new(read_again(file)?.finalize().into()))
    }

    /// A folder's name is on the disk when this returns; once is enough.
    fn make_last(&self, folder: &Path) -> Result<(), StoreError> {
        let lasting = || self.lasting.lock().unwrap_or_else(PoisonError::into_inner);
        if !lasting().contains(folder) {
            for above in folder.ancestors().skip(1).take_while(|above| above.starts_with(&self.whole)) {
                File::open(above)?.sync_all()?;
            }
            lasting().insert(folder.to_owned());
        }
        Ok(())
    }

    fn throw_away(&self, folder: &Path) -> Result<(), StoreError> {
        self.running.forget(&run_name(folder));
        if_there(fs::remove_dir_all(folder))?;
        Ok(())
    }
}

fn run_name(folder: &Path) -> String {
    folder.display().to_string()
}

fn read_again(mut file: &File) -> io::Result<sha2::Sha256> {
    file.seek(SeekFrom::Start(0))?;
    let (mut digest, mut buffer) = (sha2::Sha256::new(), vec![0; PIECE_BYTES as usize]);
    loop {
        let read = file.read(&mut buffer)?;
        if read == 0 {
            return Ok(digest);
        }
        digest.update(&buffer[..read]);
    }
}

fn if_there<T>(read: io::Result<T>) -> Result<Option<T>, StoreError> {
    match read {
        Ok(value) => Ok(Some(value)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// Has the system begin to bring these bytes to the disk, while the next piece comes: at the end there is little to wait
/// for. Only a wish: what must be there is waited for where it is said to be there.
#[cfg(target_os = "linux")]
fn begin_to_last(file: &File, from: u64, length: usize) {
    use rustix::fs::{Advice, fadvise};
    // That they are not read soon makes the system write them now.
    let _ = fadvise(file, from, std::num::NonZeroU64::new(length as u64), Advice::DontNeed);
}

/// Elsewhere it is waited for at the end.
#[cfg(not(target_os = "linux"))]
fn begin_to_last(_file: &File, _from: u64, _length: usize) {}

/// Opens a file that is coming, for whoever opens it alone, in any process: a piece that is late must not be written into a
/// file that became whole meanwhile.
fn open_alone(file: &Path, options: &OpenOptions) -> io::Result<File> {
    loop {
        let opened = options.open(file)?;
        opened.lock()?;
        if is_still(file, &opened)? {
            return Ok(opened);
        }
    }
}

/// Whether the file of this name is still the one that was opened.
#[cfg(unix)]
fn is_still(file: &Path, opened: &File) -> io::Result<bool> {
    use std::os::unix::fs::MetadataExt as _;
    let opened = opened.metadata()?;
    match fs::metadata(file) {
        Ok(named) => Ok((named.dev(), named.ino()) == (opened.dev(), opened.ino())),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}

/// Where a file that is open cannot be renamed, it is the one.
#[cfg(not(unix))]
fn is_still(_file: &Path, _opened: &File) -> io::Result<bool> {
    Ok(true)
}

impl Blobs for FolderBlobs {
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        piece: &Digested,
    ) -> Result<(), StoreError> {
        let folder = self.coming(firm, device, sha256);
        fs::create_dir_all(&folder)?;
        let options = OpenOptions::new().create(true).write(true).truncate(false).clone();
        let mut file = open_alone(&folder.join(COMING), &options)?;
        let mark = folder.join(nth.to_string());
        // Written anew, it is not there until it is there whole.
        if_there(fs::remove_file(&mark))?;
        file.seek(SeekFrom::Start(nth.saturating_mul(PIECE_BYTES)))?;
        file.write_all(&piece.bytes)?;
        begin_to_last(&file, nth.saturating_mul(PIECE_BYTES), piece.bytes.len());
        fs::write(mark, piece.bytes.len().to_string())?;
        self.running.go_on(&run_name(&folder), nth, (), &piece.bytes, None)
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
            self.throw_away(&coming)?;
            return Ok(Joined::Whole);
        }
        // A file without bytes has no piece that would have begun it.
        if length == 0 {
            fs::create_dir_all(&coming)?;
        }
        let options = OpenOptions::new().read(true).write(true).create(length == 0).truncate(false).clone();
        let Some(file) = if_there(open_alone(&coming.join(COMING), &options))? else { return Ok(Joined::Missing) };
        for nth in 0..pieces(length) {
            let mark = coming.join(nth.to_string());
            let Some(told) = if_there(fs::read_to_string(&mark))? else { return Ok(Joined::Missing) };
            if told.parse() != Ok((length - nth * PIECE_BYTES).min(PIECE_BYTES)) {
                if_there(fs::remove_file(mark))?;
                return Ok(Joined::Missing);
            }
        }
        // What a longer piece may have left behind the end.
        file.set_len(length)?;
        if self.digest(&coming, &file, length)? != *sha256 {
            self.throw_away(&coming)?;
            return Ok(Joined::OtherBytes);
        }
        file.sync_all()?;
        let folder = place.parent().unwrap_or(&self.whole);
        fs::create_dir_all(folder)?;
        fs::rename(coming.join(COMING), &place)?;
        File::open(folder)?.sync_all()?;
        self.make_last(folder)?;
        self.throw_away(&coming)?;
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
