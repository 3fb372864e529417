//! A log and its witnesses: who answers signs, who is away delays nobody, who answers falsely leaves no trace.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::{
    io,
    net::TcpListener,
    path::Path,
    sync::{Arc, Mutex},
    time::Duration,
};

use chrono::{DateTime, TimeDelta, Utc};
use log::{Checkpoint, EntryKind, LogKey, WitnessKey, audit};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
    receipt::{Receipt, Witnesses},
};
use server::{
    AskWitness, AskedWitness, FirmId, FolderShelf, HttpWitness, Limits, LogKeeper, OfficeWorld, Shelf, SqliteRows,
    Witness, WitnessError, serve, witness_routes,
};

const LOG: &str = "log.example/harbour-vale";

fn private(seed: u8) -> PrivateKey {
    PrivateKey::from_seed(&[seed; 32])
}

fn log_key() -> LogKey {
    LogKey::new(LOG, private(3).public()).unwrap()
}

fn name(seed: u8) -> WitnessKey {
    WitnessKey::new(&format!("witness.example/w{seed}"), private(seed).public()).unwrap()
}

fn at(minute: u32) -> DateTime<Utc> {
    format!("2026-11-24T10:{minute:02}:00Z").parse().unwrap()
}

fn issued(text: &str) -> EntryKind {
    let report = ReportIdentity(Sha256Digest::of(text.as_bytes()));
    EntryKind::Issued { report, signature: Sha256Digest::of(b"a signature") }
}

fn firm() -> FirmId {
    "harbour-vale".parse().unwrap()
}

fn keeper(folder: &Path) -> LogKeeper {
    let rows = Arc::new(SqliteRows::open(&folder.join("office.sqlite")).unwrap());
    let shelf = Arc::new(FolderShelf::open(&folder.join("public")).unwrap());
    LogKeeper::open(rows, shelf, firm(), LOG, private(3)).unwrap()
}

fn shown(folder: &Path) -> Checkpoint {
    let public = folder.join("public").join(firm().as_str());
    audit(&log_key(), None, |path| std::fs::read(public.join(path))).unwrap().checkpoint
}

fn witness(folder: &Path, seed: u8) -> Witness {
    let shelf = FolderShelf::open(&folder.join(format!("w{seed}"))).unwrap();
    let place = Sha256Digest::of(LOG.as_bytes()).to_hex();
    shelf.put(&"logs".parse().unwrap(), &place, log_key().to_text().as_bytes()).unwrap();
    Witness::new(Arc::new(shelf), folder.join(format!("w{seed}.lock")), name(seed), private(seed))
}

/// A way to a witness that a test can close, or turn into one that lies.
struct Way {
    witness: Witness,
    answer: Mutex<Answer>,
    asked: Mutex<Vec<String>>,
}

#[derive(Clone)]
enum Answer {
    Honest,
    Away,
    Says(u16, String),
}

impl Way {
    fn to(folder: &Path, seed: u8) -> Arc<Self> {
        let witness = witness(folder, seed);
        Arc::new(Self { witness, answer: Mutex::new(Answer::Honest), asked: Mutex::default() })
    }

    fn set(&self, answer: Answer) {
        *self.answer.lock().unwrap() = answer;
    }

    /// How often it was asked since this was asked last.
    fn count(&self) -> usize {
        std::mem::take(&mut *self.asked.lock().unwrap()).len()
    }
}

impl AskWitness for Way {
    fn add_checkpoint(&self, request: &str) -> io::Result<(u16, String)> {
        self.asked.lock().unwrap().push(request.to_owned());
        match self.answer.lock().unwrap().clone() {
            Answer::Away => Err(io::ErrorKind::TimedOut.into()),
            Answer::Says(status, body) => Ok((status, body)),
            Answer::Honest => Ok(match self.witness.add_checkpoint(request, at(30)) {
                Ok(line) => (200, line),
                Err(WitnessError::Refused(log::WitnessRefusal::Moved { size })) => (409, format!("{size}\n")),
                Err(WitnessError::Refused(refusal)) => (refusal.status(), refusal.to_string()),
                Err(_) => (500, String::new()),
            }),
        }
    }
}

fn asked(seed: u8, way: &Arc<Way>) -> AskedWitness {
    AskedWitness::new(name(seed), Arc::clone(way) as _)
}

/// Enters a report; who of the witnesses 5, 6 and 7 has signed its receipt.
fn enter(keeper: &mut LogKeeper, text: &str, minute: u32) -> (Receipt, usize) {
    let entered = keeper.enter(&[issued(text)], at(minute)).unwrap();
    let receipt = Receipt::parse(&keeper.receipt(&entered[0]).unwrap().to_text()).unwrap();
    let report = ReportIdentity(Sha256Digest::of(text.as_bytes()));
    receipt.check(report, b"a signature", &[log_key()]).unwrap();
    let witnesses = Witnesses::new(vec![name(5), name(6), name(7)], 1).unwrap();
    let found = witnesses.judge(&receipt.checkpoint, at(59)).unwrap();
    (receipt, found.count)
}

#[test]
fn each_head_is_signed_by_those_who_answer() {
    let folder = tempfile::tempdir().unwrap();
    let (one, other) = (Way::to(folder.path(), 5), Way::to(folder.path(), 6));
    let mut keeper = keeper(folder.path());
    keeper.ask_witnesses(vec![asked(5, &one), asked(6, &other)]);
    for nth in 0..5 {
        let (receipt, count) = enter(&mut keeper, &format!("report {nth}"), nth);
        assert_eq!(count, 2, "{nth}");
        assert_eq!(shown(folder.path()), receipt.checkpoint, "what is shown is what is given");
        assert_eq!((one.count(), other.count()), (1, 1), "one question for each head");
    }
    // The same report again: nothing is asked, and its receipt is signed as before. Taken up anew as well.
    assert_eq!(enter(&mut keeper, "report 2", 6).1, 2);
    assert_eq!(enter(&mut self::keeper(folder.path()), "report 2", 6).1, 2);
    assert_eq!((one.count(), other.count()), (0, 0));
}

#[test]
fn who_is_away_delays_nobody_and_signs_when_back() {
    let folder = tempfile::tempdir().unwrap();
    let (one, other) = (Way::to(folder.path(), 5), Way::to(folder.path(), 6));
    let mut keeper = keeper(folder.path());
    keeper.ask_witnesses(vec![asked(5, &one), asked(6, &other)]);
    other.set(Answer::Away);
    assert_eq!(enter(&mut keeper, "first", 1).1, 1);
    assert_eq!(enter(&mut keeper, "second", 1).1, 1);
    assert_eq!((one.count(), other.count()), (2, 1), "it is left alone for a minute");
    other.set(Answer::Honest);
    let again = keeper.enter(&[issued("second")], at(1) + TimeDelta::seconds(59)).unwrap();
    assert!(!again[0].is_new && other.count() == 0);
    assert_eq!(enter(&mut keeper, "second", 2).1, 2, "whoever asks again gets it signed");
    assert_eq!((one.count(), other.count()), (0, 1));
}

#[test]
fn what_is_no_signature_of_its_own_is_not_taken() {
    let folder = tempfile::tempdir().unwrap();
    let (one, other) = (Way::to(folder.path(), 5), Way::to(folder.path(), 6));
    let mut keeper = keeper(folder.path());
    keeper.ask_witnesses(vec![asked(5, &one), asked(6, &other)]);
    let head = Checkpoint::sign(LOG, 99, Sha256Digest::of(b"another tree"), &private(3));
    let of_another_head = head.cosign(&name(6), &private(6), at(1)).unwrap();
    let others = head.cosign(&name(7), &private(7), at(1)).unwrap();
    let answers = [
        (200, String::new()),
        (200, "ok\n".to_owned()),
        (200, of_another_head),
        (200, others),
        (200, "\n\n— w AAAAAAAA\n".to_owned()),
        (409, "99\n".to_owned()),
        (409, "many\n".to_owned()),
        (500, String::new()),
        (404, "not here\n".to_owned()),
    ];
    for ((status, body), minute) in answers.into_iter().zip((0..).step_by(2)) {
        other.set(Answer::Says(status, body.clone()));
        let (receipt, count) = enter(&mut keeper, &format!("{status} {body}"), minute);
        assert_eq!(count, 1, "{status} {body:?}");
        assert_eq!(receipt.checkpoint.signature_lines().lines().count(), 2, "{status} {body:?}");
        assert!(other.count() <= 2);
    }
    assert_eq!(enter(&mut keeper, "after", 50).1, 1);
    other.set(Answer::Honest);
    assert_eq!(enter(&mut keeper, "honest again", 55).1, 2);
}

#[test]
fn a_keeper_that_begins_anew_learns_what_a_witness_has_signed() {
    let folder = tempfile::tempdir().unwrap();
    let one = Way::to(folder.path(), 5);
    let mut first = keeper(folder.path());
    first.ask_witnesses(vec![asked(5, &one)]);
    enter(&mut first, "first", 1);
    enter(&mut first, "second", 2);
    one.count();
    let mut second = keeper(folder.path());
    second.ask_witnesses(vec![asked(5, &one)]);
    assert_eq!(enter(&mut second, "third", 3).1, 1);
    assert_eq!(one.count(), 2, "asked, told a size, asked again");
    // The first one knows an older size, and learns as well.
    assert_eq!(enter(&mut first, "fourth", 4).1, 1);
    assert_eq!(shown(folder.path()).size(), 4);
}

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        at(30)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        bytes.fill(9);
        Ok(())
    }
}

#[test]
fn over_the_network_it_is_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let routes = witness_routes(witness(folder.path(), 5), Arc::new(World), Duration::from_secs(5));
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).unwrap();
    let address = format!("http://{}/", listener.local_addr().unwrap());
    runtime.spawn(serve(listener, routes, Limits::default(), std::future::pending()));
    // One that takes connections and says nothing, and one where nobody listens.
    let silent = TcpListener::bind("127.0.0.1:0").unwrap();
    let nobody = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let silent_address = format!("http://{}", silent.local_addr().unwrap());
    let way = |address: &str, limit| Arc::new(HttpWitness::parse(address, limit).unwrap());
    let mut keeper = keeper(folder.path());
    keeper.ask_witnesses(vec![
        AskedWitness::new(name(5), way(&address, Duration::from_secs(20))),
        AskedWitness::new(name(6), way(&silent_address, Duration::from_millis(50))),
        AskedWitness::new(name(7), way(&format!("http://{nobody}"), Duration::from_secs(20))),
    ]);
    for nth in 0..3 {
        let (receipt, count) = enter(&mut keeper, &format!("report {nth}"), nth);
        assert_eq!(count, 1);
        assert_eq!(receipt.checkpoint.cosigned_at(&name(5)), Ok(Some(at(30).timestamp() as u64)));
    }
}
