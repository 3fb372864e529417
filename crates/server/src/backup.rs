//! A copy of an office while it is open, and an office from a copy.
//!
//! A copy is a folder laid out as the office's own: the database by SQLite's own online copy, then the photographs and
//! recordings that the copied database speaks of, the log's public files, its public key and its locked one. The list of
//! what is in it is written last: a copy without one is none.

mod restore;

use std::{
    fs::{self, File},
    io::{self, Read as _, Write as _},
    path::{Path, PathBuf},
};

use chrono::{DateTime, Utc};
use model::Sha256;
use rusqlite::{Connection, OpenFlags, backup::Backup};
use serde::{Deserialize, Serialize};
use sha2::Digest as _;

pub use restore::{RestoreError, Restored, restore_office};

/// The list of what is in a copy.
const LIST: &str = "backup.json";
/// The form of that list.
const FORM: &str = "rimside.backup/1";
const DATABASE: &str = "office.sqlite";
/// The log's keys, the locked one last.
const KEYS: [&str; 2] = ["log.pub", "log.key.pem"];
/// What an office may have besides: whose it is, and who signs its heads with it.
const BESIDES: [&str; 2] = ["firm", "witnesses"];

/// What is in a copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BackedUp {
    form: String,
    /// When it was begun.
    pub at: DateTime<Utc>,
    /// Entries of devices.
    pub entries: u64,
    /// Entries of the log.
    pub logged: u64,
    /// Photographs and recordings.
    pub blobs: u64,
    /// Those of which the office itself has other bytes or none.
    pub damaged: Vec<Sha256>,
}

/// Why there is no copy.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BackupError {
    /// The place is taken.
    #[error("{folder} is not empty: a copy has a folder of its own")]
    NotEmpty {
        /// Which.
        folder: String,
    },
    /// A file.
    #[error("{file}: {cause}")]
    File {
        /// Which.
        file: String,
        /// Why.
        #[source]
        cause: io::Error,
    },
    /// The database.
    #[error("the database: {0}")]
    Database(#[from] rusqlite::Error),
    /// Others kept writing, and the copy did not come to an end.
    #[error("the database was not copied: it is locked by another program")]
    Locked,
    /// The list.
    #[error("the list of what is in the copy: {0}")]
    List(#[from] serde_json::Error),
}

/// Copies an office, which may be open, into a new folder.
///
/// # Errors
/// [`BackupError`]; there is no copy then, whatever lies in the folder.
pub fn back_up_office(office: &Path, to: &Path, now: DateTime<Utc>) -> Result<BackedUp, BackupError> {
    if !begin_folder(to).map_err(|cause| told(to, cause))? {
        return Err(BackupError::NotEmpty { folder: to.display().to_string() });
    }
    // The signed head before the rows: the rows may then know more than the head, never less.
    for path in list_files(&office.join("public")).map_err(|cause| told(office, cause))? {
        let (from, place) = (office.join("public").join(&path), to.join("public").join(&path));
        copy(&from, &place).map_err(|cause| told(&from, cause))?;
    }
    let db = copy_database(&office.join(DATABASE), &to.join(DATABASE))?;
    let count = |table: &str| db.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get::<_, u64>(0));
    let (entries, logged) = (count("entries")?, count("log_entries")?);
    let (mut damaged, blobs) = (Vec::new(), list_blobs(&db)?);
    for blob in &blobs {
        let path = blob.path();
        let is_whole = match copy(&office.join(&path), &to.join(&path)) {
            Ok(got) => got == blob.sha256,
            Err(error) if error.kind() == io::ErrorKind::NotFound => false,
            Err(cause) => return Err(told(&to.join(&path), cause)),
        };
        if !is_whole {
            damaged.push(blob.sha256);
        }
    }
    for name in KEYS {
        let private = name == "log.key.pem";
        copy_as(&office.join(name), &to.join(name), private).map_err(|cause| told(&office.join(name), cause))?;
    }
    for name in BESIDES.iter().filter(|name| office.join(name).is_file()) {
        copy(&office.join(name), &to.join(name)).map_err(|cause| told(&office.join(name), cause))?;
    }
    // One file, without a companion that could be forgotten.
    db.pragma_update(None, "journal_mode", "DELETE")?;
    drop(db);
    let list = BackedUp { form: FORM.to_owned(), at: now, entries, logged, blobs: blobs.len() as u64, damaged };
    let text = serde_json::to_vec_pretty(&list)?;
    // What the list speaks of is on the disk before it is.
    sync_folders(to).map_err(|cause| told(to, cause))?;
    let write = |file: &Path| {
        let mut list = create(file, false)?;
        list.write_all(&text)?;
        list.sync_all()?;
        File::open(to)?.sync_all()
    };
    write(&to.join(LIST)).map_err(|cause| told(&to.join(LIST), cause))?;
    Ok(list)
}

fn told(file: &Path, cause: io::Error) -> BackupError {
    BackupError::File { file: file.display().to_string(), cause }
}

/// Makes a folder; whether it was empty.
fn begin_folder(folder: &Path) -> io::Result<bool> {
    fs::create_dir_all(folder)?;
    Ok(fs::read_dir(folder)?.next().is_none())
}

/// In one step, while others read and write: what was committed before it began is in the copy.
fn copy_database(from: &Path, to: &Path) -> Result<Connection, BackupError> {
    let source = Connection::open_with_flags(from, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    source.busy_timeout(std::time::Duration::from_secs(30))?;
    let mut copy = Connection::open(to)?;
    let step = Backup::new(&source, &mut copy)?.step(-1)?;
    if step != rusqlite::backup::StepResult::Done {
        return Err(BackupError::Locked);
    }
    Ok(copy)
}

/// A photograph or recording that the database speaks of.
struct Blob {
    firm: String,
    sha256: Sha256,
    length: u64,
}

impl Blob {
    /// Below the office's folder.
    fn path(&self) -> PathBuf {
        let name = self.sha256.to_string();
        ["blobs", "whole", &self.firm, &name[..2], &name].iter().collect()
    }
}

fn list_blobs(db: &Connection) -> Result<Vec<Blob>, rusqlite::Error> {
    let mut query = db.prepare("SELECT firm, sha256, length FROM blobs ORDER BY firm, sha256")?;
    let rows = query
        .query_map([], |row| Ok(Blob { firm: row.get(0)?, sha256: Sha256::new(row.get(1)?), length: row.get(2)? }))?;
    rows.collect()
}

/// Every file below a folder, by its path from there; none that is still being written.
fn list_files(top: &Path) -> io::Result<Vec<PathBuf>> {
    let (mut files, mut folders) = (Vec::new(), Vec::new());
    // A log that has shown nothing yet has no files.
    folders.extend(top.is_dir().then(PathBuf::new));
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(top.join(&folder))? {
            let entry = entry?;
            let path = folder.join(entry.file_name());
            if entry.file_type()?.is_dir() {
                folders.push(path);
            } else if !entry.file_name().to_string_lossy().starts_with('.') {
                files.push(path);
            }
        }
    }
    // Heads before tiles: whatever a head covers was there before it.
    files.sort_by_key(|path| !path.ends_with(log::CHECKPOINT));
    Ok(files)
}

/// Copies a file, which is on the disk then; the digest of what was copied.
fn copy(from: &Path, to: &Path) -> io::Result<Sha256> {
    copy_as(from, to, false)
}

fn copy_as(from: &Path, to: &Path, private: bool) -> io::Result<Sha256> {
    let mut source = File::open(from)?;
    if let Some(folder) = to.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut target = create(to, private)?;
    let (mut digest, mut buffer) = (sha2::Sha256::new(), vec![0; 1 << 18]);
    loop {
        let read = source.read(&mut buffer)?;
        if read == 0 {
            break;
        }
        digest.update(&buffer[..read]);
        target.write_all(&buffer[..read])?;
    }
    target.sync_all()?;
    Ok(Sha256::new(digest.finalize().into()))
}

#[cfg(unix)]
fn create(file: &Path, private: bool) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt as _;
    let mode = if private { 0o600 } else { 0o644 };
    fs::OpenOptions::new().write(true).create_new(true).mode(mode).open(file)
}

#[cfg(not(unix))]
fn create(file: &Path, _private: bool) -> io::Result<File> {
    File::create_new(file)
}

/// Every name below a folder is on the disk then.
fn sync_folders(top: &Path) -> io::Result<()> {
    let mut folders = vec![top.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder)? {
            let entry = entry?;
            if entry.file_type()?.is_dir() {
                folders.push(entry.path());
            }
        }
        File::open(&folder)?.sync_all()?;
    }
    Ok(())
}
