//! An office in memory that says what the real one says, and falls over where a courier asks what it must not.

use std::{
    collections::{BTreeMap, BTreeSet},
    rc::Rc,
};

use model::{Carried, DeviceId, EntryId, Sha256};
use serde::{Serialize, de::DeserializeOwned};
use serde_json::json;
use sync::{
    Answer, Ask, Bring, Brought, Errand, Finish, Follow, Forked, Issued, Method, PIECE_BYTES, Sealed, Stamp, Wanted,
    content_digest, named_blob, pieces,
};

use crate::paper;

/// So few at once, so that there is more.
const MOST_TOLD: usize = 3;
const MOST_REPORTS: usize = 2;

type Said = (u16, Vec<u8>);
type Pieces = BTreeMap<u64, Rc<Vec<u8>>>;

#[derive(Debug, Clone, Default)]
pub struct Office {
    pub epoch: String,
    /// By their tokens.
    pub devices: BTreeMap<String, DeviceId>,
    /// In the order in which they came.
    pub entries: Vec<Carried>,
    pub forks: usize,
    pub wanted: BTreeSet<(DeviceId, Sha256)>,
    pub staged: BTreeMap<(DeviceId, Sha256), Pieces>,
    pub blobs: BTreeMap<Sha256, Rc<Vec<u8>>>,
    pub reports: Vec<Sealed>,
    pub statements: BTreeSet<String>,
    /// The authority has answered for each report.
    pub is_stamped: bool,
    /// So many of what it lacks are named at once.
    pub names_at_once: usize,
}

fn refuse(status: u16, code: &str) -> Said {
    (status, serde_json::to_vec(&json!({"fault": {"code": code}})).unwrap())
}

fn say(answer: &impl Serialize) -> Said {
    (200, serde_json::to_vec(answer).unwrap())
}

fn read<T: DeserializeOwned>(body: &[u8]) -> T {
    serde_json::from_slice(body).expect("a courier says nothing that cannot be read")
}

impl Office {
    pub fn new(epoch: &str) -> Self {
        Self { epoch: epoch.to_owned(), names_at_once: 2, ..Self::default() }
    }

    pub fn let_in(&mut self, device: &DeviceId, token: &str) {
        self.devices.insert(token.to_owned(), device.clone());
    }

    pub fn row(&self, device: &DeviceId) -> Vec<&Carried> {
        self.entries.iter().filter(|entry| entry.id.device == *device).collect()
    }

    /// Answers as the real office does, whose routes its own tests hold to this.
    pub fn answer(&mut self, token: &str, errand: &Errand) -> Said {
        let Some(device) = self.devices.get(token).cloned() else { return refuse(401, "who-is-it") };
        let told = errand.content_digest.as_ref();
        if errand.method != Method::Get && told != Some(&content_digest(&errand.body)) {
            return refuse(409, "spoilt-on-the-way");
        }
        let parts: Vec<&str> = errand.path.split('/').collect();
        match (errand.method, &parts[..]) {
            (Method::Post, ["v1", "sync"]) => self.exchange(&device, read(&errand.body)),
            (Method::Post, ["v1", "follow"]) => self.follow(&device, read(&errand.body)),
            (Method::Post, ["v1", "receipts"]) => {
                let signature = read::<Issued>(&errand.body).read().unwrap();
                let identity = String::from_utf8(signature).unwrap().strip_prefix("signed ").unwrap().parse().unwrap();
                (200, paper::receipt(&identity).into_bytes())
            }
            (Method::Post, ["v1", "reports"]) => self.bring(&device, &read(&errand.body)),
            (Method::Post, ["v1", "statements"]) => {
                let text = String::from_utf8(errand.body.clone()).unwrap();
                self.statements.insert(text.strip_prefix("it does not stand: ").unwrap().to_owned());
                say(&json!({"entry": self.statements.len(), "at": "2026-11-24T10:00:00+00:00"}))
            }
            (Method::Post, ["v1", "blobs", sha256]) => {
                self.finish(&device, sha256.parse().unwrap(), read(&errand.body))
            }
            (Method::Put, ["v1", "blobs", sha256, nth]) => {
                self.put(device, sha256.parse().unwrap(), nth.parse().unwrap(), &errand.body)
            }
            (Method::Get, ["v1", "blobs", sha256, nth]) => {
                let Some(bytes) = self.blobs.get(&sha256.parse().unwrap()) else { return refuse(404, "not-there") };
                let nth: usize = nth.parse().unwrap();
                (200, bytes.chunks(PIECE_BYTES as usize).nth(nth).unwrap_or_default().to_vec())
            }
            _ => panic!("a courier asks nothing at {:?} {}", errand.method, errand.path),
        }
    }

    fn exchange(&mut self, device: &DeviceId, ask: Ask) -> Said {
        for (entry, nth) in ask.entries.iter().zip(0..) {
            assert_eq!(entry.id.device, *device, "a device tells its own row alone");
            assert_eq!(entry.id.seq, ask.entries[0].id.seq + nth, "a row is told without gaps");
            assert!(entry.is_true(), "a digest is that of what is said");
        }
        for entry in ask.entries {
            let row = self.row(device);
            match row.get(entry.id.seq as usize - 1).map(|here| here.body_digest == entry.body_digest) {
                Some(true) => {}
                Some(false) => {
                    self.forks += 1;
                    return (409, serde_json::to_vec(&Forked { at: entry.id.seq }).unwrap());
                }
                // What comes after a gap is told again from where the row ends.
                None if entry.id.seq != row.len() as u64 + 1 => break,
                None => {
                    let named = entry.body.as_ref().and_then(named_blob).map(|one| one.sha256);
                    self.wanted.extend(
                        named.filter(|sha256| !self.blobs.contains_key(sha256)).map(|one| (device.clone(), one)),
                    );
                    self.entries.push(entry);
                }
            }
        }
        let is_other = ask.epoch.is_some_and(|epoch| epoch != self.epoch);
        let (seen, reports_seen) = if is_other { (0, 0) } else { (ask.seen as usize, ask.reports_seen as usize) };
        let is_news = |id: &EntryId| id.device != *device || id.seq > ask.own;
        let unseen = self.entries.iter().enumerate().skip(seen).filter(|(_, entry)| is_news(&entry.id));
        let mut unseen: Vec<_> = unseen.take(MOST_TOLD + 1).collect();
        let more = unseen.len() > MOST_TOLD;
        unseen.truncate(MOST_TOLD);
        let seen = if more { unseen.last().map_or(seen, |(at, _)| at + 1) } else { self.entries.len() };
        let reports: Vec<Sealed> = self.reports.iter().skip(reports_seen).take(MOST_REPORTS).cloned().collect();
        let stamps =
            ask.unstamped.iter().flatten().filter(|_| self.is_stamped).filter(|one| self.report(one).is_some());
        let wants = self.wanted.iter().filter(|(by, sha256)| by == device && Some(*sha256) > ask.wants_after);
        let wants = wants.take(self.names_at_once);
        let wants = wants.map(|(by, sha256)| Wanted {
            sha256: *sha256,
            pieces: self.staged.get(&(by.clone(), *sha256)).into_iter().flat_map(BTreeMap::keys).copied().collect(),
        });
        say(&Answer {
            epoch: self.epoch.clone(),
            seen: seen as u64,
            more: more || reports.len() == MOST_REPORTS,
            held: self.row(device).len() as u64,
            entries: unseen.into_iter().map(|(_, entry)| entry.clone()).collect(),
            wants: wants.collect(),
            reports_seen: (reports_seen + reports.len()) as u64,
            reports,
            stamps: Some(stamps.map(|one| Stamp::carry(*one, &paper::timestamp(one))).collect()),
        })
    }

    fn follow(&mut self, before: &DeviceId, Follow { device, token }: Follow) -> Said {
        assert!(token.len() == 64 && token.bytes().all(|byte| byte.is_ascii_hexdigit()));
        let shared: Vec<_> = self.wanted.iter().filter(|(by, _)| by == before).map(|(_, sha256)| *sha256).collect();
        self.wanted.extend(shared.into_iter().map(|sha256| (device.clone(), sha256)));
        self.let_in(&device, &token);
        (204, Vec::new())
    }

    pub fn report(&self, identity: &Sha256) -> Option<&Sealed> {
        self.reports.iter().find(|one| one.identity == *identity)
    }

    fn bring(&mut self, device: &DeviceId, Bring { sha256, length }: &Bring) -> Said {
        let Some(bytes) = self.blobs.get(sha256) else {
            let key = (device.clone(), *sha256);
            let pieces = self.staged.get(&key).into_iter().flat_map(BTreeMap::keys).copied().collect();
            self.wanted.insert(key);
            return say(&Brought { here: false, pieces });
        };
        assert_eq!(bytes.len() as u64, *length);
        assert!(paper::is_receipted(bytes), "a report comes with its receipt");
        let identity = paper::identity(bytes);
        if self.report(&identity).is_none() {
            self.reports.push(Sealed { identity, sha256: *sha256 });
        }
        say(&Brought { here: true, pieces: Vec::new() })
    }

    fn put(&mut self, device: DeviceId, sha256: Sha256, nth: u64, piece: &[u8]) -> Said {
        assert!(!piece.is_empty() && piece.len() as u64 <= PIECE_BYTES);
        let key = (device, sha256);
        if !self.wanted.contains(&key) {
            return if self.blobs.contains_key(&sha256) { (204, Vec::new()) } else { refuse(404, "not-wanted") };
        }
        self.staged.entry(key).or_default().insert(nth, Rc::new(piece.to_vec()));
        (204, Vec::new())
    }

    fn finish(&mut self, device: &DeviceId, sha256: Sha256, Finish { length }: Finish) -> Said {
        if self.blobs.contains_key(&sha256) {
            return (204, Vec::new());
        }
        let key = (device.clone(), sha256);
        if !self.wanted.contains(&key) {
            return refuse(404, "not-wanted");
        }
        let staged = self.staged.remove(&key).unwrap_or_default();
        let bytes: Vec<u8> = staged.values().flat_map(|piece| piece.iter().copied()).collect();
        if staged.len() as u64 != pieces(length) {
            self.staged.insert(key, staged);
            return refuse(409, "spoilt-on-the-way");
        }
        assert_eq!((bytes.len() as u64, Sha256::of(&bytes)), (length, sha256), "pieces are those of the file");
        self.wanted.retain(|(_, one)| *one != sha256);
        self.blobs.insert(sha256, Rc::new(bytes));
        (204, Vec::new())
    }

    /// Rows are whole, and nothing is in them that is not what it says.
    pub fn keep_to_its_word(&self) {
        let mut ends: BTreeMap<&DeviceId, u64> = BTreeMap::new();
        for entry in &self.entries {
            let end = ends.entry(&entry.id.device).or_default();
            assert_eq!(entry.id.seq, *end + 1, "a gap in the row of {}", entry.id.device);
            *end += 1;
        }
    }
}
