//! Keeping a firm's log: rows first, then the tiles and the signed head, as a file and among the rows, which are made anew
//! from the rows where a machine that fell over has lost them.
//!
//! A head is signed over rows that are on the disk, by whoever has read them all or put the last ones after exactly those:
//! two processes come to the same head of the same size, and a process that died left at worst entries without a head, for
//! which the next one signs.

mod known;

use std::{collections::HashMap, sync::Arc};

use chrono::{DateTime, Utc};
use known::Known;
use log::{BUNDLE, CHECKPOINT, Checkpoint, Entry, EntryKind, MOST_ENTRY_BYTES, Receipt, TileFile, list_tiles};
use seal::{
    key::PrivateKey,
    receipt::{LogKey, NoteKeyError},
};

use crate::{
    gathering::{AskedWitness, gather},
    store::{FirmId, LogRows, Shelf, StoreError},
};

/// Rows that are read at once.
const PAGE: u64 = 4 * BUNDLE;

/// Where something stands in the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entered {
    /// Its place, counted from 0.
    pub index: u64,
    /// The entry with its time.
    pub entry: Entry,
    /// Whether it was entered now; else it stood there before.
    pub is_new: bool,
}

/// Why nothing was entered.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum KeepError {
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The log's name.
    #[error(transparent)]
    Name(#[from] NoteKeyError),
    /// A row that this program has not written.
    #[error("entry {number} of the log in the store is none that this program knows")]
    Foreign {
        /// Its place.
        number: u64,
    },
    /// The rows are not those that were signed.
    #[error(
        "the log's key has signed other entries than the store has: nothing is signed any more until a person has looked"
    )]
    Changed,
}

/// Keeps one firm's log.
pub struct LogKeeper {
    rows: Arc<dyn LogRows>,
    shelf: Arc<dyn Shelf>,
    firm: FirmId,
    name: String,
    key: PrivateKey,
    known: Known,
    /// The head that everybody sees, as it was when this keeper looked last.
    shown: Option<Checkpoint>,
    witnesses: Vec<AskedWitness>,
}

impl LogKeeper {
    /// Takes a log up: reads it, and publishes what a process before had entered and not published.
    ///
    /// # Errors
    /// [`KeepError`].
    pub fn open(
        rows: Arc<dyn LogRows>,
        shelf: Arc<dyn Shelf>,
        firm: FirmId,
        name: &str,
        key: PrivateKey,
    ) -> Result<Self, KeepError> {
        LogKey::new(name, key.public())?;
        let mut keeper = Self {
            rows,
            shelf,
            firm,
            name: name.to_owned(),
            key,
            known: Known::default(),
            shown: None,
            witnesses: Vec::new(),
        };
        keeper.alone(|keeper| {
            keeper.catch_up()?;
            keeper.mend()?;
            keeper.publish()
        })?;
        Ok(keeper)
    }

    /// Asks these witnesses to sign each head from now on. None of them signs for the log's key itself.
    pub fn ask_witnesses(&mut self, witnesses: Vec<AskedWitness>) {
        self.witnesses = witnesses;
    }

    /// How many entries the log has, as far as this keeper has read it.
    pub fn size(&self) -> u64 {
        self.known.tree().size()
    }

    /// Enters what happened, at this time or, where the clock went back, at that of the last entry. What stands in the log
    /// already is found and not entered again. All of it is on the disk, signed and published when this returns.
    ///
    /// # Errors
    /// [`KeepError`]; some of it may have been entered then, and asking again finds it.
    pub fn enter(&mut self, kinds: &[EntryKind], now: DateTime<Utc>) -> Result<Vec<Entered>, KeepError> {
        let mut entered = Vec::new();
        self.alone(|keeper| {
            keeper.catch_up()?;
            entered.clear();
            let at = keeper.known.last().map_or(now, |last| last.max(now));
            let before = keeper.size();
            let (mut new, mut texts) = (Vec::new(), Vec::new());
            let mut places = HashMap::new();
            for kind in kinds {
                let entry = Entry::new(*kind, at);
                let text = entry.to_text();
                let spelt = known::without_time(&text);
                if let Some((index, entry)) = keeper.known.find(spelt) {
                    entered.push(Entered { index, entry, is_new: false });
                    continue;
                }
                let index = before + new.len() as u64;
                // The same thing twice in one call is one entry.
                if let Some(&index) = places.get(spelt) {
                    entered.push(Entered { index, entry, is_new: false });
                    continue;
                }
                places.insert(spelt.to_owned(), index);
                entered.push(Entered { index, entry, is_new: true });
                new.push(entry);
                texts.push(text.into_bytes());
            }
            debug_assert!(texts.iter().all(|text: &Vec<u8>| text.len() <= MOST_ENTRY_BYTES));
            if !texts.is_empty() {
                // If that fails, the rows say whether it came about: whoever enters next reads them first.
                keeper.rows.append(&keeper.firm, before, &texts)?;
                for (entry, text) in new.into_iter().zip(texts) {
                    keeper.known.take(entry, text);
                }
            }
            keeper.publish()
        })?;
        self.gather_signatures(now)?;
        Ok(entered)
    }

    /// Where something stands in the log, as far as this keeper has read it.
    pub fn find(&self, kind: &EntryKind) -> Option<Entered> {
        let text = Entry::new(*kind, DateTime::UNIX_EPOCH).to_text();
        let (index, entry) = self.known.find(known::without_time(&text))?;
        Some(Entered { index, entry, is_new: false })
    }

    /// The receipt of an issued report: its entry, and the way from it to the newest signed head. None of other entries.
    pub fn receipt(&self, entered: &Entered) -> Option<Receipt> {
        Some(Receipt {
            entry: entered.entry.as_issued()?,
            index: entered.index,
            proof: self.known.tree().prove(entered.index, self.size())?,
            checkpoint: self.head(),
        })
    }

    /// The head over all entries that this keeper has read: the one that is shown, with its witnesses, if it is of this tree.
    fn head(&self) -> Checkpoint {
        let shown = self.shown.as_ref().filter(|shown| self.is_head(shown));
        shown.cloned().unwrap_or_else(|| self.sign())
    }

    fn is_head(&self, head: &Checkpoint) -> bool {
        (head.size(), head.root()) == (self.size(), self.known.root())
    }

    /// Has the newest head signed by whoever of the witnesses answers, and shows it with what they signed. Nobody else is kept
    /// from the log meanwhile: if somebody has shown a later head, that one stays.
    fn gather_signatures(&mut self, now: DateTime<Utc>) -> Result<(), KeepError> {
        let head = self.head();
        if self.witnesses.is_empty() || head.size() == 0 {
            return Ok(());
        }
        let signed = gather(&mut self.witnesses, self.known.tree(), &head, now);
        if signed == head {
            return Ok(());
        }
        self.alone(|keeper| {
            let shown = keeper.read_shown()?.filter(|shown| keeper.is_head(shown));
            if let Some(whole) = shown.and_then(|shown| shown.with_signatures(signed.signature_lines())) {
                keeper.shelf.put(&keeper.firm, CHECKPOINT, whole.as_str().as_bytes())?;
            }
            Ok(())
        })?;
        self.shown = Some(signed);
        Ok(())
    }

    fn sign(&self) -> Checkpoint {
        Checkpoint::sign(&self.name, self.size(), self.known.root(), &self.key)
    }

    fn alone(&mut self, mut work: impl FnMut(&mut Self) -> Result<(), KeepError>) -> Result<(), KeepError> {
        let (rows, firm) = (Arc::clone(&self.rows), self.firm.clone());
        let mut failed = None;
        rows.alone(&firm, &mut || {
            failed = work(self).err();
            Ok(())
        })?;
        failed.map_or(Ok(()), Err)
    }

    /// Reads the rows that came since.
    fn catch_up(&mut self) -> Result<(), KeepError> {
        loop {
            let page = self.rows.entries(&self.firm, self.size(), PAGE)?;
            let is_last = (page.len() as u64) < PAGE;
            for text in page {
                let entry = Entry::parse(&text).ok_or(KeepError::Foreign { number: self.size() })?;
                self.known.take(entry, text);
            }
            if is_last {
                return Ok(());
            }
        }
    }

    /// Signs and shows what the rows have, if the files do not show it yet. Nothing is signed over rows that are not those
    /// of the head in the store or of the head that everybody sees: rows from an old copy would be a second log.
    fn publish(&mut self) -> Result<(), KeepError> {
        let kept = self.rows.head(&self.firm)?.as_deref().and_then(Checkpoint::parse);
        let shown = self.read_shown()?;
        if [&kept, &shown].into_iter().flatten().any(|head| self.known.tree().root_at(head.size()) != Some(head.root()))
        {
            return Err(KeepError::Changed);
        }
        if shown.as_ref().is_some_and(|shown| shown.size() == self.size()) {
            self.shown = shown;
            return Ok(());
        }
        let files = self.list_files(shown.as_ref().map_or(0, Checkpoint::size))?;
        let head = self.sign();
        let mut files: Vec<(&str, &[u8])> = files.iter().map(|file| (&*file.path, &*file.bytes)).collect();
        files.push((CHECKPOINT, head.as_str().as_bytes()));
        self.shelf.put_again(&self.firm, &files)?;
        self.rows.keep_head(&self.firm, head.size(), head.as_str())?;
        self.shown = Some(head);
        Ok(())
    }

    /// Puts back what a machine that fell over may have lost of the files that a head shows.
    fn mend(&self) -> Result<(), KeepError> {
        let Some(shown) = self.read_shown()?.filter(|_| self.shelf.may_lose()) else { return Ok(()) };
        if self.known.tree().root_at(shown.size()) != Some(shown.root()) {
            return Err(KeepError::Changed);
        }
        for file in self.list_files(0)? {
            if self.shelf.read(&self.firm, &file.path)?.as_deref() != Some(&*file.bytes) {
                self.shelf.put(&self.firm, &file.path, &file.bytes)?;
            }
        }
        Ok(())
    }

    /// The files that this log has, and that it had not when it had only so many entries.
    fn list_files(&self, before: u64) -> Result<Vec<TileFile>, KeepError> {
        let from = before / BUNDLE * BUNDLE;
        let read = if self.known.has_texts_from(from) {
            Vec::new()
        } else {
            self.rows.entries(&self.firm, from, u64::from(u32::MAX))?
        };
        let entry = |number: u64| {
            let text = usize::try_from(number - from).ok().and_then(|place| read.get(place));
            let text = text.or_else(|| self.known.text(number)).cloned();
            text.ok_or_else(|| StoreError::Failed(format!("entry {number} of {} is missing", self.firm)))
        };
        Ok(list_tiles(self.known.tree(), before, entry)?)
    }

    /// The head that everybody sees, if this log's key signed it.
    fn read_shown(&self) -> Result<Option<Checkpoint>, KeepError> {
        let shown = read_head(&*self.shelf, &self.firm)?;
        if shown.is_some() && shown == self.shown {
            return Ok(shown);
        }
        let key = LogKey::new(&self.name, self.key.public())?;
        Ok(shown.filter(|shown| shown.names(&key) && shown.is_signed_by(&key)))
    }
}

/// The head that everybody sees, whoever signed it.
pub(crate) fn read_head(shelf: &dyn Shelf, firm: &FirmId) -> Result<Option<Checkpoint>, StoreError> {
    let bytes = shelf.read(firm, CHECKPOINT)?;
    Ok(bytes.and_then(|bytes| Checkpoint::parse(&String::from_utf8(bytes).ok()?)))
}
