//! The state of an inspection: the fold over its entries.

use std::collections::{BTreeMap, BTreeSet};

use model::{DeviceId, InspectionId};
use serde_json::Value;

use crate::{Change, Entry, EntryId, Folded, fold};

/// An inspection as its entries leave it.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Its name.
    pub id: InspectionId,
    /// The current value of each field that has one. Where several claim it, the one written last by the clock.
    pub values: BTreeMap<String, Value>,
    /// When each of them was written.
    pub written: BTreeMap<String, model::Timestamp>,
    /// Fields with several values.
    pub conflicts: Vec<Conflict>,
    /// How many entries are damaged: what they said is not among the values.
    pub unreadable: usize,
    heads: BTreeMap<String, Vec<EntryId>>,
    entries: Vec<Entry>,
}

/// A field that was written twice without either writer knowing of the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The field.
    pub path: String,
    /// Who says what, in the order of device and number.
    pub claimants: Vec<Claimant>,
}

/// One of several values of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Claimant {
    /// The entry that says so.
    pub entry: EntryId,
    /// What it says.
    pub value: Value,
    /// Who wrote it.
    pub author: model::Line,
    /// When, by that device's clock.
    pub written_at: model::Timestamp,
}

impl Draft {
    /// Folds entries, in whatever order they come; the same entries twice are once.
    pub fn of(id: InspectionId, mut entries: Vec<Entry>) -> Self {
        entries.sort_by(|a, b| a.id.cmp(&b.id));
        entries.dedup_by(|a, b| a.id == b.id);
        let replaced: BTreeSet<&EntryId> = entries.iter().flat_map(|entry| &entry.replaces).collect();
        let mut by_path: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
        for entry in entries.iter().filter(|entry| !replaced.contains(&entry.id)) {
            by_path.entry(&entry.path).or_default().push(entry);
        }
        let (mut values, mut written) = (BTreeMap::new(), BTreeMap::new());
        let (mut conflicts, mut heads) = (Vec::new(), BTreeMap::new());
        for (path, claiming) in by_path {
            heads.insert(path.to_owned(), claiming.iter().map(|entry| entry.id.clone()).collect());
            if claiming.iter().any(|entry| entry.value != claiming[0].value) {
                let claimants = claiming.iter().map(|entry| Claimant {
                    entry: entry.id.clone(),
                    value: entry.value.clone(),
                    author: entry.author.clone(),
                    written_at: entry.written_at,
                });
                conflicts.push(Conflict { path: path.to_owned(), claimants: claimants.collect() });
            }
            let latest = claiming.iter().max_by_key(|entry| (entry.written_at, &entry.id));
            if let Some(entry) = latest.filter(|entry| !entry.value.is_null()) {
                values.insert(path.to_owned(), entry.value.clone());
                written.insert(path.to_owned(), entry.written_at);
            }
        }
        Self { id, values, written, conflicts, unreadable: 0, heads, entries }
    }

    /// The inspection's document and what it still lacks.
    pub fn fold(&self) -> Folded {
        fold(&self.id, &self.values)
    }

    /// The entries that a new one of this field replaces.
    pub fn heads(&self, path: &str) -> Vec<EntryId> {
        self.heads.get(path).cloned().unwrap_or_default()
    }

    /// All entries, by device and number.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The change of this device that would be taken back next.
    pub fn undoable(&self, device: &DeviceId) -> Option<&Entry> {
        self.entry_of(device, self.stacks(device).0.last().copied()?)
    }

    /// The change of this device that would be made again next.
    pub fn redoable(&self, device: &DeviceId) -> Option<&Entry> {
        self.entry_of(device, self.stacks(device).1.last().copied()?)
    }

    /// What a field held before this entry.
    pub fn value_before(&self, entry: &Entry) -> Value {
        let before = entry.replaces.last().and_then(|id| self.entries.iter().find(|other| other.id == *id));
        before.map_or(Value::Null, |before| before.value.clone())
    }

    fn entry_of(&self, device: &DeviceId, seq: u64) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.id.device == *device && entry.id.seq == seq)
    }

    /// Numbers of changes that stand, and of those that were taken back, the latest last.
    fn stacks(&self, device: &DeviceId) -> (Vec<u64>, Vec<u64>) {
        let (mut standing, mut taken_back) = (Vec::new(), Vec::new());
        for entry in self.entries.iter().filter(|entry| entry.id.device == *device) {
            match entry.change {
                Change::Given => {}
                Change::Written | Change::Settled => {
                    standing.push(entry.id.seq);
                    taken_back.clear();
                }
                Change::TakenBack(seq) => {
                    standing.retain(|other| *other != seq);
                    taken_back.push(seq);
                }
                Change::MadeAgain(seq) => {
                    taken_back.retain(|other| *other != seq);
                    standing.push(seq);
                }
            }
        }
        (standing, taken_back)
    }
}
