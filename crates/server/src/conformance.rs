//! What every store must keep to, as a suite that is run against each.
//!
//! # Panics
//! Where a store does not: this is for tests.
#![allow(clippy::missing_panics_doc, clippy::expect_used, reason = "a suite for tests: it panics where a store fails")]

use crate::store::{Devices, FirmId, LogRows, Shelf, StoreError};

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
    for path in ["", "/etc/passwd", "../north-bay/checkpoint", "a//b", "a/./b", ".hidden", "a\0b", "a\\b"] {
        assert!(shelf.put(&one, path, b"x").is_err(), "{path:?} was put");
        assert!(shelf.read(&one, path).is_err(), "{path:?} was read");
    }
}

/// Codes are good once, for a time and for so many wrong answers; a token is one device's; firms are apart.
pub fn devices_keep_to_their_word(devices: &dyn Devices) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let at = |second: i64| chrono::DateTime::from_timestamp(1_800_000_000 + second, 0).expect("a time");
    let open = |code: u8, tries: u32| {
        devices.open_code(&one, &[code; 32], "Ines's phone", at(60), tries).expect("opened");
    };
    let enter = |firm: &FirmId, code: u8, device: &str, token: u8, second: i64| {
        devices.let_in(firm, &[code; 32], device, &[token; 32], at(second)).expect("asked")
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
    assert!(!devices.shut_out(&other, "device-1", at(8)).expect("asked"), "another firm's device is not there");
    assert!(devices.shut_out(&one, "device-1", at(8)).expect("asked"));
    assert!(!devices.shut_out(&one, "device-1", at(9)).expect("asked"));
    assert_eq!(has(13), None);
    let listed = devices.list_devices(&one).expect("listed");
    assert_eq!(
        listed.iter().map(|one| (one.device.as_str(), one.revoked)).collect::<Vec<_>>(),
        [("device-1", Some(at(8)))]
    );
    assert!(devices.list_devices(&other).expect("listed").is_empty());
}
