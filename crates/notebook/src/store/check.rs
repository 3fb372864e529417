//! Whether the notebook is whole.

use std::fmt;

use model::{InspectionId, Sha256, chain_entry};
use rusqlite::{OptionalExtension as _, params};

use super::Notebook;
use crate::{EntryId, NotebookError};

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

/// What a slice of the look through the notebook found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookedThrough {
    /// What is not as it was written.
    pub damage: Vec<Damage>,
    /// Where the next slice begins; none when all was looked at.
    pub next: Option<EntryId>,
}

/// Whose pages are looked through. The photographs' and recordings' own bytes are not among them: they would take minutes, and each is
/// held against its digest when it is read.
const TABLES: [&str; 8] =
    ["meta", "inspections", "entries", "photographs", "shown_in", "recordings", "files", "reports"];

impl Notebook {
    /// Looks the whole notebook through: the database's pages, and every entry against its digest and its chain.
    ///
    /// # Errors
    /// A database that cannot be read at all.
    pub fn check(&self) -> Result<Vec<Damage>, NotebookError> {
        Ok(self.look_through(None, u32::MAX)?.damage)
    }

    /// Looks a part of the notebook through, so that a screen need not wait for all of it: the pages with the first
    /// slice, then so many entries after `from`.
    ///
    /// # Errors
    /// A database that cannot be read at all.
    pub fn look_through(&self, from: Option<&EntryId>, at_most: u32) -> Result<LookedThrough, NotebookError> {
        match self.look(from, at_most) {
            // What stops the look is what it looks for.
            Err(error) if error.is_damage() => {
                Ok(LookedThrough { damage: vec![Damage::Pages(error.to_string())], next: None })
            }
            other => other,
        }
    }

    fn look(&self, from: Option<&EntryId>, at_most: u32) -> Result<LookedThrough, NotebookError> {
        let mut damage = if from.is_none() { self.check_pages()? } else { Vec::new() };
        let (device, seq) = from.map_or(("", 0), |id| (id.device.as_str(), id.seq));
        let mut query = self.db.prepare_cached(
            "SELECT device, seq, inspection, body, body_digest, link FROM entries
             WHERE (device, seq) > (?1, ?2) ORDER BY device, seq LIMIT ?3",
        )?;
        let mut rows = query.query(params![device, seq, at_most])?;
        let mut before = from.map(|id| self.link_of(id)).transpose()?.flatten();
        let (mut count, mut last) = (0, None);
        while let Some(row) = rows.next()? {
            count += 1;
            let (device, seq): (String, u64) = (row.get(0)?, row.get(1)?);
            let (inspection, body): (String, Option<String>) = (row.get(2)?, row.get(3)?);
            let (digest, link): ([u8; 32], [u8; 32]) = (row.get(4)?, row.get(5)?);
            let name = format!("{device}:{seq}");
            let (Ok(id), Ok(inspection)) = (name.parse::<EntryId>(), inspection.parse::<InspectionId>()) else {
                damage.push(Damage::Entry(name));
                continue;
            };
            let previous = before.take().filter(|(previous, _): &(EntryId, Sha256)| previous.device == id.device);
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
            let is_link = chain_entry(previous.as_ref().map(|(_, link)| link), &id, &inspection, &digest) == link;
            if !is_body || (!is_link && id.seq == expected) {
                damage.push(Damage::Entry(name));
            }
            last = Some(id.clone());
            before = Some((id, link));
        }
        Ok(LookedThrough { damage, next: last.filter(|_| count == at_most) })
    }

    fn check_pages(&self) -> Result<Vec<Damage>, NotebookError> {
        let mut damage = Vec::new();
        for table in TABLES {
            let mut query = self.db.prepare(&format!("PRAGMA quick_check({table})"))?;
            let said: Vec<String> = query.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
            damage.extend(said.into_iter().filter(|line| line != "ok").map(Damage::Pages));
        }
        Ok(damage)
    }

    fn link_of(&self, id: &EntryId) -> Result<Option<(EntryId, Sha256)>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT link FROM entries WHERE device = ?1 AND seq = ?2")?;
        let link: Option<[u8; 32]> =
            query.query_row(params![id.device.as_str(), id.seq], |row| row.get(0)).optional()?;
        Ok(link.map(|link| (id.clone(), Sha256::new(link))))
    }
}
