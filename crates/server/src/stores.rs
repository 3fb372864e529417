//! Where an office keeps its rows and its files.

use std::{path::Path, sync::Arc};

use crate::{
    metrics::{MeasuredBlobs, MeasuredRows, MeasuredShelf, Metrics},
    store::{
        AllRows, Blobs, Database, FirmId, FolderBlobs, FolderShelf, ObjectBlobs, ObjectShelf, Objects, PostgresRows,
        Rows, Shelf, SqliteRows, StoreError,
    },
};

/// The variables of the environment that name stores.
pub const STORE_VARIABLES: [&str; 2] = ["DATABASE_URL", "BLOB_URL"];

/// Where an office's rows and files are kept. What is not named is kept in the office's own folder.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct Stores {
    /// A database of PostgreSQL, `postgres://…`.
    pub database: Option<String>,
    /// A store of objects, `s3://bucket/place`, for photographs, recordings, sealed reports and the log's public files.
    pub blobs: Option<String>,
    /// How the store of objects is asked, as its usual variables spell it (`AWS_…`).
    pub asked_with: Vec<(String, String)>,
}

impl std::fmt::Debug for Stores {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // An address may hold a password.
        f.write_str(&self.describe())
    }
}

/// Those of files.
#[derive(Clone)]
pub(crate) struct Files {
    pub shelf: Arc<dyn Shelf>,
    pub blobs: Arc<dyn Blobs>,
}

/// An office's stores, opened.
#[derive(Clone)]
pub(crate) struct Opened {
    pub rows: Arc<dyn AllRows>,
    pub files: Files,
}

impl Opened {
    /// The same, with what is done to them noted.
    pub(crate) fn watched(self, metrics: &Arc<Metrics>) -> Self {
        let Self { rows, files: Files { shelf, blobs } } = self;
        Self {
            rows: Arc::new(MeasuredRows::new(rows, Arc::clone(metrics))),
            files: Files {
                shelf: Arc::new(MeasuredShelf::new(shelf, Arc::clone(metrics))),
                blobs: Arc::new(MeasuredBlobs::new(blobs, Arc::clone(metrics))),
            },
        }
    }
}

impl Stores {
    /// As variables of the environment name them ([`STORE_VARIABLES`] and those that begin with `AWS_`); one without a value
    /// names none.
    pub fn read(variables: impl IntoIterator<Item = (String, String)>) -> Self {
        let mut read = Self::default();
        for (name, value) in variables.into_iter().filter(|(_, value)| !value.trim().is_empty()) {
            match &*name {
                "DATABASE_URL" => read.database = Some(value),
                "BLOB_URL" => read.blobs = Some(value),
                _ if name.starts_with("AWS_") => read.asked_with.push((name, value)),
                _ => {}
            }
        }
        read
    }

    /// Whether all is in the office's own folder.
    pub const fn is_folder(&self) -> bool {
        self.database.is_none() && self.blobs.is_none()
    }

    /// What kinds of stores they are, without their addresses.
    pub fn describe(&self) -> String {
        let rows = if self.database.is_some() { "PostgreSQL" } else { "SQLite" };
        let files = if self.blobs.is_some() { "a store of objects" } else { "a folder" };
        format!("{rows} and {files}")
    }

    /// Opens them.
    ///
    /// # Errors
    /// An address that is none; a store that does not answer.
    pub(crate) fn open(&self, folder: &Path, firm: &FirmId) -> Result<Opened, StoreError> {
        let rows: Arc<dyn AllRows> = match &self.database {
            Some(address) => unless_moved(PostgresRows::connect(address)?, firm)?,
            None => unless_moved(SqliteRows::open(&folder.join("office.sqlite"))?, firm)?,
        };
        Ok(Opened { rows, files: self.open_files(folder)? })
    }

    /// Opens those of files.
    pub(crate) fn open_files(&self, folder: &Path) -> Result<Files, StoreError> {
        if let Some(address) = &self.blobs {
            let objects = Objects::open(address, &self.asked_with)?;
            let shelf = Arc::new(ObjectShelf::open(objects.below("public")));
            return Ok(Files { shelf, blobs: Arc::new(ObjectBlobs::open(&objects)) });
        }
        let shelf = Arc::new(FolderShelf::open(&folder.join("public"))?);
        Ok(Files { shelf, blobs: Arc::new(FolderBlobs::open(&folder.join("blobs"))?) })
    }
}

fn unless_moved<D: Database + 'static>(rows: Rows<D>, firm: &FirmId) -> Result<Arc<dyn AllRows>, StoreError> {
    match rows.whither(firm)? {
        Some(whither) => Err(StoreError::Gone { firm: firm.to_string(), whither }),
        None => Ok(Arc::new(rows)),
    }
}
