//! A firm's log under everything that may befall it: faults at every step, processes that die, processes that race.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::{
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
};

use chrono::{DateTime, Utc};
use log::{Audited, Checkpoint, EntryKind, LogKey, audit};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
};
use server::{
    FirmId, FolderShelf, KeepError, LogKeeper, LogRows, Shelf, SqliteRows, StoreError,
    conformance::{a_shelf_keeps_to_its_word, rows_keep_to_their_word, rows_let_one_work_at_a_time},
};

const NAME: &str = "log.example/harbour-vale";

fn firm() -> FirmId {
    "harbour-vale".parse().unwrap()
}

fn key() -> PrivateKey {
    PrivateKey::from_seed(&[3; 32])
}

fn at(second: u32) -> DateTime<Utc> {
    format!("2026-11-24T10:00:{second:02}Z").parse().unwrap()
}

fn issued(text: &str) -> EntryKind {
    let digest = Sha256Digest::of(text.as_bytes());
    EntryKind::Issued { report: ReportIdentity(digest), signature: Sha256Digest::of(b"a signature") }
}

fn rows(folder: &Path) -> Arc<SqliteRows> {
    Arc::new(SqliteRows::open(&folder.join("office.sqlite")).unwrap())
}

fn shelf(folder: &Path) -> Arc<FolderShelf> {
    Arc::new(FolderShelf::open(&folder.join("public")).unwrap())
}

fn open<R: LogRows + 'static, S: Shelf + 'static>(rows: &Arc<R>, shelf: &Arc<S>) -> Result<LogKeeper, KeepError> {
    LogKeeper::open(Arc::clone(rows) as _, Arc::clone(shelf) as _, firm(), NAME, key())
}

fn public(folder: &Path) -> PathBuf {
    folder.join("public").join(firm().as_str())
}

fn audit_folder(folder: &Path, seen: Option<&Checkpoint>) -> Result<Audited, String> {
    let log_key = LogKey::new(NAME, key().public()).unwrap();
    audit(&log_key, seen, |path| std::fs::read(public(folder).join(path))).map_err(|fault| fault.to_string())
}

#[test]
fn sqlite_and_a_folder_keep_to_their_word() {
    let folder = tempfile::tempdir().unwrap();
    rows_keep_to_their_word(rows(folder.path()).as_ref());
    let folder = tempfile::tempdir().unwrap();
    rows_let_one_work_at_a_time(rows(folder.path()).as_ref());
    a_shelf_keeps_to_its_word(shelf(folder.path()).as_ref());
}

#[test]
fn what_is_entered_is_proved_and_entered_once() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, shelf) = (rows(folder.path()), shelf(folder.path()));
    let mut keeper = open(&rows, &shelf).unwrap();
    let first = keeper.enter(&[issued("one"), issued("two"), issued("one")], at(1)).unwrap();
    assert_eq!(first.iter().map(|one| (one.index, one.is_new)).collect::<Vec<_>>(), [(0, true), (1, true), (0, false)]);
    let statement = Sha256Digest::of(b"statement");
    let EntryKind::Issued { report, .. } = issued("one") else { unreachable!() };
    let withdrawn = keeper.enter(&[EntryKind::Withdrawn { report, statement }], at(2)).unwrap();
    assert!(keeper.receipt(&withdrawn[0]).is_none(), "a receipt is that of a report");
    // The same again, by another process, later: it stands where it stood, with its time.
    let mut other = open(&rows, &shelf).unwrap();
    let again = other.enter(&[issued("two")], at(30)).unwrap();
    assert_eq!((again[0].index, again[0].is_new, again[0].entry.at), (1, false, at(1)));
    let log_key = LogKey::new(NAME, key().public()).unwrap();
    let receipt = other.receipt(&again[0]).unwrap();
    let proved = receipt.check(ReportIdentity(Sha256Digest::of(b"two")), b"a signature", &[log_key]).unwrap();
    assert_eq!((proved.at, proved.index), (at(1), 1));
    assert_eq!(audit_folder(folder.path(), None).unwrap().entries.len(), 3);
}

#[test]
fn a_clock_that_goes_back_keeps_the_log_in_order() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, shelf) = (rows(folder.path()), shelf(folder.path()));
    let mut keeper = open(&rows, &shelf).unwrap();
    keeper.enter(&[issued("one")], at(40)).unwrap();
    let late = keeper.enter(&[issued("two")], at(10)).unwrap();
    assert_eq!(late[0].entry.at, at(40));
    audit_folder(folder.path(), None).unwrap();
}

#[test]
fn rows_that_were_changed_are_signed_no_more() {
    let folder = tempfile::tempdir().unwrap();
    let (first, shelf) = (rows(folder.path()), shelf(folder.path()));
    let mut keeper = open(&first, &shelf).unwrap();
    keeper.enter(&[issued("one"), issued("two")], at(1)).unwrap();
    drop(first);
    // The same file with another entry in the place of one that was signed.
    let db = rusqlite::Connection::open(folder.path().join("office.sqlite")).unwrap();
    let text = log::Entry::new(issued("three"), at(1)).to_text();
    db.execute("UPDATE log_entries SET entry = ?1 WHERE number = 1", [text.as_bytes()]).unwrap();
    let changed = rows(folder.path());
    let opened = open(&changed, &shelf);
    assert!(matches!(opened.err(), Some(KeepError::Changed)));
}

#[test]
fn rows_that_were_restored_from_an_old_copy_are_signed_no_more() {
    let folder = tempfile::tempdir().unwrap();
    let shelf = shelf(folder.path());
    let mut keeper = open(&rows(folder.path()), &shelf).unwrap();
    keeper.enter(&[issued("one"), issued("two")], at(1)).unwrap();
    let seen = audit_folder(folder.path(), None).unwrap().checkpoint;
    // What stands in the restored rows is the beginning of what was shown, or nothing, or something else.
    for entries in [&["one"][..], &[], &["another", "two", "three"]] {
        let restored = tempfile::tempdir().unwrap();
        let old = rows(restored.path());
        let texts: Vec<Vec<u8>> =
            entries.iter().map(|text| log::Entry::new(issued(text), at(1)).to_text().into_bytes()).collect();
        old.append(&firm(), 0, &texts).unwrap();
        let opened = open(&old, &shelf);
        assert!(matches!(opened.err(), Some(KeepError::Changed)), "{entries:?}");
        assert_eq!(audit_folder(folder.path(), Some(&seen)).unwrap().entries.len(), 2, "what was shown is shown still");
    }
}

/// A store that fails at its nth call, before or after its effect.
struct Failing {
    rows: Arc<SqliteRows>,
    shelf: Arc<FolderShelf>,
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

impl LogRows for Failing {
    fn count(&self, firm: &FirmId) -> Result<u64, StoreError> {
        self.guard(|| self.rows.count(firm))
    }

    fn entries(&self, firm: &FirmId, from: u64, most: u64) -> Result<Vec<Vec<u8>>, StoreError> {
        self.guard(|| self.rows.entries(firm, from, most))
    }

    fn append(&self, firm: &FirmId, thought: u64, entries: &[Vec<u8>]) -> Result<(), StoreError> {
        self.guard(|| self.rows.append(firm, thought, entries))
    }

    fn head(&self, firm: &FirmId) -> Result<Option<String>, StoreError> {
        self.guard(|| self.rows.head(firm))
    }

    fn keep_head(&self, firm: &FirmId, size: u64, text: &str) -> Result<(), StoreError> {
        self.guard(|| self.rows.keep_head(firm, size, text))
    }

    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError> {
        self.rows.alone(firm, work)
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
fn a_fault_at_any_step_loses_nothing_that_was_acknowledged_and_forks_nothing() {
    for persisted in [false, true] {
        for nth in 0.. {
            let folder = tempfile::tempdir().unwrap();
            let (rows, shelf) = (rows(folder.path()), shelf(folder.path()));
            let mut keeper = open(&rows, &shelf).unwrap();
            keeper.enter(&[issued("before")], at(1)).unwrap();
            let seen = audit_folder(folder.path(), None).unwrap().checkpoint;
            let failing = Arc::new(Failing {
                rows: Arc::clone(&rows),
                shelf: Arc::clone(&shelf),
                left: AtomicI64::new(nth),
                persisted,
            });
            let during = open(&failing, &failing).and_then(|mut keeper| keeper.enter(&[issued("during")], at(2)));
            let was_hit = failing.left.load(Ordering::SeqCst) < 0;
            // Whatever is shown now is whole and signed.
            let shown = audit_folder(folder.path(), Some(&seen)).unwrap_or_else(|fault| panic!("step {nth}: {fault}"));
            if during.is_ok() {
                assert_eq!(shown.entries.len(), 2, "step {nth}: acknowledged and not shown");
            }
            let mut after = open(&rows, &shelf).unwrap();
            let again = after.enter(&[issued("during"), issued("after")], at(3)).unwrap();
            assert_eq!(again.iter().map(|one| one.index).collect::<Vec<_>>(), [1, 2], "step {nth}");
            assert_eq!(audit_folder(folder.path(), Some(&seen)).unwrap().entries.len(), 3);
            if !was_hit {
                assert!(nth > 5, "the steps were met");
                break;
            }
        }
    }
}

/// The files of the log were not waited for until they were on the disk: its rows and its head were.
#[test]
fn what_a_machine_that_fell_over_lost_of_the_files_is_made_anew() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, shelf) = (rows(folder.path()), shelf(folder.path()));
    let many: Vec<EntryKind> = (0..300).map(|nth| issued(&format!("report {nth}"))).collect();
    let mut keeper = open(&rows, &shelf).unwrap();
    keeper.enter(&many[..280], at(1)).unwrap();
    let early = std::fs::read(public(folder.path()).join("checkpoint")).unwrap();
    keeper.enter(&many, at(2)).unwrap();
    let seen = audit_folder(folder.path(), None).unwrap().checkpoint;
    drop(keeper);
    let lose = |path: &str| std::fs::remove_file(public(folder.path()).join(path)).unwrap();
    let spoil = |path: &str, bytes: &[u8]| std::fs::write(public(folder.path()).join(path), bytes).unwrap();
    // A file that is gone, one without its bytes, one with others, a head of before, no head.
    for head in [Some(early), None] {
        lose("tile/entries/000");
        spoil("tile/0/000", b"");
        spoil("tile/0/001.p/44", &[7; 44 * 32]);
        match head {
            Some(early) => spoil("checkpoint", &early),
            None => lose("checkpoint"),
        }
        open(&rows, &shelf).unwrap();
        let audited = audit_folder(folder.path(), Some(&seen)).unwrap();
        assert_eq!((audited.entries.len(), audited.checkpoint.root()), (300, seen.root()));
    }
}

const CHILD: &str = "RIMSIDE_LOG_CHILD";

/// Not a test of its own: what a process of [`processes_that_race_and_die_never_fork_the_log`] does. Without its variable it
/// has nothing to do.
#[test]
fn child_process() {
    let Ok(told) = std::env::var(CHILD) else { return };
    let (folder, name) = told.split_once('|').unwrap();
    let (rows, shelf) = (rows(Path::new(folder)), shelf(Path::new(folder)));
    let mut keeper = open(&rows, &shelf).unwrap();
    for nth in 0..40 {
        let text = format!("{name} {nth}");
        keeper.enter(&[issued(&text)], at(nth % 60)).unwrap();
        // What is acknowledged is written down where a killed process cannot take it back.
        let mut file = std::fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(Path::new(folder).join(format!("{name}.done")))
            .unwrap();
        std::io::Write::write_all(&mut file, format!("{text}\n").as_bytes()).unwrap();
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

fn acknowledged(folder: &Path) -> Vec<String> {
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let done: Vec<PathBuf> = files.filter(|file| file.extension().is_some_and(|end| end == "done")).collect();
    done.iter()
        .flat_map(|file| std::fs::read_to_string(file).unwrap().lines().map(str::to_owned).collect::<Vec<_>>())
        .collect()
}

#[test]
fn processes_that_race_and_die_never_fork_the_log() {
    let folder = tempfile::tempdir().unwrap();
    let mut seen: Option<Checkpoint> = None;
    for round in 0..6 {
        let mut children: Vec<Child> =
            (0..3).map(|nth| start(folder.path(), &format!("round-{round}-{nth}"))).collect();
        // Two are killed somewhere on their way, when so much is acknowledged; one ends by itself.
        let before = acknowledged(folder.path()).len();
        while acknowledged(folder.path()).len() < before + 12 * (round % 3 + 1) {
            std::thread::yield_now();
        }
        let last = children.pop().unwrap();
        for mut child in children {
            child.kill().unwrap();
            child.wait().unwrap();
        }
        assert!(last.wait_with_output().unwrap().status.success(), "round {round}");
        let audited =
            audit_folder(folder.path(), seen.as_ref()).unwrap_or_else(|fault| panic!("round {round}: {fault}"));
        for text in acknowledged(folder.path()) {
            let kind = issued(&text);
            assert_eq!(audited.entries.iter().filter(|entry| entry.kind == kind).count(), 1, "{text}");
        }
        seen = Some(audited.checkpoint);
    }
}
