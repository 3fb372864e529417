//! Where an office keeps its rows and files.

use std::{path::PathBuf, sync::Arc};

use rimside_tests::elsewhere::{BUCKET, name_stores};
use server::{
    AllRows, Blobs, FolderBlobs, FolderShelf, ObjectBlobs, ObjectShelf, Objects, PostgresRows, Shelf, SqliteRows,
};

pub enum Kept {
    /// SQLite and a folder.
    Here(PathBuf),
    /// A PostgreSQL at this address, and a store of objects at this one, in a place of its own.
    Elsewhere { database: String, endpoint: String, place: String },
}

pub struct Opened {
    pub rows: Arc<dyn AllRows>,
    pub shelf: Arc<dyn Shelf>,
    pub blobs: Arc<dyn Blobs>,
}

impl Kept {
    /// How many processes serve what is kept so at once.
    pub const fn processes(&self) -> usize {
        match self {
            Self::Here(_) => 1,
            Self::Elsewhere { .. } => 2,
        }
    }

    pub fn open(&self) -> Opened {
        match self {
            Self::Here(folder) => Opened {
                rows: Arc::new(SqliteRows::open(&folder.join("office.sqlite")).unwrap()),
                shelf: Arc::new(FolderShelf::open(&folder.join("public")).unwrap()),
                blobs: Arc::new(FolderBlobs::open(&folder.join("blobs")).unwrap()),
            },
            Self::Elsewhere { database, endpoint, place } => {
                let named = name_stores(database, endpoint, place);
                let objects = |below: &str| Objects::open(&format!("s3://{BUCKET}/{place}/{below}"), &named).unwrap();
                Opened {
                    rows: Arc::new(PostgresRows::connect(database).unwrap()),
                    shelf: Arc::new(ObjectShelf::open(objects("public"))),
                    blobs: Arc::new(ObjectBlobs::open(&objects("blobs"))),
                }
            }
        }
    }
}
