//! The database: one file (a browser's private storage, a folder of the app), opened by one process at a time.

mod check;
mod entries;
pub mod files;
mod list;
mod photographs;
mod recordings;
pub mod reports;
mod salvage;
mod schema;
mod telling;

pub use check::{Damage, LookedThrough};
pub use list::Line;
pub use photographs::{Photo, Taken};
pub use recordings::Kept;
pub use reports::Standing;
pub use salvage::Salvaged;

use model::DeviceId;
use rusqlite::{Connection, OptionalExtension as _, params};

use crate::NotebookError;

/// A device's notebook.
pub struct Notebook {
    db: Connection,
    device: DeviceId,
}

impl Notebook {
    /// Opens a notebook and brings its form up to date. `new_device` names the device if the notebook is new. Whether it is
    /// whole, [`Notebook::look_through`] tells.
    ///
    /// # Errors
    /// A file that is no notebook, or one of a later form.
    pub fn open(db: Connection, new_device: &DeviceId) -> Result<Self, NotebookError> {
        let mut db = db;
        schema::prepare(&mut db)?;
        let known: Option<String> =
            db.query_row("SELECT value FROM meta WHERE name = 'device'", [], |row| row.get(0)).optional()?;
        let device = if let Some(text) = known {
            text.parse().map_err(|_| NotebookError::Unreadable(text))?
        } else {
            db.execute("INSERT INTO meta (name, value) VALUES ('device', ?1)", params![new_device.as_str()])?;
            new_device.clone()
        };
        Ok(Self { db, device })
    }

    /// Whether anything stands in this database: what was begun in one step and not ended does not.
    pub fn was_begun(db: &Connection) -> bool {
        db.query_row("SELECT 1 FROM meta WHERE name = 'device'", [], |_| Ok(())).is_ok()
    }

    /// The device's name.
    pub const fn device(&self) -> &DeviceId {
        &self.device
    }

    /// A value that is kept beside the inspections, such as the settings.
    ///
    /// # Errors
    /// The database.
    pub fn kept(&self, name: &str) -> Result<Option<String>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT value FROM meta WHERE name = ?1")?;
        Ok(query.query_row(params![format!("kept.{name}")], |row| row.get(0)).optional()?)
    }

    /// Keeps such a value.
    ///
    /// # Errors
    /// The database.
    pub fn keep(&self, name: &str, value: &str) -> Result<(), NotebookError> {
        self.db.execute(
            "INSERT INTO meta (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            params![format!("kept.{name}"), value],
        )?;
        Ok(())
    }
}
