//! An office from a copy: everything is read and held against what it must be before it is said to be good.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use chrono::{DateTime, Utc};
use log::{AuditFault, Checkpoint, LogKey, Tree, audit};
use model::Sha256;
use rusqlite::Connection;

use super::{
    BESIDES, BackedUp, DATABASE, FORM, KEYS, LIST, begin_folder, copy, copy_as, list_blobs, list_files, sync_folders,
};
use crate::{
    office::LogFolder,
    store::{LogRows as _, SqliteRows, StoreError},
};

/// What an office that was restored has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// When the copy was begun.
    pub at: DateTime<Utc>,
    /// Entries of devices.
    pub entries: u64,
    /// Entries of the log.
    pub logged: u64,
    /// Photographs and recordings.
    pub blobs: u64,
    /// Those that the office had lost already when it was copied.
    pub damaged: Vec<Sha256>,
}

/// Why an office is not restored.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RestoreError {
    /// The place is taken.
    #[error("{folder} is not empty: an office is restored into a folder of its own")]
    NotEmpty {
        /// Which.
        folder: String,
    },
    /// No copy.
    #[error("{folder} is no whole copy of an office: {why}")]
    NoCopy {
        /// Which.
        folder: String,
        /// What is wrong.
        why: String,
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
    /// A file with other bytes.
    #[error("{file}: got bytes with the digest {got}, expected {expected}")]
    Spoilt {
        /// Which.
        file: String,
        /// Its digest.
        got: Sha256,
        /// What the database says.
        expected: Sha256,
    },
    /// The database.
    #[error("the database of the copy: {0}")]
    Database(String),
    /// The log.
    #[error("the log of the copy: {0}")]
    Log(String),
    /// Somebody has seen more of the log than the copy has.
    #[error(
        "the log of the copy has {held} entries, and a head over {seen} was shown: to go on from {held} would be a second \
         history under one key"
    )]
    Behind {
        /// What the copy has.
        held: u64,
        /// What was shown.
        seen: u64,
    },
}

/// Makes an office of a copy in a new folder. `seen` is the newest signed head that anybody outside is known to have.
///
/// The office begins a new count of what it took, so that devices tell it again what it lost since the copy.
///
/// # Errors
/// [`RestoreError`]; nothing stays in the folder then.
pub fn restore_office(copy: &Path, to: &Path, seen: Option<&Checkpoint>) -> Result<Restored, RestoreError> {
    if !begin_folder(to).map_err(|cause| told(to, cause))? {
        return Err(RestoreError::NotEmpty { folder: to.display().to_string() });
    }
    let restored = bring_over(copy, to, seen);
    if restored.is_err() {
        // What was found wrong is told; what could not be removed is found by whoever looks.
        let _ = fs::remove_dir_all(to);
    }
    restored
}

fn told(file: &Path, cause: io::Error) -> RestoreError {
    RestoreError::File { file: file.display().to_string(), cause }
}

fn bring_over(from: &Path, to: &Path, seen: Option<&Checkpoint>) -> Result<Restored, RestoreError> {
    let list = read_list(from)?;
    let bring = |path: &Path, private| {
        copy_as(&from.join(path), &to.join(path), private).map_err(|cause| told(&from.join(path), cause))
    };
    bring(Path::new(DATABASE), false)?;
    for name in BESIDES.iter().filter(|name| from.join(name).is_file()) {
        bring(Path::new(name), false)?;
    }
    for name in KEYS {
        bring(Path::new(name), name == "log.key.pem")?;
    }
    for path in list_files(&from.join("public")).map_err(|cause| told(from, cause))? {
        bring(&Path::new("public").join(path), false)?;
    }
    let db = Connection::open(to.join(DATABASE)).map_err(|error| database(&error))?;
    check_database(&db, &list)?;
    for blob in list_blobs(&db).map_err(|error| database(&error))? {
        if list.damaged.contains(&blob.sha256) {
            continue;
        }
        let path: PathBuf = blob.path();
        let got = copy(&from.join(&path), &to.join(&path)).map_err(|cause| told(&from.join(&path), cause))?;
        let length = fs::metadata(to.join(&path)).map_err(|cause| told(&path, cause))?.len();
        if got != blob.sha256 || length != blob.length {
            return Err(RestoreError::Spoilt { file: path.display().to_string(), got, expected: blob.sha256 });
        }
    }
    // What the office had lost before the copy is asked for again where a device still has it.
    begin_new_count(&db, &list).map_err(|error| database(&error))?;
    drop(db);
    check_log(to, seen)?;
    sync_folders(to).map_err(|cause| told(to, cause))?;
    Ok(Restored {
        at: list.at,
        entries: list.entries,
        logged: list.logged,
        blobs: list.blobs - list.damaged.len() as u64,
        damaged: list.damaged,
    })
}

fn database(error: &rusqlite::Error) -> RestoreError {
    RestoreError::Database(error.to_string())
}

fn read_list(from: &Path) -> Result<BackedUp, RestoreError> {
    let refused = |why: String| RestoreError::NoCopy { folder: from.display().to_string(), why };
    let text = fs::read(from.join(LIST)).map_err(|error| refused(format!("{LIST}: {error}")))?;
    let list: BackedUp = serde_json::from_slice(&text).map_err(|error| refused(format!("{LIST}: {error}")))?;
    if list.form != FORM {
        return Err(refused(format!("got the form {:?}, expected {FORM:?}", list.form)));
    }
    Ok(list)
}

/// Every page of it can be read, it hangs together, and it has as many rows as were counted.
fn check_database(db: &Connection, list: &BackedUp) -> Result<(), RestoreError> {
    let said: String =
        db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0)).map_err(|error| database(&error))?;
    if said != "ok" {
        return Err(RestoreError::Database(said));
    }
    for (table, expected) in [("entries", list.entries), ("log_entries", list.logged), ("blobs", list.blobs)] {
        let got: u64 = db
            .query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get(0))
            .map_err(|error| database(&error))?;
        if got != expected {
            return Err(RestoreError::Database(format!("{table}: got {got} rows, expected {expected}")));
        }
    }
    Ok(())
}

/// Without its name, a count is begun anew by the first device that asks.
fn begin_new_count(db: &Connection, list: &BackedUp) -> Result<(), rusqlite::Error> {
    db.execute("DELETE FROM counts", [])?;
    for sha256 in &list.damaged {
        db.execute("DELETE FROM blobs WHERE sha256 = ?1", [sha256.as_bytes()])?;
        let named = sha256.to_string();
        // Whoever wrote of it may still have it.
        db.execute(
            "INSERT INTO wanted (firm, device, sha256)
             SELECT DISTINCT firm, device, ?1 FROM entries WHERE instr(body, ?2) > 0 ON CONFLICT DO NOTHING",
            (sha256.as_bytes(), named),
        )?;
    }
    Ok(())
}

/// The log's files are those that its key signed, its rows begin with the same, and nobody was shown more.
fn check_log(office: &Path, seen: Option<&Checkpoint>) -> Result<(), RestoreError> {
    let refused = |why: String| RestoreError::Log(why);
    let stored = |error: StoreError| RestoreError::Log(error.to_string());
    let text = fs::read_to_string(office.join(KEYS[0])).map_err(|cause| told(&office.join(KEYS[0]), cause))?;
    let key = LogKey::parse(text.trim()).map_err(|error| refused(error.to_string()))?;
    let rows = SqliteRows::open(&office.join(DATABASE)).map_err(stored)?;
    let firm = LogFolder::read_firm(office).map_err(|error| refused(error.to_string()))?;
    let mut tree = Tree::default();
    for entry in rows.entries(&firm, 0, u64::from(u32::MAX)).map_err(stored)? {
        tree.append(&entry);
    }
    if seen.is_some_and(|seen| !seen.names(&key) || !seen.is_signed_by(&key)) {
        return Err(refused(format!("the head that was seen is another log's than {}", key.name())));
    }
    if let Some(seen) = seen.filter(|seen| seen.size() > tree.size()) {
        return Err(RestoreError::Behind { held: tree.size(), seen: seen.size() });
    }
    let public = office.join("public").join(firm.as_str());
    let audited = match audit(&key, None, |path| fs::read(public.join(path))) {
        Ok(audited) => audited.checkpoint,
        // A log that has shown nothing yet.
        Err(AuditFault::Read { cause, .. }) if cause.kind() == io::ErrorKind::NotFound && tree.size() == 0 => {
            return Ok(());
        }
        Err(fault) => return Err(refused(fault.to_string())),
    };
    for head in [Some(&audited), seen].into_iter().flatten() {
        if tree.root_at(head.size()) != Some(head.root()) {
            return Err(refused(format!("its rows are not those of the signed head over {} entries", head.size())));
        }
    }
    Ok(())
}
