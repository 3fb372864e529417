//! What every store must keep to, as a suite that is run against each.
//!
//! # Panics
//! Where a store does not: this is for tests.
#![allow(clippy::missing_panics_doc, clippy::expect_used, reason = "a suite for tests: it panics where a store fails")]

use crate::store::{FirmId, LogRows, Shelf, StoreError};

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
