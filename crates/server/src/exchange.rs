//! A device tells what it wrote and hears what others wrote.

use model::{Carried, DeviceId, Sha256, chain_entry};
use sync::{Answer, Ask, MOST_ASKED_BYTES, MOST_ENTRY_BYTES, Sealed, Wanted, named_blob};

use crate::{
    enrol::OfficeWorld,
    store::{Blobs, EntryRows, FirmId, NewEntries, OfficeRows, Part, RowEnd, StoreError},
};

/// So many of what is wanted are named at once.
const MOST_WANTED: u64 = 32;
/// So many reports are told of at once.
const MOST_REPORTS: u64 = 200;
/// Others may put entries behind the same row meanwhile only where two go under one name: then it is looked at again.
const MOST_TURNS: u32 = 4;

/// Why nothing was taken.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ExchangeError {
    /// An entry that is no entry of this device, or not what it says it is.
    #[error("entry {at} of what was told cannot be taken: {why}")]
    Unfit {
        /// Its place in what was told, from 0.
        at: usize,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Another entry has the name of one that was told. It was kept as it came.
    #[error("another entry {at} of this device is here")]
    Forked {
        /// Its number.
        at: u64,
    },
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Takes what a device tells, and answers with what it has not seen. Entries that are here already are left: asking twice
/// does nothing twice. What others wrote and sealed is shown only where it may be.
///
/// # Errors
/// [`ExchangeError`]; nothing was taken then.
pub fn exchange(
    (rows, blobs, world): (&dyn OfficeRows, &dyn Blobs, &dyn OfficeWorld),
    (firm, device): (&FirmId, &DeviceId),
    ask: &Ask,
    others: bool,
) -> Result<Answer, ExchangeError> {
    check(device, &ask.entries)?;
    let mut draw = [0; 16];
    world.fill_random(&mut draw).map_err(StoreError::from)?;
    let draw = model::Salt::new(draw).to_string();
    let epoch = rows.epoch(firm, &draw)?;
    let held = take(rows, world, (firm, device), &ask.entries)?;
    // Of another count nothing was seen.
    let is_other = ask.epoch.as_ref().is_some_and(|known| *known != epoch);
    let (seen, reports_seen) = if is_other { (0, 0) } else { (countable(ask.seen), countable(ask.reports_seen)) };
    let part = if others {
        rows.part(firm, seen, (device, countable(ask.own)), MOST_ASKED_BYTES)?
    } else {
        Part { seen, more: false, entries: Vec::new() }
    };
    let reports = rows.reports_after(firm, reports_seen, MOST_REPORTS, (!others).then_some(device))?;
    let mut wants = Vec::new();
    for sha256 in rows.wanted(firm, device, ask.wants_after.as_ref(), MOST_WANTED)? {
        wants.push(Wanted { pieces: blobs.staged(firm, device, &sha256)?, sha256 });
    }
    Ok(Answer {
        epoch,
        seen: part.seen,
        more: part.more || reports.len() as u64 == MOST_REPORTS,
        held,
        entries: part.entries,
        wants,
        reports_seen: reports.last().map_or(reports_seen, |last| last.number),
        stamps: None,
        reports: reports.into_iter().map(|one| Sealed { identity: one.identity, sha256: one.sha256 }).collect(),
    })
}

/// No store counts beyond 2^63 - 1: whoever says that he has seen more has seen all.
fn countable(count: u64) -> u64 {
    count.min(i64::MAX as u64)
}

/// What is no entry of this device is not looked at any further.
fn check(device: &DeviceId, entries: &[Carried]) -> Result<(), ExchangeError> {
    for (at, entry) in entries.iter().enumerate() {
        let unfit = |why| Err(ExchangeError::Unfit { at, why });
        if entry.id.device != *device {
            return unfit("it is another device's");
        }
        if entry.id.seq == 0 || (at > 0 && entry.id.seq != entries[at - 1].id.seq + 1) {
            return unfit("its number does not follow the one before");
        }
        if !entry.is_true() {
            return unfit("its digest is not that of what it says");
        }
        if entry.link.is_some() {
            return unfit("a device's own row has no gap");
        }
        let is_long = |body| serde_json::to_vec(body).map_or(usize::MAX, |text| text.len()) > MOST_ENTRY_BYTES;
        if entry.body.as_ref().is_some_and(is_long) {
            return unfit("it is larger than any entry");
        }
    }
    Ok(())
}

/// How many entries of the device are here then.
fn take(
    rows: &dyn EntryRows,
    world: &dyn OfficeWorld,
    (firm, device): (&FirmId, &DeviceId),
    entries: &[Carried],
) -> Result<u64, ExchangeError> {
    for _ in 0..MOST_TURNS {
        let end = rows.row_end(firm, device)?;
        let count = end.map_or(0, |end| end.count);
        let known = entries.iter().take_while(|entry| entry.id.seq <= count).count();
        for entry in &entries[..known] {
            if rows.digest(firm, &entry.id)? != Some(entry.body_digest) {
                rows.keep_fork(firm, entry, world.now())?;
                return Err(ExchangeError::Forked { at: entry.id.seq });
            }
        }
        let new = &entries[known..];
        // What comes after a gap is told again, from where the answer says that the row ends.
        if new.first().is_none_or(|first| first.id.seq != count + 1) {
            return Ok(count);
        }
        let linked = link(end, new);
        let named: Vec<Sha256> =
            new.iter().filter_map(|entry| Some(named_blob(entry.body.as_ref()?)?.sha256)).collect();
        let taken = NewEntries { device, thought: count, entries: &linked, named: &named, at: world.now() };
        match rows.take(firm, &taken) {
            Err(StoreError::Moved { .. }) => {}
            other => return Ok(other.map(|()| count + new.len() as u64)?),
        }
    }
    Err(StoreError::Failed("the row moved again and again".to_owned()).into())
}

fn link(end: Option<RowEnd>, new: &[Carried]) -> Vec<(&Carried, Sha256)> {
    let mut last = end.map(|end| end.link);
    new.iter()
        .map(|entry| {
            let link = chain_entry(last.as_ref(), &entry.id, &entry.inspection, &entry.body_digest);
            last = Some(link);
            (entry, link)
        })
        .collect()
}
