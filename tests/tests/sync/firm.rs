//! A firm of several devices and an office, between them a link that does its worst.

use std::{
    cell::Cell,
    collections::{BTreeMap, BTreeSet},
    fs, io,
    path::{Path, PathBuf},
    sync::{Arc, Mutex},
    time::Duration,
};

use api::door::{OfficeBook, Source};
use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, header},
};
use chrono::{DateTime, TimeDelta, Utc};
use model::{DeviceId, Label, Sha256};
use notebook::{Connection, Notebook, Photo, Stamp};
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng as _, SeedableRng as _};
use seal::{certificate::Role, key::PrivateKey};
use serde_json::{Value, json};
use server::{AllRows, FirmId, LogKeeper, Office, OfficeWorld, digest_token, papers::ROOT, routes};
use sync::{Answered, Book as _, Courier, Errand, MOST_ASKED_BYTES, Method, Next, PIECE_BYTES};
use tower::ServiceExt as _;

use crate::{
    kept::{Kept, Opened},
    reports::{COUNT, POOL, put},
};

const FIRM: &str = "harbour-vale";
pub const INSPECTIONS: [&str; 3] = ["inspection-1", "inspection-2", "inspection-3"];
/// A courier that asks more than this for one exchange is going around in circles.
const MOST_STEPS: usize = 20_000;

/// Randomness of a history, and a clock that jumps.
#[derive(Clone)]
pub struct Chance(Arc<Mutex<ChaCha8Rng>>);

impl Chance {
    pub fn new(seed: u64) -> Self {
        Self(Arc::new(Mutex::new(ChaCha8Rng::seed_from_u64(seed))))
    }

    pub fn draw(&self) -> u64 {
        self.0.lock().unwrap().next_u64()
    }

    pub fn below(&self, most: u64) -> u64 {
        self.draw() % most
    }

    /// Whether something of so many in a hundred happens.
    pub fn of_hundred(&self, share: u64) -> bool {
        self.below(100) < share
    }

    fn bytes(&self, length: usize) -> Vec<u8> {
        let mut bytes = vec![0; length];
        self.0.lock().unwrap().fill_bytes(&mut bytes);
        bytes
    }

    fn stamp(&self) -> Stamp {
        Stamp {
            at: self.clock().fixed_offset(),
            author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
            salt: model::Salt::new(self.bytes(16).try_into().unwrap()),
        }
    }

    /// No two clocks agree, and none is right.
    fn clock(&self) -> DateTime<Utc> {
        DateTime::from_timestamp(1_800_000_000, 0).unwrap() + TimeDelta::seconds(self.below(1_000_000_000) as i64)
    }
}

impl Source for Chance {
    fn now(&self) -> DateTime<Utc> {
        self.clock()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        self.0.lock().unwrap().fill_bytes(bytes);
        Ok(())
    }
}

impl OfficeWorld for Chance {
    fn now(&self) -> DateTime<Utc> {
        self.clock()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        self.0.lock().unwrap().fill_bytes(bytes);
        Ok(())
    }
}

pub struct Device {
    file: PathBuf,
    pub book: Option<Notebook>,
    courier: Courier,
    /// Salts of entries of which the office has said that it has them.
    pub acknowledged: BTreeSet<String>,
    photographs: u32,
}

impl Device {
    fn book(&mut self) -> &mut Notebook {
        self.book.as_mut().unwrap()
    }

    fn open(&mut self, chance: &Chance) {
        let name: DeviceId = format!("device-{:016x}", chance.draw()).parse().unwrap();
        self.book = Some(Notebook::open(Connection::open(&self.file).unwrap(), &name).unwrap());
    }
}

/// How bad the link is, each in a hundred.
#[derive(Debug, Clone, Copy, Default)]
pub struct Link {
    pub lost_before: u64,
    pub lost_after: u64,
    pub twice: u64,
    pub late: u64,
    pub spoilt: u64,
    pub stranger: u64,
}

pub struct Firm {
    folder: tempfile::TempDir,
    kept: Kept,
    pub chance: Chance,
    pub devices: Vec<Device>,
    pub rows: Arc<dyn AllRows>,
    /// Of each process of the office: requests go to one after the other, as behind a load balancer.
    processes: Vec<Router>,
    /// Requests that were thought lost, with their tokens.
    late: Vec<(Errand, String)>,
    /// So many of the reports were sealed.
    pub sealed: usize,
    runtime: tokio::runtime::Runtime,
    /// What was last seen of the office's rows: none may become shorter or another.
    pub known: BTreeMap<String, Vec<Sha256>>,
    /// Requests that reached the office, and the bytes of their bodies and answers.
    pub traffic: Cell<(usize, usize)>,
}

pub fn firm() -> FirmId {
    FIRM.parse().unwrap()
}

/// Memory that looks like a disk, where there is some: a history syncs its files a hundred times.
fn fast_folder() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.unwrap()
}

/// All processes of the office, with the rows of one of them.
fn serve(kept: &Kept, chance: &Chance) -> (Arc<dyn AllRows>, Vec<Router>) {
    let (rows, processes): (Vec<_>, Vec<_>) = (0..kept.processes()).map(|_| serve_one(kept, chance)).unzip();
    (Arc::clone(&rows[0]), processes)
}

fn serve_one(kept: &Kept, chance: &Chance) -> (Arc<dyn AllRows>, Router) {
    let Opened { rows, shelf, blobs } = kept.open();
    shelf.put(&firm(), ROOT, POOL.root.as_bytes()).unwrap();
    let key = PrivateKey::from_seed(&[7; 32]);
    let keeper =
        LogKeeper::open(Arc::clone(&rows) as _, Arc::clone(&shelf), firm(), "log.harbour-vale.example", key).unwrap();
    let office = Office {
        rows: Arc::clone(&rows) as _,
        shelf,
        blobs,
        logs: BTreeMap::from([(firm(), Mutex::new(keeper))]),
        pages: None,
        stamps: true,
        world: Arc::new(chance.clone()),
        tell: Box::new(|_| {}),
    };
    (rows, routes(Arc::new(office), Duration::from_mins(1)))
}

impl Firm {
    /// A firm whose office keeps what it has in a folder of its own.
    pub fn begin(seed: u64, devices: usize) -> Self {
        let folder = fast_folder();
        let kept = Kept::Here(folder.path().to_owned());
        Self::begin_at(seed, devices, (folder, kept))
    }

    /// A firm whose office keeps what it has elsewhere.
    pub fn begin_elsewhere(seed: u64, devices: usize, kept: Kept) -> Self {
        Self::begin_at(seed, devices, (fast_folder(), kept))
    }

    fn begin_at(seed: u64, devices: usize, (folder, kept): (tempfile::TempDir, Kept)) -> Self {
        let chance = Chance::new(seed);
        let (rows, processes) = serve(&kept, &chance);
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
        let mut firm = Self {
            devices: Vec::new(),
            folder,
            kept,
            chance,
            rows,
            processes,
            late: Vec::new(),
            sealed: 0,
            runtime,
            known: BTreeMap::new(),
            traffic: Cell::new((0, 0)),
        };
        for nth in 0..devices {
            firm.add_device(nth);
        }
        firm
    }

    fn add_device(&mut self, nth: usize) {
        let mut device = Device {
            file: self.folder.path().join(format!("notebook-{nth}.sqlite")),
            book: None,
            courier: Courier::new(),
            acknowledged: BTreeSet::new(),
            photographs: 0,
        };
        device.open(&self.chance);
        let token = format!("{:016x}", self.chance.draw());
        let name = device.book().device().to_string();
        self.rows
            .open_code(&firm(), &[nth as u8; 32], ("a phone", Role::Inspector), DateTime::<Utc>::MAX_UTC, 5)
            .unwrap();
        let now = DateTime::from_timestamp(1, 0).unwrap();
        assert!(self.rows.let_in(&firm(), &[nth as u8; 32], &name, &digest_token(&token), now).unwrap());
        OfficeBook::new(device.book(), &self.chance.clone()).keep_token(&token).unwrap();
        device.book().keep("office.root", &POOL.root).unwrap();
        self.devices.push(device);
    }

    /// So many inspections of as many cars.
    pub fn write_many(&mut self, at: usize, count: usize) {
        let chance = self.chance.clone();
        let book = self.devices[at].book();
        for nth in 0..count {
            let given = [("car.registration".to_owned(), Value::from(format!("RM {nth:05}")))];
            book.begin(&format!("car-{nth}").parse().unwrap(), &given, || chance.stamp()).unwrap();
        }
    }

    /// A remark in each of these inspections; the bytes of the entries that say so.
    pub fn remark(&mut self, at: usize, inspections: &[usize]) -> usize {
        let chance = self.chance.clone();
        let book = self.devices[at].book();
        let before = book.own_count().unwrap();
        for nth in inspections {
            let remark = Value::from("seen again on the ramp: the inner face is smooth to the edge");
            book.write(&format!("car-{nth}").parse().unwrap(), "car.description", remark, chance.stamp()).unwrap();
        }
        let told = book.own_after(before, usize::MAX).unwrap();
        told.iter().map(|one| serde_json::to_vec(one).unwrap().len()).sum()
    }

    /// All that is to be told, over a good link: requests, and the bytes of bodies and answers.
    pub fn sync(&mut self, at: usize) -> (usize, usize) {
        self.devices[at].courier = Courier::new();
        self.traffic.set((0, 0));
        assert!(self.carry(at, MOST_STEPS, Link::default()));
        self.traffic.get()
    }

    /// Somebody writes something on a device.
    pub fn write(&mut self, at: usize) {
        let chance = self.chance.clone();
        let device = &mut self.devices[at];
        let id = INSPECTIONS[chance.below(3) as usize].parse().unwrap();
        let stamp = || chance.stamp();
        if device.book().draft(&id).is_err() {
            let given = [("car.registration".to_owned(), Value::from("RM 01 TEST"))];
            device.book().begin(&id, &given, stamp).unwrap();
        }
        match chance.below(10) {
            0 => drop(device.book().take_back(&id, stamp())),
            1 => drop(device.book().make_again(&id, stamp())),
            2 => {
                let length = if chance.of_hundred(8) { PIECE_BYTES as usize + 77 } else { chance.below(3000) as usize };
                let bytes = chance.bytes(length);
                let sha256 = Sha256::of(&bytes);
                device.book().store_photograph(&id, Photo { bytes: &bytes, small: None, copy: None }).unwrap();
                device.photographs += 1;
                let label: Label = format!("photo-{at}-{:04}", device.photographs).parse().unwrap();
                let value = json!({"sha256": sha256, "subject": {"of": "car"}, "taken": "imported", "taken_at": null, "caption": null});
                device.book().write(&id, &format!("photographs.{label}"), value, stamp()).unwrap();
            }
            3 => {
                let draft = device.book().draft(&id).unwrap();
                if let Some(conflict) = draft.conflicts.first() {
                    let entry = conflict.claimants[0].entry.clone();
                    device.book().settle(&id, &conflict.path.clone(), &entry, stamp()).unwrap();
                }
            }
            _ => {
                let path = ["car.registration", "car.description"][chance.below(2) as usize];
                let value = Value::from(format!("as written {}", chance.below(5)));
                device.book().write(&id, path, value, stamp()).unwrap();
            }
        }
    }

    /// A report is sealed on a device, if one is left.
    pub fn seal(&mut self, at: usize) {
        if self.sealed < COUNT {
            put(self.devices[at].book(), &POOL.reports[self.sealed]);
            self.sealed += 1;
        }
    }

    /// The office's processes end and begin again with what is kept.
    pub fn restart_office(&mut self) {
        (self.rows, self.processes) = serve(&self.kept, &self.chance);
    }

    /// Where the office lies.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The office is gone, and another one, made of a copy, stands in its place.
    pub fn replace_office(&mut self, restored: &Path) {
        self.kept = Kept::Here(restored.to_owned());
        self.restart_office();
        // It begins anew: what it had since the copy, devices tell it again.
        self.known.clear();
    }

    /// The app is closed and opened again.
    pub fn reopen(&mut self, at: usize) {
        let chance = self.chance.clone();
        self.devices[at].courier = Courier::new();
        self.devices[at].book = None;
        self.devices[at].open(&chance);
    }

    pub fn back_up(&mut self, at: usize) -> PathBuf {
        self.reopen_around(at, |file| {
            let copy = file.with_extension("copy");
            fs::copy(file, &copy).unwrap();
            copy
        })
    }

    /// A copy is put back: whatever was written since is gone from this device.
    pub fn put_back(&mut self, at: usize, copy: &Path) {
        self.reopen_around(at, |file| fs::copy(copy, file).unwrap());
    }

    fn reopen_around<T>(&mut self, at: usize, work: impl FnOnce(&Path) -> T) -> T {
        let chance = self.chance.clone();
        let device = &mut self.devices[at];
        device.book = None;
        let done = work(&device.file);
        device.courier = Courier::new();
        device.open(&chance);
        done
    }

    /// A courier makes so many steps at most, over this link. Whether all is told.
    pub fn carry(&mut self, at: usize, most: usize, link: Link) -> bool {
        for _ in 0..most {
            let chance = self.chance.clone();
            let device = &mut self.devices[at];
            let mut book = OfficeBook::new(device.book.as_mut().unwrap(), &chance);
            let next = device.courier.next(&mut book).unwrap();
            let token = book.token().unwrap().unwrap();
            let errand = match next {
                Next::Ask(errand) => errand,
                Next::Wait(_) => continue,
                Next::Done => return true,
                Next::Halt(halt) => panic!("device {at}: {halt:?}"),
            };
            let answered = self.deliver(errand, &token, link);
            let device = &mut self.devices[at];
            let mut book = OfficeBook::new(device.book.as_mut().unwrap(), &chance);
            device.courier.heard(&mut book, answered, chance.draw()).unwrap();
            self.note_acknowledged(at);
            self.hold_office_to_its_word();
        }
        false
    }

    fn deliver(&mut self, mut errand: Errand, token: &str, link: Link) -> Answered {
        let chance = self.chance.clone();
        if !self.late.is_empty() && chance.of_hundred(link.late) {
            // What was thought lost long ago arrives now.
            let nth = chance.below(self.late.len() as u64) as usize;
            let (late, token) = self.late.swap_remove(nth);
            self.ask(&late, &token);
        }
        if chance.of_hundred(link.stranger) {
            return Answered::Status(200, b"<html>Welcome to the harbour's free network</html>".to_vec());
        }
        if chance.of_hundred(link.lost_before) {
            if chance.of_hundred(50) {
                self.late.push((errand, token.to_owned()));
            }
            return Answered::Nothing;
        }
        if chance.of_hundred(link.spoilt) && !errand.body.is_empty() {
            let nth = chance.below(errand.body.len() as u64) as usize;
            errand.body[nth] ^= 1 << chance.below(8);
        }
        if chance.of_hundred(link.twice) {
            self.ask(&errand, token);
        }
        let answered = self.ask(&errand, token);
        if chance.of_hundred(link.lost_after) { Answered::Nothing } else { answered }
    }

    pub fn ask(&self, errand: &Errand, token: &str) -> Answered {
        let method = match errand.method {
            Method::Get => "GET",
            Method::Put => "PUT",
            Method::Post => "POST",
        };
        let mut request = Request::builder()
            .method(method)
            .uri(format!("/{}", errand.path))
            .header(header::AUTHORIZATION, format!("Bearer {token}"));
        if let Some(digest) = &errand.content_digest {
            request = request.header("content-digest", digest);
        }
        let request = request.body(Body::from(errand.body.clone())).unwrap();
        let (requests, _) = self.traffic.get();
        let process = self.processes[requests % self.processes.len()].clone();
        self.runtime.block_on(async {
            let response = process.oneshot(request).await.unwrap();
            let status = response.status().as_u16();
            let body = to_bytes(response.into_body(), 8 << 20).await.unwrap().to_vec();
            let (requests, bytes) = self.traffic.get();
            self.traffic.set((requests + 1, bytes + errand.body.len() + body.len()));
            Answered::Status(status, body)
        })
    }

    fn note_acknowledged(&mut self, at: usize) {
        let chance = self.chance.clone();
        let device = &mut self.devices[at];
        let book = OfficeBook::new(device.book.as_mut().unwrap(), &chance);
        let held = book.state().unwrap().held as usize;
        let own = book.own_after(0, usize::MAX).unwrap();
        device.acknowledged.extend(own.iter().take(held).map(|one| one.body.as_ref().unwrap().salt.to_string()));
    }

    pub(super) fn office_entries(&self) -> Vec<model::Carried> {
        let nobody = "nobody".parse().unwrap();
        let (mut all, mut seen) = (Vec::new(), 0);
        loop {
            let part = self.rows.part(&firm(), seen, (&nobody, 0), MOST_ASKED_BYTES).unwrap();
            all.extend(part.entries);
            seen = part.seen;
            if !part.more {
                return all;
            }
        }
    }

    /// The link is good again, everybody syncs until nobody has anything to tell.
    pub fn settle(&mut self) {
        for _ in 0..3 {
            for at in 0..self.devices.len() {
                self.devices[at].courier = Courier::new();
                assert!(self.carry(at, MOST_STEPS, Link::default()), "device {at} does not come to an end");
            }
        }
    }

    pub fn forks(&self) -> usize {
        self.rows.forks(&firm()).unwrap().len()
    }
}
