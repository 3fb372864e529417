//! Whether the notebook is whole.

use std::fmt;

use model::{InspectionId, Sha256};

use super::Notebook;
use crate::{EntryId, NotebookError, entry::chain};

/// Something that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Damage {
    /// The database says so of its own pages.
    Pages(String),
    /// An entry whose body or link is not what its digest says.
    Entry(String),
    /// A number that is missing in a device's row.
    Gap {
        /// After this entry.
        after: String,
    },
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pages(said) => write!(f, "the notebook's file is damaged: {said}"),
            Self::Entry(id) => write!(f, "entry {id} is not as it was written"),
            Self::Gap { after } => write!(f, "entries after {after} are missing"),
        }
    }
}

impl Notebook {
    /// Looks the whole notebook through: the database's pages, and every entry against its digest and its chain.
    ///
    /// # Errors
    /// A database that cannot be read at all.
    pub fn check(&self) -> Result<Vec<Damage>, NotebookError> {
        let said: Vec<String> =
            self.db.prepare("PRAGMA quick_check(20)")?.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        let mut damage: Vec<Damage> = said.into_iter().filter(|line| line != "ok").map(Damage::Pages).collect();
        let mut query = self
            .db
            .prepare("SELECT device, seq, inspection, body, body_digest, link FROM entries ORDER BY device, seq")?;
        let mut rows = query.query([])?;
        let mut before: Option<(EntryId, Sha256)> = None;
        while let Some(row) = rows.next()? {
            let (device, seq): (String, u64) = (row.get(0)?, row.get(1)?);
            let (inspection, body): (String, Option<String>) = (row.get(2)?, row.get(3)?);
            let (digest, link): ([u8; 32], [u8; 32]) = (row.get(4)?, row.get(5)?);
            let name = format!("{device}:{seq}");
            let (Ok(id), Ok(inspection)) = (name.parse::<EntryId>(), inspection.parse::<InspectionId>()) else {
                damage.push(Damage::Entry(name));
                continue;
            };
            let previous = before.take().filter(|(previous, _)| previous.device == id.device);
            let expected = previous.as_ref().map_or(1, |(previous, _)| previous.seq + 1);
            if id.seq != expected {
                let after =
                    previous.as_ref().map_or_else(|| format!("the start of {device}"), |(id, _)| id.to_string());
                damage.push(Damage::Gap { after });
            }
            let (digest, link) = (Sha256::new(digest), Sha256::new(link));
            let is_body = body.is_none_or(|body| {
                super::entries::read_body(&body).is_ok_and(|entry| entry.id == id && entry.body_digest() == digest)
            });
            let is_link = chain(previous.as_ref().map(|(_, link)| link), &id, &inspection, &digest) == link;
            if !is_body || (!is_link && id.seq == expected) {
                damage.push(Damage::Entry(name));
            }
            before = Some((id, link));
        }
        Ok(damage)
    }
}
