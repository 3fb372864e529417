//! Several processes on one database and one store of objects, some killed on their way, the database falling over meanwhile.

use std::{
    collections::BTreeSet,
    fs::OpenOptions,
    io::Write as _,
    path::{Path, PathBuf},
    process::{Child, Stdio},
    sync::Arc,
};

use chrono::{DateTime, Utc};
use model::{Carried, Change, DeviceId, Entry, EntryId};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
    receipt::LogKey,
};
use serde_json::json;
use server::{
    EntryRows as _, FirmId, LogKeeper, NewEntries, ObjectShelf, PostgresRows, Shelf as _,
    log::{Checkpoint, EntryKind, audit},
};

use crate::place::{Place, another_process, objects, read_lines};

const CHILD: &str = "RIMSIDE_STORES_CHILD";
const NAME: &str = "log.example/harbour-vale";

fn firm() -> FirmId {
    "harbour-vale".parse().unwrap()
}

fn key() -> PrivateKey {
    PrivateKey::from_seed(&[3; 32])
}

fn at() -> DateTime<Utc> {
    "2026-11-24T10:00:00Z".parse().unwrap()
}

fn issued(text: &str) -> EntryKind {
    let report = ReportIdentity(Sha256Digest::of(text.as_bytes()));
    EntryKind::Issued { report, signature: Sha256Digest::of(b"a signature") }
}

fn entry(device: &DeviceId, seq: u64) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device.clone(), seq },
        inspection: "inspection-1".parse().unwrap(),
        path: "car.description".to_owned(),
        value: json!(format!("{device} {seq}")),
        replaces: Vec::new(),
        change: Change::Written,
        written_at: at().fixed_offset(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: model::Salt::new([7; 16]),
    })
}

/// What is acknowledged is written down where a killed process cannot take it back.
fn write_down(folder: &str, name: &str, line: &str) {
    let mut file = OpenOptions::new().append(true).create(true).open(Path::new(folder).join(name)).unwrap();
    file.write_all(format!("{line}\n").as_bytes()).unwrap();
}

/// Not a test of its own: what a process of [`processes_that_race_and_die_lose_nothing`] does. Without its variable it has
/// nothing to do. What fails is tried again, as whoever asks an office would: a database that fell over comes back.
#[test]
fn child_process() {
    let Ok(told) = std::env::var(CHILD) else { return };
    let [folder, name, database, endpoint]: [&str; 4] = told.split('|').collect::<Vec<_>>().try_into().unwrap();
    let device: DeviceId = format!("device-{name}").parse().unwrap();
    let again = |work: &mut dyn FnMut() -> Result<(), String>| {
        let mut tries = 0;
        while let Err(error) = work() {
            tries += 1;
            assert!(tries < 500, "{name}: {error}");
            // As long as any client waits before it asks again.
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
    };
    let (mut rows, mut keeper): (Option<Arc<PostgresRows>>, Option<LogKeeper>) = (None, None);
    for nth in 1..=25 {
        let text = format!("{name} {nth}");
        again(&mut || {
            if rows.is_none() {
                rows = Some(Arc::new(PostgresRows::connect(database).map_err(|error| error.to_string())?));
            }
            let rows = rows.as_ref().unwrap();
            let end = rows.row_end(&firm(), &device).map_err(|error| error.to_string())?.map_or(0, |end| end.count);
            if end < nth {
                let new = entry(&device, nth);
                let linked = [(&new, new.body_digest)];
                let new = NewEntries { device: &device, thought: nth - 1, entries: &linked, named: &[], at: at() };
                rows.take(&firm(), &new).map_err(|error| error.to_string())?;
            }
            Ok(())
        });
        write_down(folder, &format!("{name}.entries"), &nth.to_string());
        again(&mut || {
            let rows = rows.as_ref().unwrap();
            if keeper.is_none() {
                let shelf = Arc::new(ObjectShelf::open(objects(endpoint, "public")));
                let opened = LogKeeper::open(Arc::clone(rows) as _, shelf, firm(), NAME, key());
                keeper = Some(opened.map_err(|error| error.to_string())?);
            }
            let keeper = keeper.as_mut().unwrap();
            keeper.enter(&[issued(&text)], at()).map(|_| ()).map_err(|error| error.to_string())
        });
        write_down(folder, &format!("{name}.logged"), &text);
    }
}

fn lines(folder: &Path, end: &str) -> Vec<(String, String)> {
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let files: Vec<PathBuf> = files.filter(|file| file.extension().is_some_and(|own| own == end)).collect();
    let name = |file: &Path| file.file_stem().unwrap().to_str().unwrap().to_owned();
    files.iter().flat_map(|file| read_lines(file).into_iter().map(move |line| (name(file), line))).collect()
}

/// A process that keeps what it wrote in this database and store.
fn start(folder: &Path, name: &str, database: &str, place: &Place) -> Child {
    let told = format!("{}|{name}|{database}|{}", folder.display(), place.objects.endpoint());
    another_process("race::child_process").env(CHILD, told).stdout(Stdio::null()).spawn().unwrap()
}

/// Waits until so many entries of the log were acknowledged to these processes.
fn wait_for_logged(folder: &Path, children: &mut [Child], count: usize) {
    while lines(folder, "logged").len() < count {
        let running = children.iter_mut().any(|child| child.try_wait().unwrap().is_none());
        assert!(running, "all processes ended before {count} entries of the log");
        std::thread::yield_now();
    }
}

/// The log as anybody reads it: with all that was acknowledged, once each, and behind the head that was seen before.
fn check_log(folder: &Path, place: &Place, seen: Option<&Checkpoint>) -> Checkpoint {
    let log_key = LogKey::new(NAME, key().public()).unwrap();
    let shelf = ObjectShelf::open(place.objects("public"));
    let read = |path: &str| match shelf.read(&firm(), path) {
        Ok(found) => found.ok_or_else(|| std::io::Error::from(std::io::ErrorKind::NotFound)),
        Err(error) => Err(std::io::Error::other(error)),
    };
    // Read before: others may write on while the log is read.
    let logged = lines(folder, "logged");
    let audited = audit(&log_key, seen, read).unwrap_or_else(|fault| panic!("{fault}"));
    for (_, text) in logged {
        let count = audited.entries.iter().filter(|entry| entry.kind == issued(&text)).count();
        assert_eq!(count, 1, "{text} was acknowledged");
    }
    audited.checkpoint
}

/// The rows of every device without a gap, all in one order without a hole, with all that was acknowledged.
fn check_rows(folder: &Path, database: &str) {
    let rows = PostgresRows::connect(database).unwrap();
    let part = rows.part(&firm(), 0, (&"device-nobody".parse().unwrap(), 0), usize::MAX).unwrap();
    assert_eq!(part.seen, part.entries.len() as u64, "a hole in the numbers");
    let taken: BTreeSet<(String, u64)> =
        part.entries.iter().map(|entry| (entry.id.device.to_string(), entry.id.seq)).collect();
    assert_eq!(taken.len(), part.entries.len(), "an entry stands twice");
    for (name, seq) in lines(folder, "entries") {
        assert!(taken.contains(&(format!("device-{name}"), seq.parse().unwrap())), "{name} {seq} was acknowledged");
    }
    for (device, seq) in &taken {
        assert!(*seq == 1 || taken.contains(&(device.clone(), seq - 1)), "a gap before {device} {seq}");
    }
}

#[test]
fn processes_that_race_and_die_lose_nothing() {
    let mut place = Place::start();
    let folder = tempfile::tempdir().unwrap();
    let database = place.fresh_database();
    drop(PostgresRows::connect(&database).unwrap());
    let mut seen: Option<Checkpoint> = None;
    for round in 0..3 {
        let start = |nth| start(folder.path(), &format!("{round}{nth}"), &database, &place);
        let mut children: Vec<Child> = (0..3).map(start).collect();
        let before = lines(folder.path(), "logged").len();
        wait_for_logged(folder.path(), &mut children, before + 10 * (round + 1));
        if round == 1 {
            place.postgresql.fall_over().unwrap();
            place.postgresql.begin().unwrap();
        }
        let last = children.pop().unwrap();
        for mut child in children {
            child.kill().unwrap();
            child.wait().unwrap();
        }
        assert!(last.wait_with_output().unwrap().status.success(), "round {round}");
        seen = Some(check_log(folder.path(), &place, seen.as_ref()));
    }
    check_rows(folder.path(), &database);
}

#[test]
fn a_standby_that_takes_over_has_all_that_was_acknowledged() {
    let mut place = Place::start();
    let folder = tempfile::tempdir().unwrap();
    place.postgresql.make_database("office").unwrap();
    let standby = place.postgresql.start_standby().unwrap();
    let database = place.postgresql.address_with(&standby, "office");
    drop(PostgresRows::connect(&database).unwrap());
    let mut children: Vec<Child> =
        ["one", "two", "three"].iter().map(|name| start(folder.path(), name, &database, &place)).collect();
    wait_for_logged(folder.path(), &mut children, 20);
    // What was published until now is a head that somebody may have seen.
    let seen = check_log(folder.path(), &place, None);
    place.postgresql.fall_over().unwrap();
    standby.take_over().unwrap();
    for child in children {
        assert!(child.wait_with_output().unwrap().status.success());
    }
    assert_eq!(lines(folder.path(), "logged").len(), 75, "each process wrote all of its own, before or behind");
    check_log(folder.path(), &place, Some(&seen));
    check_rows(folder.path(), &database);
}
