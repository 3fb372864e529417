//! A device's notebook in memory, and a disk that can be full.

use std::{
    collections::{BTreeMap, BTreeSet},
    rc::Rc,
};

use model::{Carried, Change, DeviceId, Entry, EntryId, InspectionId, Sha256};
use serde_json::{Value, json};
use sync::{Awaited, Book, Issued, Kind, OwnReport, State};

use crate::paper;

/// Nothing was stored.
#[derive(Debug, PartialEq, Eq)]
pub struct DiskFull;

/// A sealed report as a notebook has it.
#[derive(Debug, Clone)]
pub struct Filed {
    pub bytes: Rc<Vec<u8>>,
    pub is_receipted: bool,
    pub is_told: bool,
    order: usize,
}

#[derive(Debug, Clone)]
pub struct Notebook {
    pub device: DeviceId,
    pub token: String,
    /// What is written is of it.
    pub inspection: InspectionId,
    pub entries: BTreeMap<EntryId, Carried>,
    pub blobs: BTreeMap<Sha256, Rc<Vec<u8>>>,
    /// Which inspection shows which of them.
    pub shown: BTreeSet<(InspectionId, Sha256)>,
    pub reports: BTreeMap<Sha256, Filed>,
    /// Statements that were signed here, and whether the office has them.
    pub statements: BTreeMap<String, bool>,
    pub state: State,
    /// Nothing can be stored.
    pub is_full: bool,
    /// After so many more writes the app ends in the middle of one.
    pub ends_after: Option<usize>,
    /// No more bytes of entries are given at once, whatever the courier would take.
    pub batch: usize,
    drawn: u64,
}

/// A device's token is told by its name, so that a test sees whose it is.
pub fn token_of(device: &DeviceId) -> String {
    Sha256::of(device.to_string().as_bytes()).to_string()
}

impl Notebook {
    pub fn new(name: &str) -> Self {
        let device: DeviceId = name.parse().unwrap();
        Self {
            token: token_of(&device),
            device,
            inspection: "inspection-1".parse().unwrap(),
            entries: BTreeMap::new(),
            blobs: BTreeMap::new(),
            shown: BTreeSet::new(),
            reports: BTreeMap::new(),
            statements: BTreeMap::new(),
            state: State::default(),
            is_full: false,
            ends_after: None,
            batch: usize::MAX,
            drawn: 0,
        }
    }

    pub fn row(&self) -> Vec<&Carried> {
        self.entries.values().filter(|entry| entry.id.device == self.device).collect()
    }

    fn append(&mut self, path: &str, value: Value) {
        let seq = self.row().len() as u64 + 1;
        self.drawn += 1;
        // No two entries have the same salt, whatever name they come to stand under.
        let salt = Sha256::of(format!("{} {seq} {} {path}", self.device, self.drawn).as_bytes());
        let id = EntryId { device: self.device.clone(), seq };
        let entry = Carried::whole(Entry {
            id: id.clone(),
            inspection: self.inspection.clone(),
            path: path.to_owned(),
            value,
            replaces: Vec::new(),
            change: Change::Written,
            written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
            author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
            salt: model::Salt::new(salt.as_bytes()[..16].try_into().unwrap()),
        });
        self.entries.insert(id, entry);
    }

    pub fn write(&mut self, words: &str) {
        self.append("car.description", json!(words));
    }

    /// An entry, and the bytes that it speaks of.
    pub fn photograph(&mut self, bytes: Vec<u8>) -> Sha256 {
        let sha256 = Sha256::of(&bytes);
        self.blobs.insert(sha256, Rc::new(bytes));
        self.shown.insert((self.inspection.clone(), sha256));
        self.append(&format!("photographs.photo-{}", self.drawn), json!({"sha256": sha256}));
        sha256
    }

    pub fn seal(&mut self, body: &[u8]) -> Sha256 {
        let bytes = paper::seal(body);
        let identity = paper::identity(&bytes);
        let order = self.reports.len();
        self.reports.insert(identity, Filed { bytes: Rc::new(bytes), is_receipted: false, is_told: false, order });
        identity
    }

    /// A statement that this report does not stand.
    pub fn withdraw(&mut self, identity: &Sha256) -> String {
        let name = format!("withdrawn-{identity}");
        self.statements.entry(name.clone()).or_insert(false);
        name
    }

    /// A copy that was put back draws no number again that it drew.
    pub fn put_back(&mut self, copy: &Self) {
        let drawn = self.drawn;
        *self = Self { drawn, ..copy.clone() };
    }

    fn stored(&mut self) -> Result<(), DiskFull> {
        if self.is_full || self.ends_after == Some(0) {
            return Err(DiskFull);
        }
        self.ends_after = self.ends_after.map(|left| left - 1);
        Ok(())
    }
}

impl Book for Notebook {
    type Fault = DiskFull;

    fn state(&self) -> Result<State, DiskFull> {
        Ok(self.state.clone())
    }

    fn keep_state(&mut self, state: &State) -> Result<(), DiskFull> {
        self.stored()?;
        let once: BTreeSet<&Awaited> = state.awaited.iter().collect();
        assert_eq!(once.len(), state.awaited.len(), "what is awaited twice would be fetched twice");
        self.state = state.clone();
        Ok(())
    }

    fn own(&self) -> Result<u64, DiskFull> {
        Ok(self.row().len() as u64)
    }

    fn own_after(&self, after: u64, most_bytes: usize) -> Result<Vec<Carried>, DiskFull> {
        let (mut told, mut bytes) = (Vec::new(), 0);
        for entry in self.row().into_iter().filter(|entry| entry.id.seq > after) {
            bytes += serde_json::to_vec(entry).unwrap().len();
            if bytes > most_bytes.min(self.batch) && !told.is_empty() {
                break;
            }
            told.push(entry.clone());
        }
        Ok(told)
    }

    fn take_in(&mut self, entries: &[Carried]) -> Result<(), DiskFull> {
        self.stored()?;
        for entry in entries {
            assert!(entry.is_true(), "what is not what it says was let in");
            let here = self.entries.entry(entry.id.clone()).or_insert_with(|| entry.clone());
            assert_eq!(here.body_digest, entry.body_digest, "two entries go under {}", entry.id);
        }
        Ok(())
    }

    fn blob(&self, sha256: &Sha256) -> Result<Option<Vec<u8>>, DiskFull> {
        Ok(self.blobs.get(sha256).map(|bytes| bytes.to_vec()))
    }

    fn is_settled(&self, one: &Awaited) -> Result<bool, DiskFull> {
        let shown = one.inspection.clone().map(|inspection| (inspection, one.sha256));
        Ok(shown.is_some_and(|shown| self.shown.contains(&shown)))
    }

    fn store(&mut self, one: &Awaited, bytes: &[u8]) -> Result<(), DiskFull> {
        self.stored()?;
        assert_eq!(Sha256::of(bytes), one.sha256, "what is stored is what was awaited");
        let bytes = Rc::new(bytes.to_vec());
        if one.kind == Kind::Report {
            let order = self.reports.len();
            let is_receipted = paper::is_receipted(&bytes);
            let filed = Filed { is_receipted, bytes, is_told: true, order };
            self.reports.entry(paper::identity(&filed.bytes)).or_insert(filed);
        } else {
            self.blobs.insert(one.sha256, bytes);
            self.shown.extend(one.inspection.clone().map(|inspection| (inspection, one.sha256)));
        }
        Ok(())
    }

    fn untold_reports(&self) -> Result<Vec<OwnReport>, DiskFull> {
        let mut untold: Vec<_> = self.reports.iter().filter(|(_, one)| !one.is_told || !one.is_receipted).collect();
        untold.sort_by_key(|(_, one)| one.order);
        let own = |(identity, one): (&Sha256, &Filed)| OwnReport {
            identity: *identity,
            is_receipted: one.is_receipted,
            is_told: one.is_told,
        };
        Ok(untold.into_iter().map(own).collect())
    }

    fn issued(&self, identity: &Sha256) -> Result<Option<Issued>, DiskFull> {
        let bytes = self.report(identity)?;
        Ok(bytes.filter(|bytes| paper::identity(bytes) == *identity).map(|_| paper::issued(identity)))
    }

    fn report(&self, identity: &Sha256) -> Result<Option<Vec<u8>>, DiskFull> {
        Ok(self.reports.get(identity).filter(|one| !one.bytes.is_empty()).map(|one| one.bytes.to_vec()))
    }

    fn add_receipt(&mut self, identity: &Sha256, receipt: &str) -> Result<bool, DiskFull> {
        self.stored()?;
        let Some(filed) = self.reports.get_mut(identity) else { return Ok(false) };
        if receipt != paper::receipt(identity) {
            return Ok(false);
        }
        filed.bytes = Rc::new(paper::with_receipt(&filed.bytes));
        filed.is_receipted = true;
        Ok(true)
    }

    fn lacks_timestamp(&self, identity: &Sha256) -> Result<bool, DiskFull> {
        Ok(self.reports.get(identity).is_some_and(|one| !paper::is_stamped(&one.bytes)))
    }

    fn add_timestamp(&mut self, identity: &Sha256, token: &[u8]) -> Result<bool, DiskFull> {
        self.stored()?;
        let Some(filed) = self.reports.get_mut(identity).filter(|_| token == paper::timestamp(identity)) else {
            return Ok(false);
        };
        filed.bytes = Rc::new(paper::with_timestamp(&filed.bytes));
        Ok(true)
    }

    fn keep_told(&mut self, identity: &Sha256) -> Result<bool, DiskFull> {
        self.stored()?;
        Ok(self.reports.get_mut(identity).map(|one| one.is_told = true).is_some())
    }

    fn untold_statement(&self) -> Result<Option<(String, String)>, DiskFull> {
        let untold = self.statements.iter().find(|(_, is_told)| !**is_told);
        Ok(untold.map(|(name, _)| (name.clone(), paper::statement(name))))
    }

    fn keep_stated(&mut self, name: &str) -> Result<(), DiskFull> {
        self.stored()?;
        self.statements.insert(name.to_owned(), true);
        Ok(())
    }

    fn forget_told(&mut self) -> Result<(), DiskFull> {
        self.stored()?;
        self.reports.values_mut().for_each(|one| one.is_told = false);
        self.statements.values_mut().for_each(|is_told| *is_told = false);
        Ok(())
    }

    fn draw_name(&mut self) -> Result<(DeviceId, String), DiskFull> {
        self.drawn += 1;
        let drawn = Sha256::of(format!("{} {}", self.device, self.drawn).as_bytes()).to_string();
        let device: DeviceId = format!("device-{}", &drawn[..12]).parse().unwrap();
        let token = token_of(&device);
        Ok((device, token))
    }

    fn go_on_as(&mut self, name: &DeviceId, token: &str, from: u64) -> Result<(), DiskFull> {
        self.stored()?;
        let moved: Vec<Entry> = self.row().iter().skip(from as usize - 1).filter_map(|one| one.body.clone()).collect();
        self.entries.retain(|id, _| id.device != self.device || id.seq < from);
        for (entry, seq) in moved.into_iter().zip(1..) {
            let id = EntryId { device: name.clone(), seq };
            self.entries.insert(id.clone(), Carried::whole(Entry { id, ..entry }));
        }
        (self.device, self.token) = (name.clone(), token.to_owned());
        Ok(())
    }
}
