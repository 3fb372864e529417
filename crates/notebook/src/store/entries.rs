use std::collections::BTreeSet;

use model::{InspectionId, Sha256};
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::Value;

use super::{Notebook, list};
use crate::{Change, Draft, Entry, EntryId, NotebookError, Stamp, check_field, entry::chain};

impl Notebook {
    /// Begins an inspection with what is given from the start.
    ///
    /// # Errors
    /// A field or value that there is not; the database. Nothing is begun then.
    pub fn begin(
        &mut self,
        id: &InspectionId,
        given: &[(String, Value)],
        mut stamp: impl FnMut() -> Stamp,
    ) -> Result<(), NotebookError> {
        for (path, value) in given {
            check_field(path, value)?;
        }
        let device = self.device.clone();
        let change = self.db.transaction()?;
        list::begin(&change, id, &stamp())?;
        for (path, value) in given {
            let seq = next_number(&change, &device)?;
            let stamp = stamp();
            let entry = Entry {
                id: EntryId { device: device.clone(), seq },
                inspection: id.clone(),
                path: path.clone(),
                value: value.clone(),
                replaces: Vec::new(),
                change: Change::Given,
                written_at: stamp.at,
                author: stamp.author,
                salt: stamp.salt,
            };
            append(&change, &entry)?;
        }
        list::note(&change, id)?;
        Ok(change.commit()?)
    }

    /// The inspection as it stands.
    ///
    /// # Errors
    /// An inspection that there is not, or whose contents were erased; the database.
    pub fn draft(&self, id: &InspectionId) -> Result<Draft, NotebookError> {
        Ok(Draft::of(id.clone(), read_entries(&self.db, id)?))
    }

    /// Writes a field. A value that it has already is not written again.
    ///
    /// # Errors
    /// A field or value that there is not; an inspection that there is not; the database.
    pub fn write(&mut self, id: &InspectionId, path: &str, value: Value, stamp: Stamp) -> Result<(), NotebookError> {
        check_field(path, &value)?;
        let draft = self.draft(id)?;
        let is_same = draft.values.get(path).unwrap_or(&Value::Null) == &value;
        if is_same && !draft.conflicts.iter().any(|conflict| conflict.path == path) {
            return Ok(());
        }
        let replaces = draft.heads(path);
        self.append_own(id, path, value, replaces, Change::Written, stamp)
    }

    /// Takes back the latest change of this device.
    ///
    /// # Errors
    /// [`NotebookError::Nothing`]; as [`Self::write`].
    pub fn take_back(&mut self, id: &InspectionId, stamp: Stamp) -> Result<(), NotebookError> {
        let draft = self.draft(id)?;
        let entry = draft.undoable(&self.device).ok_or(NotebookError::Nothing { what: "take back" })?;
        let value = draft.value_before(entry);
        let (path, replaces) = (entry.path.clone(), draft.heads(&entry.path));
        self.append_own(id, &path, value, replaces, Change::TakenBack(entry.id.seq), stamp)
    }

    /// Makes again what was taken back last.
    ///
    /// # Errors
    /// As [`Self::take_back`].
    pub fn make_again(&mut self, id: &InspectionId, stamp: Stamp) -> Result<(), NotebookError> {
        let draft = self.draft(id)?;
        let entry = draft.redoable(&self.device).ok_or(NotebookError::Nothing { what: "make again" })?;
        let (path, value, replaces) = (entry.path.clone(), entry.value.clone(), draft.heads(&entry.path));
        self.append_own(id, &path, value, replaces, Change::MadeAgain(entry.id.seq), stamp)
    }

    /// Settles a conflict in favour of what this entry says.
    ///
    /// # Errors
    /// [`NotebookError::Missing`] if the entry does not claim the field; as [`Self::write`].
    pub fn settle(
        &mut self,
        id: &InspectionId,
        path: &str,
        entry: &EntryId,
        stamp: Stamp,
    ) -> Result<(), NotebookError> {
        let draft = self.draft(id)?;
        let claimant = draft
            .conflicts
            .iter()
            .filter(|conflict| conflict.path == path)
            .flat_map(|conflict| &conflict.claimants)
            .find(|claimant| claimant.entry == *entry)
            .ok_or_else(|| NotebookError::Missing { what: "claim of the entry", got: entry.to_string() })?;
        let (value, replaces) = (claimant.value.clone(), draft.heads(path));
        self.append_own(id, path, value, replaces, Change::Settled, stamp)
    }

    /// Takes in entries of other devices, or of this one from a copy. What is there already is left; what was erased
    /// here stays erased. Says how many were new.
    ///
    /// # Errors
    /// An entry that does not follow or fit the ones before it, or that is here with other contents: nothing is taken
    /// in then.
    pub fn take_in(&mut self, carried: &[Carried]) -> Result<u64, NotebookError> {
        let change = self.db.transaction()?;
        let mut new = 0;
        let mut touched = BTreeSet::new();
        for one in carried {
            let (id, device) = (&one.id, &one.id.device);
            let known: Option<Vec<u8>> = change
                .prepare_cached("SELECT body_digest FROM entries WHERE device = ?1 AND seq = ?2")?
                .query_row(params![device.as_str(), id.seq], |row| row.get(0))
                .optional()?;
            if let Some(digest) = known {
                if digest != one.body_digest.as_bytes() {
                    return Err(NotebookError::OtherContents { id: id.to_string() });
                }
                continue;
            }
            let expected = next_number(&change, device)?;
            if id.seq != expected {
                return Err(NotebookError::OutOfRow { device: device.to_string(), got: id.seq, expected });
            }
            if one.body.as_ref().is_some_and(|entry| entry.body_digest() != one.body_digest || entry.id != *id) {
                return Err(NotebookError::OtherContents { id: id.to_string() });
            }
            list::meet(&change, &one.inspection, one.body.as_ref())?;
            let body = if list::is_erased(&change, &one.inspection)? { None } else { one.body.as_ref() };
            insert(&change, id, &one.inspection, body, &one.body_digest)?;
            touched.insert(one.inspection.clone());
            new += 1;
        }
        for id in &touched {
            list::note(&change, id)?;
        }
        change.commit()?;
        Ok(new)
    }

    /// Every entry with its digest, by device and number.
    ///
    /// # Errors
    /// The database.
    pub fn carry(&self) -> Result<Vec<Carried>, NotebookError> {
        let mut query =
            self.db.prepare("SELECT device, seq, inspection, body, body_digest FROM entries ORDER BY device, seq")?;
        let rows = query.query_map([], |row| {
            Ok((
                row.get::<_, String>(0)?,
                row.get::<_, u64>(1)?,
                row.get::<_, String>(2)?,
                row.get::<_, Option<String>>(3)?,
                row.get::<_, [u8; 32]>(4)?,
            ))
        })?;
        rows.map(|row| {
            let (device, seq, inspection, body, digest) = row?;
            Ok(Carried {
                id: EntryId { device: device.parse().map_err(|_| NotebookError::Unreadable(device.clone()))?, seq },
                inspection: inspection.parse().map_err(|_| NotebookError::Unreadable(inspection.clone()))?,
                body: body.map(|body| read_body(&body)).transpose()?,
                body_digest: Sha256::new(digest),
            })
        })
        .collect()
    }

    /// Erases what an inspection holds, its photographs and its reports. The chain of entries stays provable, and no
    /// older copy brings the contents back.
    ///
    /// # Errors
    /// An inspection that there is not; the database.
    pub fn erase(&mut self, id: &InspectionId, at: &model::Timestamp) -> Result<(), NotebookError> {
        let change = self.db.transaction()?;
        list::erase(&change, id, at)?;
        change.execute("UPDATE entries SET body = NULL WHERE inspection = ?1", params![id.as_str()])?;
        let paths: Vec<String> = change
            .prepare("SELECT path FROM reports WHERE inspection = ?1")?
            .query_map(params![id.as_str()], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        change.execute("DELETE FROM reports WHERE inspection = ?1", params![id.as_str()])?;
        for path in paths {
            change.execute("DELETE FROM files WHERE path = ?1", params![path])?;
        }
        change.execute("DELETE FROM shown_in WHERE inspection = ?1", params![id.as_str()])?;
        change.execute("DELETE FROM photographs WHERE sha256 NOT IN (SELECT sha256 FROM shown_in)", [])?;
        change.commit()?;
        // What was written before lies in the log until it is folded into the file.
        self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        Ok(())
    }

    fn append_own(
        &mut self,
        id: &InspectionId,
        path: &str,
        value: Value,
        replaces: Vec<EntryId>,
        why: Change,
        stamp: Stamp,
    ) -> Result<(), NotebookError> {
        let device = self.device.clone();
        let change = self.db.transaction()?;
        let seq = next_number(&change, &device)?;
        let entry = Entry {
            id: EntryId { device, seq },
            inspection: id.clone(),
            path: path.to_owned(),
            value,
            replaces,
            change: why,
            written_at: stamp.at,
            author: stamp.author,
            salt: stamp.salt,
        };
        append(&change, &entry)?;
        list::note(&change, id)?;
        Ok(change.commit()?)
    }
}

/// An entry on its way between notebooks; one that was erased has no body.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Carried {
    /// Its name.
    pub id: EntryId,
    /// Its inspection.
    pub inspection: InspectionId,
    /// What it says.
    pub body: Option<Entry>,
    /// The digest of the body.
    pub body_digest: Sha256,
}

pub(super) fn next_number(db: &Connection, device: &model::DeviceId) -> Result<u64, NotebookError> {
    let mut query = db.prepare_cached("SELECT coalesce(max(seq), 0) + 1 FROM entries WHERE device = ?1")?;
    Ok(query.query_row(params![device.as_str()], |row| row.get(0))?)
}

fn append(db: &Connection, entry: &Entry) -> Result<(), NotebookError> {
    insert(db, &entry.id, &entry.inspection, Some(entry), &entry.body_digest())
}

fn insert(
    db: &Connection,
    id: &EntryId,
    inspection: &InspectionId,
    body: Option<&Entry>,
    body_digest: &Sha256,
) -> Result<(), NotebookError> {
    let previous: Option<[u8; 32]> = db
        .prepare_cached("SELECT link FROM entries WHERE device = ?1 AND seq = ?2")?
        .query_row(params![id.device.as_str(), id.seq.saturating_sub(1)], |row| row.get(0))
        .optional()?;
    let link = chain(previous.map(Sha256::new).as_ref(), id, inspection, body_digest);
    let body = body.map(|entry| serde_json::to_string(entry).expect("an entry is JSON"));
    db.prepare_cached(
        "INSERT INTO entries (device, seq, inspection, body, body_digest, link) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?
    .execute(params![
        id.device.as_str(),
        id.seq,
        inspection.as_str(),
        body,
        body_digest.as_bytes(),
        link.as_bytes()
    ])?;
    Ok(())
}

pub(super) fn read_body(body: &str) -> Result<Entry, NotebookError> {
    serde_json::from_str(body).map_err(|error| NotebookError::Unreadable(format!("an entry: {error}")))
}

pub(super) fn read_entries(db: &Connection, id: &InspectionId) -> Result<Vec<Entry>, NotebookError> {
    list::expect(db, id)?;
    let mut query = db.prepare_cached("SELECT body FROM entries WHERE inspection = ?1 AND body IS NOT NULL")?;
    let bodies = query.query_map(params![id.as_str()], |row| row.get::<_, String>(0))?;
    bodies.map(|body| read_body(&body?)).collect()
}
