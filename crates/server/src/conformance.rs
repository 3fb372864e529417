//! What every store must keep to, as a suite that is run against each.
//!
//! # Panics
//! Where a store does not: this is for tests.
#![allow(clippy::missing_panics_doc, clippy::expect_used, reason = "a suite for tests: it panics where a store fails")]

mod papers;

pub use papers::papers_keep_to_their_word;

use bytes::Bytes;
use chrono::{DateTime, Utc};
use model::{Carried, Change, DeviceId, Entry, EntryId, Sha256};
use serde_json::json;
use sync::PIECE_BYTES;

use seal::certificate::Role;

use crate::store::{Blobs, Devices, Digested, EntryRows, FirmId, Joined, LogRows, NewEntries, Shelf, StoreError};

fn firm(name: &str) -> FirmId {
    name.parse().expect("a firm's name")
}

/// Rows: in order, once, apart by firm; a head never goes back.
pub fn rows_keep_to_their_word(rows: &dyn LogRows) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let texts =
        |from: u64, to: u64| -> Vec<Vec<u8>> { (from..to).map(|nth| format!("row {nth}").into_bytes()).collect() };
    assert_eq!(rows.count(&one).expect("counted"), 0);
    assert_eq!(rows.entries(&one, 0, 10).expect("read"), Vec::<Vec<u8>>::new());
    rows.append(&one, 0, &texts(0, 3)).expect("appended");
    rows.append(&one, 3, &texts(3, 5)).expect("appended");
    assert_eq!(rows.entries(&one, 1, 3).expect("read"), texts(1, 4));
    assert_eq!(rows.entries(&one, 4, 100).expect("read"), texts(4, 5));
    assert_eq!(rows.count(&other).expect("counted"), 0, "another firm's log is another log");
    assert_eq!(rows.entries(&other, 0, 100).expect("read"), Vec::<Vec<u8>>::new());
    for thought in [0, 4, 6] {
        let moved = rows.append(&one, thought, &texts(0, 1));
        assert!(matches!(moved, Err(StoreError::Moved { now: 5, .. })), "{thought}: {moved:?}");
    }
    assert_eq!(rows.count(&one).expect("counted"), 5, "what was refused changed nothing");
    assert_eq!(rows.head(&one).expect("read"), None);
    for (size, text) in [(2, "two"), (5, "five"), (3, "three"), (5, "another five")] {
        rows.keep_head(&one, size, text).expect("kept");
    }
    assert_eq!(rows.head(&one).expect("read").as_deref(), Some("five"), "a head neither goes back nor changes");
    assert_eq!(rows.head(&other).expect("read"), None);
}

/// Exclusion: of many at once, one at a time; what fails lets go.
pub fn rows_let_one_work_at_a_time(rows: &dyn LogRows) {
    let one = firm("harbour-vale");
    let begun = rows.count(&one).expect("counted");
    std::thread::scope(|scope| {
        for worker in 0..4 {
            let one = &one;
            scope.spawn(move || {
                for nth in 0..10 {
                    let text = format!("worker {worker}, {nth}").into_bytes();
                    rows.alone(one, &mut || rows.append(one, rows.count(one)?, std::slice::from_ref(&text)))
                        .expect("nobody moved it in between");
                }
            });
        }
    });
    assert_eq!(rows.count(&one).expect("counted"), begun + 40);
    let failed = rows.alone(&one, &mut || Err(StoreError::Failed("on purpose".to_owned())));
    assert!(failed.is_err());
    rows.alone(&one, &mut || Ok(())).expect("it was let go");
}

/// Files: whole, replaced in one step, apart by firm; no path leads out.
pub fn a_shelf_keeps_to_its_word(shelf: &dyn Shelf) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    assert_eq!(shelf.read(&one, "checkpoint").expect("read"), None);
    for text in ["first", "second, and longer", "3"] {
        shelf.put(&one, "tile/0/x001/234.p/7", text.as_bytes()).expect("put");
        assert_eq!(shelf.read(&one, "tile/0/x001/234.p/7").expect("read").as_deref(), Some(text.as_bytes()));
    }
    assert_eq!(shelf.read(&other, "tile/0/x001/234.p/7").expect("read"), None);
    let paths: Vec<String> = (0..30).map(|nth| format!("tile/{}/{nth:03}", nth % 3)).collect();
    let files: Vec<(&str, &[u8])> = paths.iter().map(|path| (&**path, path.as_bytes())).collect();
    shelf.put_again(&one, &files).expect("put");
    for (path, bytes) in files {
        assert_eq!(shelf.read(&one, path).expect("read").as_deref(), Some(bytes), "{path}");
    }
    shelf.put_again(&one, &[]).expect("nothing is put");
    assert!(shelf.put_again(&one, &[("tile/0/000", b"x"), ("../checkpoint", b"x")]).is_err(), "one that is none");
    let mut listed = shelf.list(&one).expect("listed");
    assert!(listed.is_sorted());
    listed.retain(|path| path != "tile/0/000");
    assert_eq!(listed.len(), 30, "what was put is listed once: {listed:?}");
    assert_eq!(shelf.list(&other).expect("listed"), Vec::<String>::new());
    for path in ["", "/etc/passwd", "../north-bay/checkpoint", "a//b", "a/./b", ".hidden", "a\0b", "a\\b"] {
        assert!(shelf.put(&one, path, b"x").is_err(), "{path:?} was put");
        assert!(shelf.read(&one, path).is_err(), "{path:?} was read");
    }
}

/// Codes are good once, for a time and for so many wrong answers; a token is one device's; firms are apart.
pub fn devices_keep_to_their_word(devices: &dyn Devices) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let open = |code: u8, tries: u32| {
        devices.open_code(&one, &[code; 32], ("Ines's phone", Role::Inspector), time(60), tries).expect("opened");
    };
    let enter = |firm: &FirmId, code: u8, device: &str, token: u8, second: i64| {
        devices.let_in(firm, &[code; 32], device, &[token; 32], time(second)).expect("asked")
    };
    let has = |token: u8| devices.find_device(&[token; 32]).expect("looked").map(|found| (found.firm, found.device));
    open(1, 5);
    assert!(!enter(&other, 1, "device-1", 11, 1), "a code is its firm's");
    assert!(enter(&one, 1, "device-1", 11, 2));
    assert!(!enter(&one, 1, "device-2", 12, 3), "and good once");
    assert_eq!(has(11), Some((one.clone(), "device-1".to_owned())));
    assert_eq!(has(12), None);
    open(2, 5);
    assert!(!enter(&one, 2, "device-2", 12, 60), "and only until then");
    open(3, 2);
    assert!(!enter(&one, 99, "device-2", 12, 4) && !enter(&one, 98, "device-2", 12, 5));
    assert!(!enter(&one, 3, "device-2", 12, 6), "and only for so many wrong answers");
    open(4, 5);
    assert!(enter(&one, 4, "device-1", 13, 7));
    assert_eq!(
        (has(11), has(13)),
        (None, Some((one.clone(), "device-1".to_owned()))),
        "let in anew, the token before is none"
    );
    let before = devices.find_device(&[13; 32]).expect("looked").expect("it is in");
    for _ in 0..2 {
        assert!(devices.follow(&before, "device-1b", &[14; 32], time(8)).expect("asked"), "twice is as once");
    }
    assert_eq!(has(14), Some((one.clone(), "device-1b".to_owned())));
    assert!(!devices.follow(&before, "device-1b", &[15; 32], time(8)).expect("asked"), "a known name needs a code");
    assert!(!devices.follow(&before, "device-1", &[15; 32], time(8)).expect("asked"));
    assert_eq!((has(15), has(13).is_some(), has(14).is_some()), (None, true, true));
    let second = devices.find_device(&[14; 32]).expect("looked").expect("it is in");
    assert!(devices.follow(&second, "device-1c", &[16; 32], time(8)).expect("asked"));
    open(5, 5);
    assert!(enter(&one, 5, "device-3", 17, 8));
    assert!(!devices.shut_out(&other, "device-1", time(8)).expect("asked"), "another firm's device is not there");
    // Whoever has a token may go on under other names: they are shut out together, whichever is named.
    assert!(devices.shut_out(&one, "device-1b", time(8)).expect("asked"));
    assert_eq!((has(13), has(14), has(16), has(17).is_some()), (None, None, None, true));
    assert!(!devices.follow(&before, "device-1b", &[14; 32], time(8)).expect("asked"), "who is shut out stays out");
    assert!(!devices.follow(&before, "device-1d", &[18; 32], time(8)).expect("asked"), "and under any other name");
    assert!(!devices.shut_out(&one, "device-1", time(9)).expect("asked"));
    let listed = devices.list_devices(&one).expect("listed");
    assert_eq!(
        listed.iter().map(|one| (one.device.as_str(), one.revoked)).collect::<Vec<_>>(),
        [("device-1", Some(time(8))), ("device-1b", Some(time(8))), ("device-1c", Some(time(8))), ("device-3", None)]
    );
    // Let in anew by a code it is a device of its own.
    open(6, 5);
    assert!(enter(&one, 6, "device-1b", 19, 10));
    open(7, 5);
    assert!(enter(&one, 7, "device-1", 20, 11));
    assert!(devices.shut_out(&one, "device-1", time(12)).expect("asked"));
    assert_eq!((has(19).is_some(), has(20)), (true, None));
    assert!(devices.list_devices(&other).expect("listed").is_empty());
}

fn time(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_800_000_000 + second, 0).expect("a time")
}

fn device(name: &str) -> DeviceId {
    name.parse().expect("a device's name")
}

fn entry(device: &DeviceId, seq: u64, words: &str) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device.clone(), seq },
        inspection: "inspection-1".parse().expect("a name"),
        path: "car.description".to_owned(),
        value: json!(words),
        replaces: Vec::new(),
        change: Change::Written,
        written_at: time(0).fixed_offset(),
        author: "Ines Okafor-Lind".to_owned().try_into().expect("a line"),
        salt: model::Salt::new([7; 16]),
    })
}

/// Entries: each row without gaps, all rows in one order that nobody misses a part of, apart by firm; what is lacking is
/// asked for until it is there.
pub fn entries_keep_to_their_word(rows: &dyn EntryRows) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let (ines, tomas) = (device("device-ines"), device("device-tomas"));
    let epoch = rows.epoch(&one, "first").expect("asked");
    assert_eq!((epoch.as_str(), rows.epoch(&one, "second").expect("asked").as_str()), ("first", "first"));
    assert_eq!(rows.epoch(&other, "third").expect("asked"), "third");
    let blob = Sha256::of(b"a photograph");
    let take = |firm: &FirmId, device: &DeviceId, thought: u64, words: &[&str], named: &[Sha256]| {
        let new: Vec<Carried> = words.iter().zip(thought + 1..).map(|(words, seq)| entry(device, seq, words)).collect();
        let linked: Vec<(&Carried, Sha256)> =
            new.iter().map(|one| (one, Sha256::of(one.id.to_string().as_bytes()))).collect();
        rows.take(firm, &NewEntries { device, thought, entries: &linked, named, at: time(1) })
    };
    take(&one, &ines, 0, &["a", "b"], &[blob]).expect("taken");
    take(&one, &tomas, 0, &["c"], &[blob]).expect("taken");
    take(&one, &ines, 2, &["d"], &[]).expect("taken");
    for thought in [0, 2, 4] {
        let moved = take(&one, &ines, thought, &["x"], &[]);
        assert!(matches!(moved, Err(StoreError::Moved { now: 3, .. })), "{thought}: {moved:?}");
    }
    let end = rows.row_end(&one, &ines).expect("asked").expect("a row");
    assert_eq!((end.count, end.link), (3, Sha256::of(b"device-ines:3")));
    assert_eq!(rows.row_end(&other, &ines).expect("asked"), None, "another firm's rows are others");
    let names = |seen: u64, without: (&DeviceId, u64), most: usize| {
        let part = rows.part(&one, seen, without, most).expect("read");
        let names: Vec<String> = part.entries.iter().map(|one| one.id.to_string()).collect();
        (names.join(" "), part.seen, part.more)
    };
    let all = "device-ines:1 device-ines:2 device-tomas:1 device-ines:3".to_owned();
    assert_eq!(names(0, (&device("nobody"), 0), 1 << 20), (all, 4, false));
    assert_eq!(names(0, (&ines, 2), 1 << 20), ("device-tomas:1 device-ines:3".to_owned(), 4, false));
    assert_eq!(names(0, (&ines, 3), 1), ("device-tomas:1".to_owned(), 4, false), "its own are passed over");
    assert_eq!(names(0, (&tomas, 1), 1), ("device-ines:1".to_owned(), 1, true), "one at least");
    assert_eq!(names(1, (&tomas, 1), 1), ("device-ines:2".to_owned(), 3, true));
    assert_eq!(names(4, (&tomas, 1), 1), (String::new(), 4, false));
    assert!(rows.part(&other, 0, (&tomas, 0), 1 << 20).expect("read").entries.is_empty());
    let read = rows.part(&one, 0, (&tomas, 0), 1 << 20).expect("read").entries;
    assert_eq!(read[0], entry(&ines, 1, "a"), "what was taken comes back as it was");
    assert_eq!(rows.digest(&one, &read[0].id).expect("asked"), Some(read[0].body_digest));
    assert_eq!(rows.digest(&other, &read[0].id).expect("asked"), None);
    let forked = entry(&ines, 1, "another a");
    for second in [5, 6] {
        rows.keep_fork(&one, &forked, time(second)).expect("kept");
    }
    let forks = rows.forks(&one).expect("read");
    assert_eq!(forks.iter().map(|one| (&one.entry, one.came_at)).collect::<Vec<_>>(), [(&forked, time(5))]);
    assert!(rows.forks(&other).expect("read").is_empty());
    let wanted = |firm: &FirmId, of: &DeviceId| rows.wanted(firm, of, None, 10).expect("asked");
    assert_eq!((wanted(&one, &ines), wanted(&one, &tomas), wanted(&other, &ines)), (vec![blob], vec![blob], vec![]));
    let phone = device("device-ines-2");
    rows.share_wanted(&one, &ines, &phone).expect("shared");
    assert!(rows.is_wanted(&one, &phone, &blob).expect("asked"));
    assert!(!rows.is_wanted(&other, &ines, &blob).expect("asked"));
    rows.keep_blob(&one, &blob, 12).expect("kept");
    assert_eq!((wanted(&one, &ines), wanted(&one, &tomas), wanted(&one, &phone)), (vec![], vec![], vec![]));
    assert_eq!((rows.blob(&one, &blob).expect("asked"), rows.blob(&other, &blob).expect("asked")), (Some(12), None));
    take(&one, &ines, 3, &["e"], &[blob]).expect("taken");
    assert!(wanted(&one, &ines).is_empty(), "what is here is not asked for");
    let mut lacking: Vec<Sha256> = (0..4_u8).map(|nth| Sha256::of(&[nth])).collect();
    take(&one, &ines, 4, &["f"], &lacking).expect("taken");
    lacking.sort();
    let after = |nth: usize, most: u64| rows.wanted(&one, &ines, Some(&lacking[nth]), most).expect("asked");
    assert_eq!((wanted(&one, &ines), after(0, 2)), (lacking.clone(), lacking[1..3].to_vec()));
    assert_eq!((after(2, 9), after(3, 9)), (lacking[3..].to_vec(), vec![]));
    // More than a database puts at once, the last of them alone.
    let words: Vec<String> = (0..201).map(|nth| format!("remark {nth}")).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let seen = rows.part(&one, 0, (&ines, 5), 1 << 20).expect("read").seen;
    take(&one, &ines, 5, &words, &[]).expect("taken");
    let told: Vec<Carried> = words.iter().zip(6..).map(|(words, seq)| entry(&ines, seq, words)).collect();
    let part = rows.part(&one, seen, (&tomas, 1), 1 << 20).expect("read");
    assert_eq!((part.entries, part.seen), (told, seen + 201));
}

/// Rows that many write at once: no number twice, none left out, none seen before one below it.
pub fn entries_are_seen_in_one_order(rows: &dyn EntryRows) {
    const EACH: u64 = 25;
    let one = firm("harbour-vale");
    let begun = rows.part(&one, 0, (&device("nobody"), 0), usize::MAX).expect("read").seen;
    let seen = std::thread::scope(|scope| {
        for worker in 0..4 {
            let one = &one;
            scope.spawn(move || {
                let device = device(&format!("device-{worker}"));
                for seq in 0..EACH {
                    let new = entry(&device, seq + 1, "written at once");
                    let linked = [(&new, new.body_digest)];
                    let taken = NewEntries { device: &device, thought: seq, entries: &linked, named: &[], at: time(0) };
                    rows.take(one, &taken).expect("nobody else writes this row");
                }
            });
        }
        let reader = scope.spawn(|| {
            let (mut seen, mut names) = (begun, Vec::new());
            while names.len() < 4 * EACH as usize {
                let part = rows.part(&one, seen, (&device("nobody"), 0), 4096).expect("read");
                assert!(part.seen >= seen, "what was seen goes back");
                seen = part.seen;
                names.extend(part.entries.into_iter().map(|entry| entry.id));
            }
            names
        });
        reader.join().expect("read to the end")
    });
    for worker in 0..4 {
        let device = device(&format!("device-{worker}"));
        let row: Vec<u64> = seen.iter().filter(|id| id.device == device).map(|id| id.seq).collect();
        assert_eq!(row, (1..=EACH).collect::<Vec<_>>(), "{device}: each once and in order");
    }
}

/// Files by digest: whole or not there, apart by firm, while they come apart by device.
pub fn blobs_keep_to_their_word(blobs: &dyn Blobs) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let (ines, tomas) = (device("device-ines"), device("device-tomas"));
    let bytes: Vec<u8> = (0..PIECE_BYTES + 1000).map(|nth| (nth * 31 % 251) as u8).collect();
    let sha256 = Sha256::of(&bytes);
    let length = bytes.len() as u64;
    let pieces: Vec<&[u8]> = bytes.chunks(PIECE_BYTES as usize).collect();
    assert_eq!(blobs.piece(&one, &sha256, 0).expect("read"), None);
    assert_eq!(blobs.join(&one, &ines, &sha256, length).expect("asked"), Joined::Missing);
    blobs.stage(&one, &ines, &sha256, 1, &Digested::of(Bytes::copy_from_slice(pieces[1]))).expect("staged");
    blobs.stage(&one, &tomas, &sha256, 0, &Digested::of(Bytes::from_static(b"something else"))).expect("staged");
    assert_eq!(blobs.staged(&one, &ines, &sha256).expect("listed"), [1]);
    assert_eq!(blobs.staged(&other, &ines, &sha256).expect("listed"), Vec::<u64>::new());
    assert_eq!(blobs.join(&one, &ines, &sha256, length).expect("asked"), Joined::Missing);
    let wrong = vec![1; PIECE_BYTES as usize];
    blobs.stage(&one, &ines, &sha256, 0, &Digested::of(wrong.into())).expect("staged");
    assert_eq!(blobs.join(&one, &ines, &sha256, length).expect("asked"), Joined::OtherBytes);
    assert_eq!(blobs.piece(&one, &sha256, 0).expect("read"), None, "other bytes are not taken");
    assert_eq!(blobs.staged(&one, &ines, &sha256).expect("listed"), Vec::<u64>::new(), "and thrown away");
    for (nth, piece) in pieces.iter().enumerate() {
        blobs.stage(&one, &ines, &sha256, nth as u64, &Digested::of(Bytes::copy_from_slice(piece))).expect("staged");
    }
    assert_eq!(blobs.join(&one, &ines, &sha256, length - 1).expect("asked"), Joined::Missing, "of another length");
    blobs.stage(&one, &ines, &sha256, 1, &Digested::of(Bytes::copy_from_slice(pieces[1]))).expect("staged");
    for _ in 0..2 {
        assert_eq!(blobs.join(&one, &ines, &sha256, length).expect("asked"), Joined::Whole, "twice is as once");
    }
    for (nth, piece) in pieces.iter().enumerate() {
        assert_eq!(blobs.piece(&one, &sha256, nth as u64).expect("read").as_deref(), Some(*piece));
    }
    assert_eq!(blobs.piece(&one, &sha256, 2).expect("read").as_deref(), Some(&b""[..]), "beyond its end");
    assert_eq!(blobs.piece(&other, &sha256, 0).expect("read"), None, "another firm's is not there");
    let mira = device("device-mira");
    for (nth, piece) in pieces.iter().enumerate() {
        blobs.stage(&one, &mira, &sha256, nth as u64, &Digested::of(Bytes::copy_from_slice(piece))).expect("staged");
    }
    assert_eq!(blobs.join(&one, &mira, &sha256, length).expect("asked"), Joined::Whole, "another device was faster");
    assert_eq!(blobs.staged(&one, &mira, &sha256).expect("listed"), Vec::<u64>::new(), "and no piece is kept twice");
    assert_eq!(blobs.piece(&one, &sha256, 0).expect("read").as_deref(), Some(pieces[0]), "what is whole stays");
    let empty = Sha256::of(b"");
    assert_eq!(blobs.join(&firm("harbour-vale"), &device("device-ines"), &empty, 0).expect("joined"), Joined::Whole);
    assert_eq!(blobs.piece(&firm("harbour-vale"), &empty, 0).expect("read"), Some(Vec::new()), "a file without bytes");
    assert_eq!(blobs.sweep(DateTime::<Utc>::MIN_UTC).expect("swept"), 0, "nothing is as old as that");
    assert_eq!(blobs.staged(&one, &tomas, &sha256).expect("listed"), [0]);
    let later = DateTime::from_timestamp(32_000_000_000, 0).expect("a time");
    assert_eq!(blobs.sweep(later).expect("swept"), 1);
    assert_eq!(blobs.staged(&one, &tomas, &sha256).expect("listed"), Vec::<u64>::new());
    assert!(blobs.piece(&one, &sha256, 0).expect("read").is_some(), "what is whole stays");
}
