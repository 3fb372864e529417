//! Copies of an office that is open, and what is made of them.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use std::{
    fs,
    path::{Path, PathBuf},
    sync::atomic::{AtomicBool, Ordering},
};

use chrono::{DateTime, Utc};
use log::{Checkpoint, EntryKind, Receipt, audit};
use model::{Carried, Change, DeviceId, Entry, EntryId, Salt, Sha256};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key_file::Passphrase,
};
use serde_json::{Value, json};
use server::{
    Digested, Joined, KeepError, LogFolder, LogFolderError, OfficeWorld, RestoreError, Stores, back_up_office,
    exchange, restore_office,
};
use sync::{Answer, Ask};

const NAME: &str = "log.example/harbour-vale";

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    /// Other bytes each time, so that two counts have two names.
    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        use std::sync::atomic::AtomicU64;
        static DRAWN: AtomicU64 = AtomicU64::new(0);
        let digest = Sha256::of(&DRAWN.fetch_add(1, Ordering::Relaxed).to_be_bytes());
        bytes.copy_from_slice(&digest.as_bytes()[..bytes.len()]);
        Ok(())
    }
}

struct Desk {
    folder: tempfile::TempDir,
    passphrase: Passphrase,
}

fn set_up() -> Desk {
    let desk =
        Desk { folder: tempfile::tempdir().unwrap(), passphrase: Passphrase::from("an invented phrase".to_owned()) };
    LogFolder::found(&desk.at("office"), (NAME, None), &Stores::default(), &desk.passphrase, [7; 32]).unwrap();
    desk
}

fn ines() -> DeviceId {
    "device-ines".parse().unwrap()
}

fn entry(seq: u64, path: &str, value: Value) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: ines(), seq },
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

fn issued(text: &str) -> EntryKind {
    let digest = Sha256Digest::of(text.as_bytes());
    EntryKind::Issued { report: ReportIdentity(digest), signature: Sha256Digest::of(b"a signature") }
}

fn tell(office: &LogFolder, entries: &[Carried]) -> Answer {
    let ask = Ask { own: entries.last().map_or(0, |one| one.id.seq), entries: entries.to_vec(), ..Ask::default() };
    let stores = (office.rows().as_ref() as _, office.blobs().as_ref() as _, &World as _);
    exchange(stores, (&LogFolder::usual_firm(), &ines()), &ask, true).unwrap()
}

/// Tells of a photograph and sends it.
fn send(office: &LogFolder, seq: u64, bytes: &[u8]) -> Sha256 {
    let sha256 = Sha256::of(bytes);
    tell(office, &[entry(seq, "photographs.photo-0001", json!({ "sha256": sha256 }))]);
    let firm = LogFolder::usual_firm();
    office.blobs().stage(&firm, &ines(), &sha256, 0, &Digested::of(bytes.to_vec().into())).unwrap();
    assert_eq!(office.blobs().join(&firm, &ines(), &sha256, bytes.len() as u64).unwrap(), Joined::Whole);
    office.rows().keep_blob(&firm, &sha256, bytes.len() as u64).unwrap();
    sha256
}

impl Desk {
    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn open(&self, name: &str) -> LogFolder {
        LogFolder::open(&self.at(name), &Stores::default()).unwrap()
    }

    fn enter(&self, name: &str, reports: &[&str]) -> Result<Receipt, LogFolderError> {
        let kinds: Vec<EntryKind> = reports.iter().map(|report| issued(report)).collect();
        let mut keeper = self.open(name).unlock(&self.passphrase)?;
        let entered = keeper.enter(&kinds, World.now())?;
        Ok(keeper.receipt(&entered[0]).unwrap())
    }

    fn back_up(&self, name: &str) -> server::BackedUp {
        back_up_office(&self.at("office"), &self.at(name), World.now()).unwrap()
    }

    fn restore(&self, copy: &str, seen: Option<&Checkpoint>) -> Result<server::Restored, RestoreError> {
        restore_office(&self.at(copy), &self.at("restored"), seen)
    }

    fn head(&self, name: &str) -> Checkpoint {
        self.open(name).head().unwrap().unwrap()
    }
}

fn blob(office: &Path, sha256: &Sha256) -> PathBuf {
    let name = sha256.to_string();
    office.join("blobs/whole/firm").join(&name[..2]).join(name)
}

#[test]
fn a_copy_that_was_taken_while_others_wrote_is_whole() {
    let desk = set_up();
    let office = desk.open("office");
    let sha256 = send(&office, 1, b"a photograph");
    desk.enter("office", &["one", "two"]).unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut keeper = desk.open("office").unlock(&desk.passphrase).unwrap();
            // Bounded, should the copy never come to an end.
            for seq in 2..5_000 {
                tell(&office, &[entry(seq, "car.description", json!(format!("as written {seq}")))]);
                keeper.enter(&[issued(&seq.to_string())], World.now()).unwrap();
                if done.load(Ordering::SeqCst) {
                    break;
                }
            }
        });
        for nth in 0..3 {
            desk.back_up(&format!("copy-{nth}"));
        }
        done.store(true, Ordering::SeqCst);
    });
    for nth in 0..3 {
        let restored = desk.restore(&format!("copy-{nth}"), None).unwrap();
        assert_eq!((restored.blobs, restored.damaged.len()), (1, 0));
        let again = desk.open("restored");
        assert_eq!(again.blobs().piece(&LogFolder::usual_firm(), &sha256, 0).unwrap().unwrap(), b"a photograph");
        let keeper = again.unlock(&desk.passphrase).unwrap();
        assert_eq!(keeper.size(), restored.logged);
        audit(again.key(), None, |path| fs::read(again.public().join(path))).unwrap();
        assert_eq!(tell(&again, &[]).held, restored.entries);
        fs::remove_dir_all(desk.at("restored")).unwrap();
    }
}

#[test]
fn a_restored_office_begins_a_new_count() {
    let desk = set_up();
    let office = desk.open("office");
    let before = tell(&office, &[entry(1, "car.description", json!("as written"))]);
    desk.back_up("copy");
    desk.restore("copy", None).unwrap();
    let after = tell(&desk.open("restored"), &[]);
    assert_ne!(after.epoch, before.epoch);
    assert_eq!(after.entries.len(), 1, "what was told before is here");
}

#[test]
fn a_copy_with_a_spoilt_file_is_not_restored_and_nothing_is_left() {
    let desk = set_up();
    let sha256 = send(&desk.open("office"), 1, b"a photograph");
    desk.enter("office", &["one"]).unwrap();
    let refused = |spoil: &dyn Fn(&Path), expected: &str| {
        desk.back_up("copy");
        spoil(&desk.at("copy"));
        let error = desk.restore("copy", None).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert!(!desk.at("restored").exists(), "{expected}: something is left");
        fs::remove_dir_all(desk.at("copy")).unwrap();
    };
    refused(&|copy| fs::write(blob(copy, &sha256), b"another photograph").unwrap(), "expected");
    refused(&|copy| fs::remove_file(blob(copy, &sha256)).unwrap(), &sha256.to_string());
    refused(&|copy| fs::remove_file(copy.join("backup.json")).unwrap(), "no whole copy of an office: backup.json");
    refused(
        &|copy| {
            let file = copy.join("office.sqlite");
            let bytes = fs::read(&file).unwrap();
            fs::write(&file, &bytes[..bytes.len() / 2]).unwrap();
        },
        "the database of the copy",
    );
    refused(
        &|copy| fs::write(copy.join("public/firm/tile/entries/000.p/1"), b"\0\x01x").unwrap(),
        "the log of the copy",
    );
    refused(&|copy| fs::remove_file(copy.join("log.key.pem")).unwrap(), "log.key.pem");
    // And a folder that is somebody's is left alone.
    desk.back_up("copy");
    fs::create_dir(desk.at("restored")).unwrap();
    fs::write(desk.at("restored/mine"), b"").unwrap();
    assert!(matches!(desk.restore("copy", None), Err(RestoreError::NotEmpty { .. })));
    assert!(desk.at("restored/mine").exists());
    assert!(back_up_office(&desk.at("office"), &desk.at("restored"), World.now()).is_err());
}

#[test]
fn a_photograph_that_the_office_had_lost_is_named_and_asked_for_again() {
    let desk = set_up();
    let office = desk.open("office");
    let (lost, kept) = (send(&office, 1, b"a photograph"), send(&office, 2, b"another"));
    fs::write(blob(&desk.at("office"), &lost), b"rotten").unwrap();
    assert_eq!(desk.back_up("copy").damaged, [lost]);
    let restored = desk.restore("copy", None).unwrap();
    assert_eq!((restored.blobs, restored.damaged), (1, vec![lost]));
    let again = desk.open("restored");
    let wants: Vec<Sha256> = tell(&again, &[]).wants.iter().map(|one| one.sha256).collect();
    assert_eq!(wants, [lost]);
    assert!(again.blobs().piece(&LogFolder::usual_firm(), &kept, 0).unwrap().is_some());
}

#[test]
fn a_log_that_has_shown_more_than_the_copy_has_is_not_continued() {
    let desk = set_up();
    desk.enter("office", &["one", "two"]).unwrap();
    desk.back_up("copy");
    desk.enter("office", &["three"]).unwrap();
    let shown = desk.head("office");
    let error = desk.restore("copy", Some(&shown)).unwrap_err();
    assert!(matches!(error, RestoreError::Behind { held: 2, seen: 3 }), "{error}");
    // The same where nobody gave the head, but the public files are still those that were shown.
    desk.restore("copy", None).unwrap();
    fs::remove_dir_all(desk.at("restored/public")).unwrap();
    fs::rename(desk.at("office/public"), desk.at("restored/public")).unwrap();
    let error = desk.enter("restored", &["four"]).unwrap_err();
    assert!(matches!(error, LogFolderError::Keep(KeepError::Changed)), "{error}");
    fs::rename(desk.at("restored/public"), desk.at("office/public")).unwrap();
    // A head of another log says nothing about this one.
    LogFolder::found(&desk.at("other"), ("log.example/other", None), &Stores::default(), &desk.passphrase, [8; 32])
        .unwrap();
    desk.enter("other", &["one"]).unwrap();
    fs::remove_dir_all(desk.at("restored")).unwrap();
    let error = desk.restore("copy", Some(&desk.head("other"))).unwrap_err();
    assert!(matches!(error, RestoreError::Log(_)), "{error}");
    desk.back_up("newest");
    desk.restore("newest", Some(&desk.head("office"))).unwrap();
}

#[test]
fn the_honest_way_on_is_another_log_and_old_receipts_stay_good() {
    let desk = set_up();
    let receipt = desk.enter("office", &["one", "two"]).unwrap();
    let old_key = desk.open("office").key().clone();
    desk.back_up("copy");
    desk.enter("office", &["three"]).unwrap();
    desk.restore("copy", None).unwrap();
    let name = desk.open("restored").key().name().to_owned();
    assert!(LogFolder::succeed(&desk.at("restored"), &name, &desk.passphrase, [9; 32]).is_err(), "it is another log");
    LogFolder::succeed(&desk.at("restored"), "log.example/harbour-vale-2", &desk.passphrase, [9; 32]).unwrap();
    let new = desk.enter("restored", &["one", "four"]).unwrap();
    let office = desk.open("restored");
    let audited = audit(office.key(), None, |path| fs::read(office.public().join(path))).unwrap();
    assert_eq!(audited.entries.len(), 3, "what the copy had, and what came since");
    let report = ReportIdentity(Sha256Digest::of(b"one"));
    for (receipt, key) in [(&receipt, &old_key), (&new, office.key())] {
        assert_eq!(receipt.check(report, b"a signature", std::slice::from_ref(key)).unwrap().index, 0);
    }
    assert!(new.check(report, b"a signature", &[old_key]).is_err(), "the old key signs nothing any more");
    assert!(desk.at("restored/log-before.pub").exists());
}
