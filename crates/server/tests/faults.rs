//! A store that fails at any one of its calls while a device tells and sends, before its effect or after it: the device asks
//! again, and in the end everything is there once.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use std::{
    collections::BTreeMap,
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
    time::Duration,
};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, header},
};
use chrono::{DateTime, Utc};
use model::{Carried, Change, DeviceId, Entry, EntryId, Salt, Sha256};
use serde_json::{Value, json};
use server::{
    Blobs, Devices as _, EntryRows, FirmId, FolderBlobs, FolderShelf, Fork, Joined, NewEntries, Office, OfficeWorld,
    Part, RowEnd, SqliteRows, StoreError, digest_token, routes,
};
use sync::{Answer, Ask, Finish, PIECE_BYTES, content_digest};
use tower::ServiceExt as _;

const DEVICE: &str = "device-ines";
/// No device needs more turns after one fault.
const MOST_TURNS: usize = 4;

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        bytes.fill(7);
        Ok(())
    }
}

/// Counts down to the one call that fails.
struct Fuse {
    left: AtomicI64,
    persisted: bool,
}

impl Fuse {
    fn guard<T>(&self, work: impl FnOnce() -> Result<T, StoreError>) -> Result<T, StoreError> {
        let fails = self.left.fetch_sub(1, Ordering::SeqCst) == 0;
        if fails && !self.persisted {
            return Err(StoreError::Failed("on purpose".to_owned()));
        }
        let done = work();
        if fails { Err(StoreError::Failed("on purpose, after its effect".to_owned())) } else { done }
    }
}

/// A store behind a fuse.
struct Failing<S> {
    store: Arc<S>,
    fuse: Arc<Fuse>,
}

impl<S: EntryRows> EntryRows for Failing<S> {
    fn epoch(&self, firm: &FirmId, draw: &str) -> Result<String, StoreError> {
        self.fuse.guard(|| self.store.epoch(firm, draw))
    }
    fn row_end(&self, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
        self.fuse.guard(|| self.store.row_end(firm, device))
    }
    fn digest(&self, firm: &FirmId, id: &EntryId) -> Result<Option<Sha256>, StoreError> {
        self.fuse.guard(|| self.store.digest(firm, id))
    }
    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.take(firm, new))
    }
    fn part(&self, firm: &FirmId, seen: u64, without: (&DeviceId, u64), most: usize) -> Result<Part, StoreError> {
        self.fuse.guard(|| self.store.part(firm, seen, without, most))
    }
    fn keep_fork(&self, firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.keep_fork(firm, entry, at))
    }
    fn forks(&self, firm: &FirmId) -> Result<Vec<Fork>, StoreError> {
        self.fuse.guard(|| self.store.forks(firm))
    }
    fn wanted(&self, firm: &FirmId, device: &DeviceId, most: u64) -> Result<Vec<Sha256>, StoreError> {
        self.fuse.guard(|| self.store.wanted(firm, device, most))
    }
    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.share_wanted(firm, from, to))
    }
    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.is_wanted(firm, device, sha256))
    }
    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.keep_blob(firm, sha256, length))
    }
    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError> {
        self.fuse.guard(|| self.store.blob(firm, sha256))
    }
}

impl<S: Blobs> Blobs for Failing<S> {
    fn stage(&self, firm: &FirmId, of: &DeviceId, sha256: &Sha256, nth: u64, bytes: &[u8]) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.stage(firm, of, sha256, nth, bytes))
    }
    fn staged(&self, firm: &FirmId, of: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError> {
        self.fuse.guard(|| self.store.staged(firm, of, sha256))
    }
    fn join(&self, firm: &FirmId, of: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError> {
        self.fuse.guard(|| self.store.join(firm, of, sha256, length))
    }
    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError> {
        self.fuse.guard(|| self.store.piece(firm, sha256, nth))
    }
    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError> {
        self.fuse.guard(|| self.store.sweep(unmoved_since))
    }
}

fn firm() -> FirmId {
    "harbour-vale".parse().unwrap()
}

fn entry(seq: u64, path: &str, value: Value) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: DEVICE.parse().unwrap(), seq },
        inspection: "inspection-1".parse().unwrap(),
        path: path.to_owned(),
        value,
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: Salt::new([3; 16]),
    })
}

async fn ask(routes: &Router, method: &str, path: &str, body: &[u8]) -> (u16, Vec<u8>) {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::AUTHORIZATION, format!("Bearer {DEVICE}"))
        .header("content-digest", content_digest(body));
    let response = routes.clone().oneshot(request.body(Body::from(body.to_vec())).unwrap()).await.unwrap();
    let status = response.status().as_u16();
    (status, to_bytes(response.into_body(), 8 << 20).await.unwrap().to_vec())
}

/// A turn of a device from what it thinks that the office has; whether all of it was answered well, and what it then knows.
async fn tell(routes: &Router, row: &[Carried], photograph: &[u8], held: &mut u64, whole: &mut bool) -> bool {
    let entries = row[*held as usize..].to_vec();
    let told = serde_json::to_vec(&Ask { epoch: None, seen: 0, own: row.len() as u64, entries }).unwrap();
    let (status, answer) = ask(routes, "POST", "/v1/sync", &told).await;
    if status != 200 {
        assert_eq!(status, 503, "a fault is answered as one");
        return false;
    }
    let answer: Answer = serde_json::from_slice(&answer).unwrap();
    assert!(answer.held >= *held, "what was acknowledged is lost");
    assert!(!*whole || answer.wants.is_empty(), "a photograph was acknowledged and is asked for again");
    *held = answer.held;
    for wanted in answer.wants {
        let path = format!("/v1/blobs/{}", wanted.sha256);
        for (nth, piece) in (0..).zip(photograph.chunks(PIECE_BYTES as usize)) {
            if !wanted.pieces.contains(&nth) && ask(routes, "PUT", &format!("{path}/{nth}"), piece).await.0 != 204 {
                return false;
            }
        }
        let finish = serde_json::to_vec(&Finish { length: photograph.len() as u64 }).unwrap();
        if ask(routes, "POST", &path, &finish).await.0 != 204 {
            return false;
        }
        *whole = true;
    }
    true
}

/// Lives with a fault at this call; whether there was one.
async fn live(nth: i64, persisted: bool) -> bool {
    let folder = tempfile::tempdir().unwrap();
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
    let blobs = Arc::new(FolderBlobs::open(&folder.path().join("blobs")).unwrap());
    rows.open_code(&firm(), &[1; 32], "a phone", DateTime::<Utc>::MAX_UTC, 5).unwrap();
    assert!(rows.let_in(&firm(), &[1; 32], DEVICE, &digest_token(DEVICE), World.now()).unwrap());
    let fuse = Arc::new(Fuse { left: AtomicI64::new(nth), persisted });
    let office = Office {
        devices: Arc::clone(&rows) as _,
        shelf: Arc::new(FolderShelf::open(&folder.path().join("public")).unwrap()),
        entries: Arc::new(Failing { store: Arc::clone(&rows), fuse: Arc::clone(&fuse) }),
        blobs: Arc::new(Failing { store: Arc::clone(&blobs), fuse: Arc::clone(&fuse) }),
        logs: BTreeMap::new(),
        pages: None,
        world: Arc::new(World),
        tell: Box::new(|_| {}),
    };
    let routes = routes(Arc::new(office), Duration::from_mins(1));
    let photograph: Vec<u8> = (0..PIECE_BYTES + 77).map(|nth| (nth * 31 % 251) as u8).collect();
    let row = [
        entry(1, "car.description", json!("as written")),
        entry(2, "photographs.photo-0001", json!({ "sha256": Sha256::of(&photograph) })),
        entry(3, "car.description", json!("as written later")),
    ];
    let (mut held, mut whole, mut turns) = (0, false, 0);
    while !(tell(&routes, &row, &photograph, &mut held, &mut whole).await && held == 3) {
        turns += 1;
        assert!(turns < MOST_TURNS, "call {nth}: the device does not come to an end");
    }
    let has_failed = fuse.left.load(Ordering::SeqCst) < 0;
    let taken = rows.part(&firm(), 0, (&"nobody".parse().unwrap(), 0), usize::MAX).unwrap();
    assert_eq!(taken.entries, row, "call {nth}: once each, in their order");
    let sha256 = Sha256::of(&photograph);
    let pieces: Vec<u8> =
        (0..2).flat_map(|piece| blobs.piece(&firm(), &sha256, piece).unwrap().expect("it is there")).collect();
    assert!(pieces == photograph, "call {nth}: other bytes");
    assert!(rows.forks(&firm()).unwrap().is_empty());
    assert_eq!(blobs.staged(&firm(), &DEVICE.parse().unwrap(), &sha256).unwrap(), Vec::<u64>::new());
    has_failed
}

#[tokio::test]
async fn a_fault_at_any_call_of_the_stores_loses_nothing_and_doubles_nothing() {
    for persisted in [false, true] {
        let mut faults = 0;
        while live(faults, persisted).await {
            faults += 1;
            assert!(faults < 200, "a session of so many calls was not meant");
        }
        assert!(faults > 12, "only {faults} calls were made to fail");
    }
}
