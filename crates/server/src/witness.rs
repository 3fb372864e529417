//! A witness: signs the heads of others' logs, with the time, and never two trees of one log.
//!
//! What it signed last is on the disk before the signature leaves, and is read again under a lock that the system lets go of
//! when a process dies: two processes, or one that died on the way, sign one tree. A folder that is put back from an old copy
//! has forgotten what it signed: then the witness needs a new key.

mod http;

use std::{
    fs::{self, File},
    path::{Path, PathBuf},
    sync::Arc,
};

use chrono::{DateTime, Utc};
use log::{AddCheckpoint, Checkpoint, LogKey, WitnessRefusal};
use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
use seal::{
    digest::Sha256Digest,
    key::PrivateKey,
    key_file::{KeyFileError, Passphrase, lock_key, unlock_key},
    receipt::{NoteKeyError, WitnessKey},
};

pub use http::witness_routes;

use crate::store::{FirmId, FolderShelf, Shelf, StoreError};

/// Where the shelf has what was signed last, a file for each log.
const SIGNED: &str = "signed";
/// Where it has the logs' keys.
const LOGS: &str = "logs";

/// Why a witness's folder cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WitnessFolderError {
    /// The folder holds something.
    #[error("{folder} is not empty: a witness begins in a folder of its own")]
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
        cause: std::io::Error,
    },
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The witness's name or key.
    #[error("{file}: {cause}")]
    Key {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: NoteKeyError,
    },
    /// The locked key.
    #[error("the witness's key cannot be opened: {0}")]
    Locked(#[from] KeyFileError),
    /// The key in the folder is another than the witness's.
    #[error("witness.key.pem holds another key than witness.pub names")]
    OtherKey,
    /// A log of that name is watched already, with another key.
    #[error("{log} is watched already, with another key")]
    OtherLog {
        /// The log's name.
        log: String,
    },
}

/// A witness's folder.
pub struct WitnessFolder {
    top: PathBuf,
    key: WitnessKey,
    shelf: Arc<FolderShelf>,
}

impl WitnessFolder {
    /// Begins a witness in an empty folder under this name, with a key of its own from a seed that is fit for keys.
    ///
    /// # Errors
    /// [`WitnessFolderError`].
    pub fn found(
        folder: &Path,
        name: &str,
        passphrase: &Passphrase,
        seed: [u8; 32],
    ) -> Result<Self, WitnessFolderError> {
        let mut rng = ChaCha20Rng::from_seed(seed);
        let key = PrivateKey::generate(&mut rng);
        let public = WitnessKey::new(name, key.public())
            .map_err(|cause| WitnessFolderError::Key { file: "the witness's name".to_owned(), cause })?;
        let told = |file: &Path| {
            let file = file.display().to_string();
            move |cause| WitnessFolderError::File { file, cause }
        };
        fs::create_dir_all(folder).map_err(told(folder))?;
        if fs::read_dir(folder).map_err(told(folder))?.next().is_some() {
            return Err(WitnessFolderError::NotEmpty { folder: folder.display().to_string() });
        }
        let locked = lock_key(&key, passphrase, &mut rng)?;
        let (private, named) = (folder.join("witness.key.pem"), folder.join("witness.pub"));
        write_private(&private, locked.as_bytes()).map_err(told(&private))?;
        fs::write(&named, format!("{}\n", public.to_text())).map_err(told(&named))?;
        // The folders are on the disk before anything is signed: what is put into them later cannot vanish with them.
        for part in [SIGNED, LOGS] {
            let part = folder.join("kept").join(part);
            fs::create_dir_all(&part).map_err(told(&part))?;
        }
        for part in [folder.join("kept"), folder.to_owned()] {
            File::open(&part).and_then(|part| part.sync_all()).map_err(told(&part))?;
        }
        Self::open(folder)
    }

    /// Opens a witness's folder. Its key stays locked.
    ///
    /// # Errors
    /// [`WitnessFolderError`].
    pub fn open(folder: &Path) -> Result<Self, WitnessFolderError> {
        let file = folder.join("witness.pub");
        let name = || file.display().to_string();
        let text = fs::read_to_string(&file).map_err(|cause| WitnessFolderError::File { file: name(), cause })?;
        let key = WitnessKey::parse(text.trim()).map_err(|cause| WitnessFolderError::Key { file: name(), cause })?;
        let shelf = Arc::new(FolderShelf::open(&folder.join("kept"))?);
        Ok(Self { top: folder.to_owned(), key, shelf })
    }

    /// The witness's public key.
    pub const fn key(&self) -> &WitnessKey {
        &self.key
    }

    /// Watches a log from now on. False where it is watched already.
    ///
    /// # Errors
    /// [`WitnessFolderError`]: a log of that name is watched with another key.
    pub fn watch(&self, log: &LogKey) -> Result<bool, WitnessFolderError> {
        let place = place_of(log.name());
        match self.shelf.read(&part(LOGS), &place)? {
            Some(text) if text == log.to_text().as_bytes() => Ok(false),
            Some(_) => Err(WitnessFolderError::OtherLog { log: log.name().to_owned() }),
            None => {
                self.shelf.put(&part(LOGS), &place, log.to_text().as_bytes())?;
                Ok(true)
            }
        }
    }

    /// Takes the witness up with its unlocked key.
    ///
    /// # Errors
    /// [`WitnessFolderError`].
    pub fn unlock(&self, passphrase: &Passphrase) -> Result<Witness, WitnessFolderError> {
        let file = self.top.join("witness.key.pem");
        let told = |cause| WitnessFolderError::File { file: file.display().to_string(), cause };
        let key = unlock_key(&fs::read_to_string(&file).map_err(told)?, passphrase)?;
        if key.public() != self.key.public_key() {
            return Err(WitnessFolderError::OtherKey);
        }
        Ok(Witness::new(Arc::clone(&self.shelf) as _, self.top.join("lock"), self.key.clone(), key))
    }
}

/// Why a witness signed nothing.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WitnessError {
    /// It may not.
    #[error(transparent)]
    Refused(#[from] WitnessRefusal),
    /// It cannot.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// A witness that can sign.
pub struct Witness {
    shelf: Arc<dyn Shelf>,
    lock: PathBuf,
    public: WitnessKey,
    key: PrivateKey,
}

impl Witness {
    /// A witness over this shelf; `lock` is a file that all processes of this witness lock.
    pub fn new(shelf: Arc<dyn Shelf>, lock: PathBuf, public: WitnessKey, key: PrivateKey) -> Self {
        Self { shelf, lock, public, key }
    }

    /// Signs a head, if it is of a log that is watched and goes on from what was signed before; the signature's line comes back.
    /// The time never goes back, whatever the clock does.
    ///
    /// # Errors
    /// [`WitnessError`]; where the store failed the head may have been kept, and asking again finds it.
    pub fn add_checkpoint(&self, request: &str, now: DateTime<Utc>) -> Result<String, WitnessError> {
        let asked = AddCheckpoint::parse(request).ok_or(WitnessRefusal::Malformed)?;
        let place = place_of(asked.checkpoint.origin());
        let log = self.read_log(&place)?;
        let lock = File::create(&self.lock).map_err(StoreError::from)?;
        // The system lets go of it when the process ends, however it ends.
        lock.lock().map_err(StoreError::from)?;
        let latest = self.read_signed(&place)?;
        asked.judge(log.as_ref(), latest.as_ref())?;
        let last = latest.as_ref().and_then(|latest| latest.cosigned_at(&self.public).ok().flatten());
        let last = last.and_then(|second| DateTime::from_timestamp(i64::try_from(second).ok()?, 0));
        let at = last.map_or(now, |last| last.max(now));
        let failed = |what: &str| StoreError::Failed(what.to_owned());
        let line =
            asked.checkpoint.cosign(&self.public, &self.key, at).ok_or_else(|| failed("the clock is before 1970"))?;
        // Of the lines that came, the log's own alone: nobody vouches for the others.
        let own = log.and_then(|log| asked.checkpoint.only_signed_by(&log));
        let kept = own.and_then(|own| own.with_signatures(&line)).ok_or_else(|| failed("the head cannot be kept"))?;
        self.shelf.put(&part(SIGNED), &place, kept.as_str().as_bytes())?;
        Ok(line)
    }

    /// The head of a log that was signed last, by the SHA-256 of the log's name in hexadecimal.
    ///
    /// # Errors
    /// The store.
    pub fn find_signed(&self, origin_hash: &str) -> Result<Option<String>, StoreError> {
        let Some(place) = Sha256Digest::parse_hex(origin_hash) else { return Ok(None) };
        Ok(self.read_signed(&place.to_hex())?.map(|signed| signed.as_str().to_owned()))
    }

    fn read_log(&self, place: &str) -> Result<Option<LogKey>, StoreError> {
        let Some(bytes) = self.shelf.read(&part(LOGS), place)? else { return Ok(None) };
        let key = String::from_utf8(bytes).ok().and_then(|text| LogKey::parse(&text).ok());
        key.map(Some).ok_or_else(|| StoreError::Failed(format!("the key of the log {place} cannot be read")))
    }

    /// A file that cannot be read is no beginning: nothing is signed over it.
    fn read_signed(&self, place: &str) -> Result<Option<Checkpoint>, StoreError> {
        let Some(bytes) = self.shelf.read(&part(SIGNED), place)? else { return Ok(None) };
        let head = String::from_utf8(bytes).ok().and_then(|text| Checkpoint::parse(&text));
        let is_own = |head: &Checkpoint| matches!(head.cosigned_at(&self.public), Ok(Some(_)));
        let head = head.filter(is_own);
        head.map(Some).ok_or_else(|| StoreError::Failed(format!("what was signed of the log {place} cannot be read")))
    }
}

/// The name of a log's files: SHA-256 of its name (`tlog-witness`, "Monitor Retrieval Mechanism").
fn place_of(origin: &str) -> String {
    Sha256Digest::of(origin.as_bytes()).to_hex()
}

/// A part of the shelf.
fn part(name: &str) -> FirmId {
    name.parse().expect("the name fits")
}

#[cfg(unix)]
fn write_private(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    use std::{io::Write as _, os::unix::fs::OpenOptionsExt as _};
    let mut file = fs::OpenOptions::new().write(true).create_new(true).mode(0o600).open(file)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(not(unix))]
fn write_private(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    fs::write(file, bytes)
}
