//! What another place is told of this device's entries, and how the device goes on where its row forked.

use std::collections::BTreeMap;

use model::{Carried, Change, DeviceId, Entry, EntryId, InspectionId, Sha256};
use rusqlite::params;

use super::{
    Notebook,
    entries::{append, insert, next_number, read_body},
    list,
    salvage::rename,
};
use crate::NotebookError;

impl Notebook {
    /// How many entries this device wrote.
    ///
    /// # Errors
    /// The database.
    pub fn own_count(&self) -> Result<u64, NotebookError> {
        Ok(next_number(&self.db, &self.device)? - 1)
    }

    /// This device's entries after so many, in their order, of so many bytes at most but at least one.
    ///
    /// # Errors
    /// [`NotebookError::Unreadable`] where one is damaged: those before it can be told. The database.
    pub fn own_after(&self, after: u64, most_bytes: usize) -> Result<Vec<Carried>, NotebookError> {
        let mut query = self.db.prepare_cached(
            "SELECT seq, inspection, body, body_digest FROM entries WHERE device = ?1 AND seq > ?2 ORDER BY seq",
        )?;
        let mut rows = query.query(params![self.device.as_str(), after])?;
        let (mut told, mut bytes) = (Vec::new(), 0);
        while let Some(row) = rows.next()? {
            let (inspection, body): (String, Option<String>) = (row.get(1)?, row.get(2)?);
            bytes += body.as_ref().map_or(100, String::len);
            if bytes > most_bytes && !told.is_empty() {
                break;
            }
            let one = Carried {
                id: EntryId { device: self.device.clone(), seq: row.get(0)? },
                inspection: inspection.parse()?,
                body: body.as_deref().map(read_body).transpose()?,
                body_digest: Sha256::new(row.get(3)?),
                link: None,
            };
            if !one.is_true() {
                if told.is_empty() {
                    return Err(NotebookError::Unreadable(format!("entry {}", one.id)));
                }
                break;
            }
            told.push(one);
        }
        Ok(told)
    }

    /// Whether what this inspection held was erased here.
    ///
    /// # Errors
    /// The database.
    pub fn is_erased(&self, inspection: &InspectionId) -> Result<bool, NotebookError> {
        list::is_erased(&self.db, inspection)
    }

    /// Whether a photograph or recording is here, or its inspection was erased here, so that it may not be any more.
    ///
    /// # Errors
    /// The database.
    pub fn is_settled(&self, inspection: &InspectionId, sha256: &Sha256) -> Result<bool, NotebookError> {
        if self.is_erased(inspection)? {
            return Ok(true);
        }
        let mut query = self.db.prepare_cached(
            "SELECT 1 FROM shown_in WHERE inspection = ?1 AND sha256 = ?2
             UNION ALL SELECT 1 FROM recordings WHERE inspection = ?1 AND sha256 = ?2",
        )?;
        Ok(query.exists(params![inspection.as_str(), sha256.to_string()])?)
    }

    /// Goes on under a new name, and writes this device's entries from a number on anew under it: elsewhere other ones go
    /// under those numbers, as where a copy of the notebook was put back. `keep` is kept in the same step.
    ///
    /// # Errors
    /// The database; nothing was changed then.
    pub fn go_on_as(&mut self, name: &DeviceId, from: u64, keep: &[(&str, &str)]) -> Result<(), NotebookError> {
        let before = self.device.clone();
        let change = self.db.transaction()?;
        let moved: Vec<(u64, String, Option<String>, [u8; 32])> = change
            .prepare(
                "SELECT seq, inspection, body, body_digest FROM entries WHERE device = ?1 AND seq >= ?2 ORDER BY seq",
            )?
            .query_map(params![before.as_str(), from], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?
            .collect::<Result<_, _>>()?;
        change.execute("DELETE FROM entries WHERE device = ?1 AND seq >= ?2", params![before.as_str(), from])?;
        let first = next_number(&change, name)?;
        let mut names: BTreeMap<EntryId, EntryId> = BTreeMap::new();
        for ((seq, inspection, body, digest), number) in moved.iter().zip(first..) {
            let id = EntryId { device: name.clone(), seq: number };
            names.insert(EntryId { device: before.clone(), seq: *seq }, id.clone());
            let inspection: InspectionId = inspection.parse()?;
            // What was erased keeps its place.
            let Some(body) = body else {
                let body_digest = Sha256::new(*digest);
                insert(&change, &Carried { id, inspection, body: None, body_digest, link: None }, None)?;
                continue;
            };
            let entry = read_body(body)?;
            let again = |seq: u64| names.get(&EntryId { device: before.clone(), seq }).map(|id| id.seq);
            let why = match entry.change {
                // What was taken back under the other name cannot be named here: the change itself stands.
                Change::TakenBack(seq) => again(seq).map_or(Change::Written, Change::TakenBack),
                Change::MadeAgain(seq) => again(seq).map_or(Change::Written, Change::MadeAgain),
                other => other,
            };
            let replaces = entry.replaces.iter().map(|id| names.get(id).unwrap_or(id).clone()).collect();
            append(&change, &Entry { id, replaces, change: why, ..entry })?;
        }
        rename(&change, name)?;
        for (what, value) in keep {
            change.execute(
                "INSERT OR REPLACE INTO meta (name, value) VALUES (?1, ?2)",
                params![format!("kept.{what}"), value],
            )?;
        }
        change.commit()?;
        self.device = name.clone();
        Ok(())
    }
}
