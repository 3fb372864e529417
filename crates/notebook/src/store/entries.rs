use std::collections::BTreeSet;

use model::{Carried, InspectionId, Sha256, chain_entry};
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::Value;

use super::{Notebook, list};
use crate::{Change, Draft, Entry, EntryId, NotebookError, Stamp, check_field};

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
        let (entries, unreadable) = read_entries(&self.db, id)?;
        let mut draft = Draft::of(id.clone(), entries);
        draft.unreadable = unreadable;
        Ok(draft)
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

    /// As [`Self::take_in`], but leaves an entry under whose name another one is here already: of two that a copy has
    /// brought about, each device keeps the one that it heard first, and nobody is kept from all the rest.
    ///
    /// # Errors
    /// An entry that does not follow the ones before it, or is not what it says: nothing is taken in then.
    pub fn take_in_what_fits(&mut self, carried: &[Carried]) -> Result<u64, NotebookError> {
        let mut fitting = Vec::new();
        for one in carried {
            let known: Option<Vec<u8>> = self
                .db
                .prepare_cached("SELECT body_digest FROM entries WHERE device = ?1 AND seq = ?2")?
                .query_row(params![one.id.device.as_str(), one.id.seq], |row| row.get(0))
                .optional()?;
            if known.is_none_or(|digest| digest == one.body_digest.as_bytes()) {
                fitting.push(one.clone());
            }
        }
        self.take_in(&fitting)
    }

    /// Takes in entries of other devices, or of this one from a copy. What is there already is left, unless it is damaged
    /// here and whole there; a gap is filled; what was erased here stays erased. Says how many were new or mended.
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
            if !one.is_true() {
                return Err(NotebookError::OtherContents { id: id.to_string() });
            }
            if let Some(digest) = known {
                if digest != one.body_digest.as_bytes() {
                    return Err(NotebookError::OtherContents { id: id.to_string() });
                }
                if mend(&change, one)? {
                    touched.insert(one.inspection.clone());
                    new += 1;
                }
                continue;
            }
            let expected = next_number(&change, device)?;
            if id.seq > expected && one.link.is_none() {
                return Err(NotebookError::OutOfRow { device: device.to_string(), got: id.seq, expected });
            }
            list::meet(&change, &one.inspection, one.body.as_ref())?;
            let body = if list::is_erased(&change, &one.inspection)? { None } else { one.body.as_ref() };
            insert(&change, one, body)?;
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
        let mut query = self
            .db
            .prepare("SELECT device, seq, inspection, body, body_digest, link FROM entries ORDER BY device, seq")?;
        let rows = query.query_map([], |row| {
            Ok((
                row.get::<_, String>(0)?,
                row.get::<_, u64>(1)?,
                row.get::<_, String>(2)?,
                row.get::<_, Option<String>>(3)?,
                row.get::<_, [u8; 32]>(4)?,
                row.get::<_, [u8; 32]>(5)?,
            ))
        })?;
        let mut before: Option<EntryId> = None;
        let mut carried = Vec::new();
        for row in rows {
            let (device, seq, inspection, body, digest, link) = row?;
            let id = EntryId { device: device.parse().map_err(|_| NotebookError::Unreadable(device.clone()))?, seq };
            let follows = before.replace(id.clone()).filter(|before| before.device == id.device);
            let is_next = seq == follows.map_or(1, |before| before.seq + 1);
            carried.push(Carried {
                inspection: inspection.parse().map_err(|_| NotebookError::Unreadable(inspection.clone()))?,
                // What is damaged goes without its body rather than keeping all others back.
                body: body.and_then(|body| read_body(&body).ok()).filter(|entry| entry.id == id),
                body_digest: Sha256::new(digest),
                link: (!is_next).then(|| Sha256::new(link)),
                id,
            });
        }
        Ok(carried)
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
        change.execute("DELETE FROM recordings WHERE inspection = ?1", params![id.as_str()])?;
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

pub(super) fn next_number(db: &Connection, device: &model::DeviceId) -> Result<u64, NotebookError> {
    let mut query = db.prepare_cached("SELECT coalesce(max(seq), 0) + 1 FROM entries WHERE device = ?1")?;
    Ok(query.query_row(params![device.as_str()], |row| row.get(0))?)
}

/// Puts back the body of an entry that is damaged here; says whether it did.
fn mend(db: &Connection, whole: &Carried) -> Result<bool, NotebookError> {
    let (id, Some(entry)) = (&whole.id, &whole.body) else { return Ok(false) };
    let body: Option<String> = db
        .prepare_cached("SELECT body FROM entries WHERE device = ?1 AND seq = ?2")?
        .query_row(params![id.device.as_str(), id.seq], |row| row.get(0))?;
    // None was erased, and stays so.
    let Some(body) = body else { return Ok(false) };
    if read_body(&body).is_ok_and(|entry| entry.id == *id && entry.body_digest() == whole.body_digest) {
        return Ok(false);
    }
    let body = serde_json::to_string(entry).expect("an entry is JSON");
    db.execute(
        "UPDATE entries SET body = ?3 WHERE device = ?1 AND seq = ?2",
        params![id.device.as_str(), id.seq, body],
    )?;
    Ok(true)
}

pub(super) fn append(db: &Connection, entry: &Entry) -> Result<(), NotebookError> {
    let (id, inspection, body_digest) = (entry.id.clone(), entry.inspection.clone(), entry.body_digest());
    insert(db, &Carried { id, inspection, body: None, body_digest, link: None }, Some(entry))
}

/// Adds an entry with the body that is kept of it.
pub(super) fn insert(db: &Connection, new: &Carried, body: Option<&Entry>) -> Result<(), NotebookError> {
    let Carried { id, inspection, body_digest, link: told, .. } = new;
    let previous: Option<[u8; 32]> = db
        .prepare_cached("SELECT link FROM entries WHERE device = ?1 AND seq = ?2")?
        .query_row(params![id.device.as_str(), id.seq.saturating_sub(1)], |row| row.get(0))
        .optional()?;
    let link = match (previous, told) {
        (None, Some(link)) => *link,
        (previous, _) => chain_entry(previous.map(Sha256::new).as_ref(), id, inspection, body_digest),
    };
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

/// The entries of an inspection, and how many of it are damaged.
pub(super) fn read_entries(db: &Connection, id: &InspectionId) -> Result<(Vec<Entry>, usize), NotebookError> {
    list::expect(db, id)?;
    let mut query = db.prepare_cached("SELECT body FROM entries WHERE inspection = ?1 AND body IS NOT NULL")?;
    let bodies = query.query_map(params![id.as_str()], |row| row.get::<_, String>(0))?;
    let (mut entries, mut unreadable) = (Vec::new(), 0);
    for body in bodies {
        match read_body(&body?) {
            Ok(entry) => entries.push(entry),
            Err(_) => unreadable += 1,
        }
    }
    Ok((entries, unreadable))
}
