//! A witness under everything that may befall it: two trees of one log, faults at every step, processes that race and die.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::{
    path::Path,
    process::{Child, Command, Stdio},
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
    time::Duration,
};

use axum::{
    body::{Body, to_bytes},
    http::{Request, StatusCode, header},
};
use chrono::{DateTime, Utc};
use log::{AddCheckpoint, Checkpoint, LogKey, Tree, WitnessKey, WitnessRefusal};
use seal::{digest::Sha256Digest, key::PrivateKey, key_file::Passphrase};
use server::{
    FirmId, FolderShelf, OfficeWorld, Shelf, StoreError, Witness, WitnessError, WitnessFolder, WitnessFolderError,
    witness_routes,
};
use tower::ServiceExt as _;

const LOG: &str = "log.example/harbour-vale";

fn log_key() -> PrivateKey {
    PrivateKey::from_seed(&[3; 32])
}

fn key() -> PrivateKey {
    PrivateKey::from_seed(&[5; 32])
}

fn public() -> WitnessKey {
    WitnessKey::new("witness.example/w1", key().public()).unwrap()
}

fn at(second: u32) -> DateTime<Utc> {
    format!("2026-11-24T10:00:{second:02}Z").parse().unwrap()
}

/// A tree whose entries bear its name; trees of two names differ from the first entry on.
fn grown(name: &str, count: u64) -> Tree {
    let mut tree = Tree::default();
    for nth in 0..count {
        tree.append(format!("{name} {nth}").as_bytes());
    }
    tree
}

fn ask(tree: &Tree, old: u64, size: u64) -> String {
    let head = Checkpoint::sign(LOG, size, tree.root_at(size).unwrap(), &log_key());
    AddCheckpoint::new(tree, old, head).unwrap().to_text()
}

/// A witness over this folder that watches the log, its key unlocked: what a passphrase does is the folder's affair.
fn open(folder: &Path) -> Witness {
    over(Arc::new(FolderShelf::open(&folder.join("kept")).unwrap()), folder)
}

fn over(shelf: Arc<dyn Shelf>, folder: &Path) -> Witness {
    let log = LogKey::new(LOG, log_key().public()).unwrap();
    let place = Sha256Digest::of(LOG.as_bytes()).to_hex();
    let logs = FolderShelf::open(&folder.join("kept")).unwrap();
    logs.put(&"logs".parse().unwrap(), &place, log.to_text().as_bytes()).unwrap();
    Witness::new(shelf, folder.join("lock"), public(), key())
}

fn status(answer: Result<String, WitnessError>) -> u16 {
    match answer {
        Ok(_) => 200,
        Err(WitnessError::Refused(refusal)) => refusal.status(),
        Err(_) => 500,
    }
}

fn signed(witness: &Witness) -> Option<Checkpoint> {
    let text = witness.find_signed(&Sha256Digest::of(LOG.as_bytes()).to_hex()).unwrap()?;
    Checkpoint::parse(&text)
}

#[test]
fn a_log_that_grows_is_signed_and_a_fork_never() {
    let folder = tempfile::tempdir().unwrap();
    let witness = open(folder.path());
    let (tree, fork) = (grown("one", 9), grown("another", 9));
    assert_eq!(signed(&witness), None);
    let line = witness.add_checkpoint(&ask(&tree, 0, 4), at(1)).unwrap();
    let head = Checkpoint::sign(LOG, 4, tree.root_at(4).unwrap(), &log_key()).with_signatures(&line).unwrap();
    assert_eq!(head.cosigned_at(&public()), Ok(Some(at(1).timestamp() as u64)));
    assert_eq!(signed(&witness), Some(head));
    for (asked, expected) in [
        (ask(&fork, 4, 4), 422),
        (ask(&fork, 4, 9), 422),
        (ask(&fork, 0, 9), 409),
        (ask(&tree, 0, 9), 409),
        (ask(&tree, 0, 3), 409),
        (ask(&tree, 4, 9).replace(LOG, "log.example/other"), 404),
        ("old 4".to_owned(), 400),
        (ask(&tree, 4, 4), 200),
        (ask(&tree, 4, 9), 200),
    ] {
        assert_eq!(status(witness.add_checkpoint(&asked, at(2))), expected, "{asked}");
    }
    // Taken up anew, it knows what it signed.
    let again = open(folder.path());
    assert_eq!(signed(&again).unwrap().size(), 9);
    assert!(matches!(
        again.add_checkpoint(&ask(&fork, 4, 9), at(3)),
        Err(WitnessError::Refused(WitnessRefusal::Moved { size: 9 }))
    ));
}

#[test]
fn its_time_never_goes_back_and_others_lines_are_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let witness = open(folder.path());
    let tree = grown("one", 9);
    witness.add_checkpoint(&ask(&tree, 0, 4), at(40)).unwrap();
    let other = WitnessKey::new("witness.example/w2", PrivateKey::from_seed(&[6; 32]).public()).unwrap();
    let head = Checkpoint::sign(LOG, 9, tree.root_at(9).unwrap(), &log_key());
    let foreign = head.cosign(&other, &PrivateKey::from_seed(&[6; 32]), at(1)).unwrap();
    let asked = format!("{}{foreign}", ask(&tree, 4, 9));
    witness.add_checkpoint(&asked, at(10)).unwrap();
    let kept = signed(&witness).unwrap();
    assert_eq!(kept.cosigned_at(&public()), Ok(Some(at(40).timestamp() as u64)));
    assert_eq!(kept.cosigned_at(&other), Ok(None));
}

#[test]
fn a_file_that_was_spoilt_is_no_beginning() {
    let folder = tempfile::tempdir().unwrap();
    let witness = open(folder.path());
    let tree = grown("one", 4);
    witness.add_checkpoint(&ask(&tree, 0, 4), at(1)).unwrap();
    let file = folder.path().join("kept/signed").join(Sha256Digest::of(LOG.as_bytes()).to_hex());
    let whole = std::fs::read_to_string(&file).unwrap();
    // Cut, emptied, or without the witness's own signature.
    for spoilt in [&whole[..40], "", &ask(&tree, 0, 4)[7..]] {
        std::fs::write(&file, spoilt).unwrap();
        assert_eq!(status(witness.add_checkpoint(&ask(&grown("another", 4), 0, 4), at(2))), 500, "{spoilt:?}");
        assert_eq!(std::fs::read_to_string(&file).unwrap(), spoilt);
    }
}

/// A shelf that fails at its nth call, before or after its effect.
struct Failing {
    shelf: FolderShelf,
    left: AtomicI64,
    persisted: bool,
}

impl Failing {
    fn guard<T>(&self, work: impl FnOnce() -> Result<T, StoreError>) -> Result<T, StoreError> {
        let fails = self.left.fetch_sub(1, Ordering::SeqCst) == 0;
        let failed = || Err(StoreError::Failed("on purpose".to_owned()));
        if fails && !self.persisted {
            return failed();
        }
        let done = work();
        if fails { failed() } else { done }
    }
}

impl Shelf for Failing {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.guard(|| self.shelf.put(firm, path, bytes))
    }

    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        files.iter().try_for_each(|file| self.guard(|| self.shelf.put_again(firm, std::slice::from_ref(file))))
    }

    fn may_lose(&self) -> bool {
        self.shelf.may_lose()
    }

    fn list(&self, firm: &FirmId) -> Result<Vec<String>, StoreError> {
        self.guard(|| self.shelf.list(firm))
    }

    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.guard(|| self.shelf.read(firm, path))
    }
}

#[test]
fn whatever_fails_no_second_tree_is_signed() {
    for persisted in [false, true] {
        for nth in 0.. {
            let folder = tempfile::tempdir().unwrap();
            let (tree, fork) = (grown("one", 9), grown("another", 9));
            let shelf = FolderShelf::open(&folder.path().join("kept")).unwrap();
            let failing = Arc::new(Failing { shelf, left: AtomicI64::new(nth), persisted });
            let witness = over(Arc::clone(&failing) as _, folder.path());
            let during = witness.add_checkpoint(&ask(&tree, 0, 4), at(1));
            let was_hit = failing.left.load(Ordering::SeqCst) < 0;
            // Whether or not its effect came about: whoever got the first tree signed keeps the second out.
            let other = open(folder.path()).add_checkpoint(&ask(&fork, 0, 9), at(2));
            assert!(during.is_err() || status(other) == 409, "step {nth}");
            if !was_hit {
                assert_eq!(nth, 3, "key, head and writing were met");
                break;
            }
        }
    }
}

const CHILD: &str = "RIMSIDE_WITNESS_CHILD";

/// Not a test of its own: what a process of [`processes_that_race_and_die_sign_one_tree`] does.
#[test]
fn child_process() {
    let Ok(told) = std::env::var(CHILD) else { return };
    let (folder, name) = told.split_once('|').unwrap();
    let witness = open(Path::new(folder));
    let tree = grown(name, 60);
    let mut old = 0;
    for size in 1..=60 {
        match witness.add_checkpoint(&ask(&tree, old, size), at(size as u32 % 60)) {
            Ok(line) => {
                let mut file = std::fs::OpenOptions::new()
                    .append(true)
                    .create(true)
                    .open(Path::new(folder).join(format!("{name}-{}.signed", std::process::id())))
                    .unwrap();
                std::io::Write::write_all(&mut file, format!("{size} {line}").as_bytes()).unwrap();
                old = size;
            }
            Err(WitnessError::Refused(WitnessRefusal::Moved { size: other })) => old = other.min(size),
            Err(_) => {}
        }
    }
}

fn start(folder: &Path, name: &str) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "child_process", "--nocapture"])
        .env(CHILD, format!("{}|{name}", folder.display()))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// The names of the trees for which a signature came out, with the size.
fn came_out(folder: &Path) -> Vec<(String, u64)> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let Some((tree, _)) = name.strip_suffix(".signed").and_then(|name| name.split_once('-')) else { continue };
        let text = std::fs::read_to_string(folder.join(&name)).unwrap();
        all.extend(text.lines().map(|line| (tree.to_owned(), line.split(' ').next().unwrap().parse().unwrap())));
    }
    all
}

#[test]
fn processes_that_race_and_die_sign_one_tree() {
    for round in 0..4 {
        let folder = tempfile::tempdir().unwrap();
        open(folder.path());
        let mut children: Vec<Child> =
            ["one", "another", "one", "another"].iter().map(|name| start(folder.path(), name)).collect();
        while came_out(folder.path()).len() < 3 * (round + 1) {
            std::thread::yield_now();
        }
        // Two are killed on their way, the others end by themselves.
        for mut child in children.drain(..2) {
            child.kill().unwrap();
            child.wait().unwrap();
        }
        for child in children {
            assert!(child.wait_with_output().unwrap().status.success());
        }
        let all = came_out(folder.path());
        assert!(all.iter().all(|(tree, _)| *tree == all[0].0), "round {round}: {all:?}");
        let most = all.iter().map(|(_, size)| *size).max().unwrap();
        assert!(signed(&open(folder.path())).unwrap().size() >= most, "what came out was kept before");
    }
}

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        at(7)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        bytes.fill(9);
        Ok(())
    }
}

#[tokio::test]
async fn over_http_it_answers_as_the_specification_says() {
    let folder = tempfile::tempdir().unwrap();
    let routes = witness_routes(open(folder.path()), Arc::new(World), Duration::from_secs(5));
    let send = async |method: &str, path: &str, body: String| {
        let request = Request::builder().method(method).uri(path).body(Body::from(body)).unwrap();
        let answer = routes.clone().oneshot(request).await.unwrap();
        let kind = answer.headers().get(header::CONTENT_TYPE).map(|kind| kind.to_str().unwrap().to_owned());
        let (status, body) = (answer.status(), to_bytes(answer.into_body(), 1 << 20).await.unwrap());
        (status.as_u16(), kind.unwrap_or_default(), String::from_utf8(body.to_vec()).unwrap())
    };
    let (tree, fork) = (grown("one", 9), grown("another", 9));
    let latest = format!("/{}/checkpoint", Sha256Digest::of(LOG.as_bytes()).to_hex());
    assert_eq!(send("GET", &latest, String::new()).await.0, 404);
    let (status, _, line) = send("POST", "/add-checkpoint", ask(&tree, 0, 4)).await;
    assert!(status == 200 && line.starts_with("— witness.example/w1 ") && line.ends_with('\n'), "{line}");
    let moved = send("POST", "/add-checkpoint", ask(&tree, 0, 9)).await;
    assert_eq!(moved, (409, "text/x.tlog.size".to_owned(), "4\n".to_owned()));
    assert_eq!(send("POST", "/add-checkpoint", ask(&fork, 4, 9)).await.0, 422);
    assert_eq!(send("POST", "/add-checkpoint", "old".to_owned()).await.0, 400);
    assert_eq!(send("POST", "/add-checkpoint", ask(&tree, 4, 9).replace(LOG, "log.example/x")).await.0, 404);
    assert_eq!(send("GET", "/add-checkpoint", String::new()).await.0, StatusCode::METHOD_NOT_ALLOWED.as_u16());
    assert_eq!(send("POST", "/add-checkpoint", "x".repeat(70_000)).await.0, 413);
    let (_, _, head) = send("GET", &latest, String::new()).await;
    let head = Checkpoint::parse(&head).unwrap();
    assert_eq!((head.size(), head.cosigned_at(&public())), (4, Ok(Some(at(7).timestamp() as u64))));
    assert_eq!(send("GET", "/../checkpoint", String::new()).await.0, 404);
}

#[test]
fn a_folder_of_a_witness_is_begun_once_and_opened_with_its_passphrase() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("witness");
    let passphrase = Passphrase::from("a passphrase for tests".to_owned());
    let founded = WitnessFolder::found(&place, "witness.example/w1", &passphrase, [5; 32]).unwrap();
    let twice = WitnessFolder::found(&place, "witness.example/w1", &passphrase, [6; 32]);
    assert!(matches!(twice.err(), Some(WitnessFolderError::NotEmpty { .. })));
    let log = LogKey::new(LOG, log_key().public()).unwrap();
    assert!(founded.watch(&log).unwrap());
    let opened = WitnessFolder::open(&place).unwrap();
    assert_eq!(opened.key(), founded.key());
    assert!(!opened.watch(&log).unwrap(), "twice is as once");
    let other = LogKey::new(LOG, PrivateKey::from_seed(&[4; 32]).public()).unwrap();
    assert!(matches!(opened.watch(&other), Err(WitnessFolderError::OtherLog { .. })));
    let wrong = opened.unlock(&Passphrase::from("another".to_owned()));
    assert!(matches!(wrong.err(), Some(WitnessFolderError::Locked(_))));
    let witness = opened.unlock(&passphrase).unwrap();
    let line = witness.add_checkpoint(&ask(&grown("one", 4), 0, 4), at(1)).unwrap();
    assert!(line.starts_with("— witness.example/w1 "), "{line}");
}
