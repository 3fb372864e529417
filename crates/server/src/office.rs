//! A firm's log in a folder of its own, for an office of one: the rows, the locked key, and the files to be served.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use log::Checkpoint;
use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
use seal::{
    key::PrivateKey,
    key_file::{KeyFileError, Passphrase, lock_key, unlock_key},
    receipt::{LogKey, NoteKeyError, WitnessKey},
};

use crate::{
    gathering::{AskedWitness, WitnessLineError, parse_witnesses, spell_witness},
    keeper::{KeepError, LogKeeper, read_head},
    metrics::Metrics,
    papers::{LOG_KEY, read_paper},
    store::{AllRows, Blobs, FirmId, FirmIdError, Shelf, StoreError},
    stores::{Opened, Stores},
};

/// The witnesses that the log asks, a line each (C2SP `tlog-policy`).
const WITNESSES: &str = "witnesses";
/// How long a witness has for its answer.
const LIMIT: Duration = Duration::from_secs(2);
/// The firm of a folder that does not say whose it is.
const USUAL: &str = "firm";
/// The file that says whose the folder is.
const FIRM: &str = "firm";

/// A log's folder.
pub struct LogFolder {
    top: PathBuf,
    key: LogKey,
    firm: FirmId,
    stores: Opened,
}

/// Why a log's folder cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LogFolderError {
    /// The folder holds something.
    #[error("{folder} is not empty: a log begins in a folder of its own")]
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
    /// The new log has the name of the one before.
    #[error("the log is called {name} already: another log has another name")]
    SameName {
        /// Which.
        name: String,
    },
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The log's name or key.
    #[error("{file}: {cause}")]
    Key {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: NoteKeyError,
    },
    /// The locked key.
    #[error("the log's key cannot be opened: {0}")]
    Locked(#[from] KeyFileError),
    /// The key in the folder is another than the log's.
    #[error("log.key.pem holds another key than log.pub names")]
    OtherKey,
    /// The firm's name.
    #[error("{file}: {cause}")]
    Firm {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: FirmIdError,
    },
    /// The file of its witnesses.
    #[error("witnesses: {0}")]
    Witnesses(#[from] WitnessLineError),
    /// The log.
    #[error(transparent)]
    Keep(#[from] KeepError),
}

impl LogFolder {
    /// Begins a log in an empty folder under this name, with a key of its own from a seed that is fit for keys. The firm has
    /// a name where it shares its stores with others.
    ///
    /// # Errors
    /// [`LogFolderError`].
    pub fn found(
        folder: &Path,
        (name, firm): (&str, Option<&FirmId>),
        stores: &Stores,
        passphrase: &Passphrase,
        seed: [u8; 32],
    ) -> Result<Self, LogFolderError> {
        let mut rng = ChaCha20Rng::from_seed(seed);
        let key = PrivateKey::generate(&mut rng);
        let at = |file: &str| folder.join(file);
        let told = |file: PathBuf| move |cause| LogFolderError::File { file: file.display().to_string(), cause };
        fs::create_dir_all(folder).map_err(told(folder.to_owned()))?;
        let mut entries = fs::read_dir(folder).map_err(told(folder.to_owned()))?;
        if entries.next().is_some() {
            return Err(LogFolderError::NotEmpty { folder: folder.display().to_string() });
        }
        let public = LogKey::new(name, key.public())
            .map_err(|cause| LogFolderError::Key { file: "the log's name".to_owned(), cause })?;
        let locked = lock_key(&key, passphrase, &mut rng)?;
        write_private(&at("log.key.pem"), locked.as_bytes()).map_err(told(at("log.key.pem")))?;
        fs::write(at("log.pub"), format!("{}\n", public.to_text())).map_err(told(at("log.pub")))?;
        if let Some(firm) = firm {
            fs::write(at(FIRM), format!("{firm}\n")).map_err(told(at(FIRM)))?;
        }
        Self::open(folder, stores)
    }

    /// Begins another log over the entries that are here, under another name and with a key of its own: the honest way on
    /// where the log before has shown more than is left of it. Receipts of the log before stay good under its own public
    /// key, which stays in `log-before.pub`; its locked key is removed, so that it signs nothing any more.
    ///
    /// # Errors
    /// [`LogFolderError`]; nothing was changed then, unless a file could not be written.
    pub fn succeed(folder: &Path, name: &str, passphrase: &Passphrase, seed: [u8; 32]) -> Result<Self, LogFolderError> {
        let before = Self::open(folder, &Stores::default())?;
        if before.key.name() == name {
            return Err(LogFolderError::SameName { name: name.to_owned() });
        }
        drop(before);
        let mut rng = ChaCha20Rng::from_seed(seed);
        let key = PrivateKey::generate(&mut rng);
        let public = LogKey::new(name, key.public())
            .map_err(|cause| LogFolderError::Key { file: "the log's name".to_owned(), cause })?;
        let locked = lock_key(&key, passphrase, &mut rng)?;
        let at = |file: &str| folder.join(file);
        let told = |file: &str| {
            let file = at(file).display().to_string();
            move |cause| LogFolderError::File { file, cause }
        };
        fs::rename(at("log.pub"), at("log-before.pub")).map_err(told("log.pub"))?;
        fs::remove_file(at("log.key.pem")).map_err(told("log.key.pem"))?;
        write_private(&at("log.key.pem"), locked.as_bytes()).map_err(told("log.key.pem"))?;
        fs::write(at("log.pub"), format!("{}\n", public.to_text())).map_err(told("log.pub"))?;
        Self::open(folder, &Stores::default())
    }

    /// Opens a log's folder and its stores. Its key stays locked.
    ///
    /// # Errors
    /// [`LogFolderError`].
    pub fn open(folder: &Path, stores: &Stores) -> Result<Self, LogFolderError> {
        let (key, text) = read_key(folder)?;
        let firm = Self::read_firm(folder)?;
        let stores = stores.open(folder, &firm)?;
        // Whoever reads the log is told its key where the log is.
        if read_paper(&*stores.files.shelf, &firm, LOG_KEY)?.as_deref() != Some(text.as_str()) {
            stores.files.shelf.put(&firm, LOG_KEY, text.as_bytes())?;
        }
        Ok(Self { top: folder.to_owned(), key, firm, stores })
    }

    /// Whose a folder is.
    ///
    /// # Errors
    /// A name that is none.
    pub fn read_firm(folder: &Path) -> Result<FirmId, LogFolderError> {
        let file = folder.join(FIRM);
        match fs::read_to_string(&file) {
            Ok(text) => {
                text.trim().parse().map_err(|cause| LogFolderError::Firm { file: file.display().to_string(), cause })
            }
            Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => Ok(Self::usual_firm()),
            Err(cause) => Err(LogFolderError::File { file: file.display().to_string(), cause }),
        }
    }

    /// The log's public key.
    pub const fn key(&self) -> &LogKey {
        &self.key
    }

    /// The firm of a folder that does not say whose it is.
    ///
    /// # Panics
    /// Never: its name fits.
    pub fn usual_firm() -> FirmId {
        USUAL.parse().expect("the name fits")
    }

    /// Whose it is.
    pub const fn firm(&self) -> &FirmId {
        &self.firm
    }

    /// The same, with what is done to its stores noted, by the log as by everybody else.
    #[must_use]
    pub fn watched(mut self, metrics: &Arc<Metrics>) -> Self {
        self.stores = self.stores.watched(metrics);
        self
    }

    /// Its rows.
    pub const fn rows(&self) -> &Arc<dyn AllRows> {
        &self.stores.rows
    }

    /// Its public files.
    pub const fn shelf(&self) -> &Arc<dyn Shelf> {
        &self.stores.files.shelf
    }

    /// What devices photographed and recorded.
    pub const fn blobs(&self) -> &Arc<dyn Blobs> {
        &self.stores.files.blobs
    }

    /// The folder that any web server can serve, where the files are in the office's own folder.
    pub fn public(&self) -> PathBuf {
        self.top.join("public").join(self.firm.as_str())
    }

    /// Takes the log up with its unlocked key.
    ///
    /// # Errors
    /// [`LogFolderError`].
    pub fn unlock(&self, passphrase: &Passphrase) -> Result<LogKeeper, LogFolderError> {
        let file = self.top.join("log.key.pem");
        let told = |cause| LogFolderError::File { file: file.display().to_string(), cause };
        let pem = fs::read_to_string(&file).map_err(told)?;
        let key = unlock_key(&pem, passphrase)?;
        if key.public() != self.key.public_key() {
            return Err(LogFolderError::OtherKey);
        }
        let (rows, shelf) = (Arc::clone(&self.stores.rows) as _, Arc::clone(&self.stores.files.shelf));
        let mut keeper = LogKeeper::open(rows, shelf, self.firm.clone(), self.key.name(), key)?;
        keeper.ask_witnesses(self.read_witnesses()?);
        Ok(keeper)
    }

    /// Asks a witness for its signature over each head from now on. False where it is asked already.
    ///
    /// # Errors
    /// [`LogFolderError`]: an address that is none, a file.
    pub fn add_witness(&self, witness: &WitnessKey, address: &str) -> Result<bool, LogFolderError> {
        let line = spell_witness(witness, address);
        parse_witnesses(&line, LIMIT)?;
        let text = self.read_witness_lines()?;
        if text.lines().any(|own| own == line.trim_end()) {
            return Ok(false);
        }
        let file = self.top.join(WITNESSES);
        let told = |cause| LogFolderError::File { file: file.display().to_string(), cause };
        fs::write(&file, text + &line).map_err(told)?;
        Ok(true)
    }

    fn read_witnesses(&self) -> Result<Vec<AskedWitness>, LogFolderError> {
        let witnesses = parse_witnesses(&self.read_witness_lines()?, LIMIT)?;
        Ok(witnesses.into_iter().map(|(key, way)| AskedWitness::new(key, Arc::new(way))).collect())
    }

    fn read_witness_lines(&self) -> Result<String, LogFolderError> {
        let file = self.top.join(WITNESSES);
        match fs::read_to_string(&file) {
            Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => Ok(String::new()),
            read => read.map_err(|cause| LogFolderError::File { file: file.display().to_string(), cause }),
        }
    }

    /// The signed head that is shown.
    ///
    /// # Errors
    /// The store.
    pub fn head(&self) -> Result<Option<Checkpoint>, StoreError> {
        read_head(&*self.stores.files.shelf, &self.firm)
    }
}

/// The log's public key, with the text of its file.
pub(crate) fn read_key(folder: &Path) -> Result<(LogKey, String), LogFolderError> {
    let file = folder.join("log.pub");
    let name = || file.display().to_string();
    let text = fs::read_to_string(&file).map_err(|cause| LogFolderError::File { file: name(), cause })?;
    let key = LogKey::parse(text.trim()).map_err(|cause| LogFolderError::Key { file: name(), cause })?;
    Ok((key, text))
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
