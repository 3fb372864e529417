//! What somebody who writes in a notebook relies on.

use std::collections::BTreeMap;
use std::io::Read as _;

use model::{DeviceId, InspectionId, Line, Salt, Timestamp};
use notebook::{
    Change, Damage, Draft, FileAccess as _, Notebook, NotebookError, Photo, Stamp, check_field, fold, unfold,
};
use rusqlite::Connection;
use serde_json::{Value, json};

fn at(minute: u32) -> Timestamp {
    format!("2026-11-24T09:{minute:02}:00+01:00").parse().expect("a time")
}

fn stamp(minute: u32) -> Stamp {
    Stamp { at: at(minute), author: Line::try_from("Ines").expect("a name"), salt: Salt::new([minute as u8; 16]) }
}

fn device(name: &str) -> DeviceId {
    name.parse().expect("a device")
}

fn id() -> InspectionId {
    "visit-1".parse().expect("an inspection")
}

fn open(connection: Connection, name: &str) -> (Notebook, Vec<Damage>) {
    let book = Notebook::open(connection, &device(name)).expect("a notebook");
    let damage = book.check().expect("looked through");
    (book, damage)
}

fn begun(name: &str) -> Notebook {
    let (mut book, damage) = open(Connection::open_in_memory().expect("memory"), name);
    assert_eq!(damage, []);
    book.begin(&id(), &[("demonstration".into(), json!(true))], || stamp(0)).expect("begun");
    book
}

const TOUCH: &str = "corners.front_left.outer_face.touch";

#[test]
fn what_is_written_stands_and_what_it_replaced_is_still_there() {
    let mut book = begun("a");
    book.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
    book.write(&id(), TOUCH, json!("abrasive"), stamp(2)).expect("written");
    let draft = book.draft(&id()).expect("a draft");
    assert_eq!(draft.values[TOUCH], json!("abrasive"));
    let said: Vec<&Value> =
        draft.entries().iter().filter(|entry| entry.path == TOUCH).map(|entry| &entry.value).collect();
    assert_eq!(said, [&json!("slick"), &json!("abrasive")]);
}

#[test]
fn the_same_value_again_is_no_new_entry() {
    let mut book = begun("a");
    book.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
    let before = book.size().expect("size");
    book.write(&id(), TOUCH, json!("slick"), stamp(2)).expect("written");
    assert_eq!(book.size().expect("size"), before);
}

#[test]
fn changes_are_taken_back_one_by_one_and_made_again() {
    let mut book = begun("a");
    let touch = |book: &Notebook| book.draft(&id()).expect("a draft").values.get(TOUCH).cloned();
    for (minute, value) in [(1, "slick"), (2, "slightly_rough"), (3, "abrasive")] {
        book.write(&id(), TOUCH, json!(value), stamp(minute)).expect("written");
    }
    book.take_back(&id(), stamp(4)).expect("back");
    assert_eq!(touch(&book), Some(json!("slightly_rough")));
    book.take_back(&id(), stamp(5)).expect("back");
    assert_eq!(touch(&book), Some(json!("slick")));
    book.make_again(&id(), stamp(6)).expect("again");
    assert_eq!(touch(&book), Some(json!("slightly_rough")));
    book.take_back(&id(), stamp(7)).expect("back");
    book.take_back(&id(), stamp(8)).expect("back");
    assert_eq!(touch(&book), None);
    // What the notebook wrote by itself is nobody's to take back.
    assert!(matches!(book.take_back(&id(), stamp(9)), Err(NotebookError::Nothing { .. })));
    book.make_again(&id(), stamp(10)).expect("again");
    book.write(&id(), TOUCH, json!("abrasive"), stamp(11)).expect("written");
    assert!(matches!(book.make_again(&id(), stamp(12)), Err(NotebookError::Nothing { .. })));
}

#[test]
fn nonsense_is_refused_with_the_field_that_it_was_for() {
    let mut book = begun("a");
    for (path, value) in [
        (TOUCH, json!("sticky")),
        ("corners.front_left.outer_face.taste", json!("slick")),
        ("corners.front_middle.outer_face.touch", json!("slick")),
        ("corners.front_left.outer_face", json!({})),
        ("readings.Upper Case", json!({})),
        ("readings.r1", json!({"id": "r1"})),
        ("car.mass_kg", json!(-5)),
        ("place", json!("a\u{0}b")),
        ("corners.front_left.not_inspected", json!("")),
        ("", json!("x")),
    ] {
        let refused = book.write(&id(), path, value, stamp(1)).expect_err(path).to_string();
        assert!(refused.contains(path), "{path}: {refused}");
    }
    assert_eq!(book.draft(&id()).expect("a draft").values.len(), 1);
}

/// Every field of a whole inspection survives the way through the notebook.
#[test]
fn an_inspection_written_field_by_field_is_the_same_inspection() {
    for document in
        [model::sample::inspection_document()].into_iter().chain(demo::scenario::visits().iter().map(|visit| {
            serde_json::to_value(demo::scenario::inspect(visit, (32, 24)).expect("a visit").0).expect("JSON")
        }))
    {
        let name: InspectionId = document["id"].as_str().expect("a name").parse().expect("a name");
        let fields = unfold(&document);
        for (path, value) in &fields {
            check_field(path, value).expect(path);
        }
        let folded = fold(&name, &fields.into_iter().collect());
        assert_eq!(folded.gaps, []);
        let expected = model::parse_inspection(document.to_string().as_bytes()).expect("an inspection");
        let mut got = model::parse_inspection(folded.document.to_string().as_bytes()).expect("an inspection");
        // Lists stand in the order of their labels.
        let order = |list: &[model::Reading]| list.iter().map(|one| one.id.clone()).collect::<Vec<_>>();
        got.readings.sort_by_key(|one| order(&expected.readings).iter().position(|id| *id == one.id));
        got.photographs.sort_by_key(|one| expected.photographs.iter().position(|other| other.id == one.id));
        assert_eq!(got, expected);
    }
}

/// A draft is always fit to be reckoned with, however little was written; what is missing is said.
#[test]
fn an_inspection_that_has_only_begun_can_be_reckoned_with() {
    let folded = fold(&id(), &BTreeMap::from([(TOUCH.to_owned(), json!("slick"))]));
    model::parse_inspection(folded.document.to_string().as_bytes()).expect("fit to be reckoned with");
    let words: Vec<&str> = folded.gaps.iter().map(|gap| gap.words.as_str()).collect();
    assert!(words.contains(&"front left corner, outer face: how it was seen"), "{words:?}");
    assert!(words.contains(&"rear right corner: seen, or why not"), "{words:?}");
    assert!(words.contains(&"front axle: its tyre's size"), "{words:?}");
    assert_eq!(
        folded.document["corners"]["front_left"]["seen"]["outer_face"],
        json!({"not_inspected": "not written down whole yet"})
    );
}

#[test]
fn two_devices_that_did_not_know_of_each_other_make_a_conflict_that_a_person_settles() {
    let mut first = begun("a");
    let (mut second, _) = open(Connection::open_in_memory().expect("memory"), "b");
    second.take_in(&first.carry().expect("entries")).expect("taken in");
    first.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
    second.write(&id(), TOUCH, json!("abrasive"), stamp(2)).expect("written");
    first.take_in(&second.carry().expect("entries")).expect("taken in");
    second.take_in(&first.carry().expect("entries")).expect("taken in");
    let (one, other) = (first.draft(&id()).expect("a draft"), second.draft(&id()).expect("a draft"));
    assert_eq!(one, other);
    assert_eq!(one.conflicts.len(), 1);
    let chosen = one.conflicts[0].claimants[0].entry.clone();
    first.settle(&id(), TOUCH, &chosen, stamp(3)).expect("settled");
    second.take_in(&first.carry().expect("entries")).expect("taken in");
    let settled = second.draft(&id()).expect("a draft");
    assert_eq!((settled.conflicts.len(), &settled.values[TOUCH]), (0, &json!("slick")));
}

/// In whatever order entries meet, and however often, the inspection is the same.
#[test]
fn the_order_of_entries_changes_nothing() {
    let mut book = begun("a");
    for (minute, value) in [(1, "slick"), (2, "abrasive"), (3, "slick")] {
        book.write(&id(), TOUCH, json!(value), stamp(minute)).expect("written");
    }
    let entries: Vec<_> = book.carry().expect("entries").into_iter().filter_map(|carried| carried.body).collect();
    let expected = Draft::of(id(), entries.clone());
    for turn in 0..entries.len() {
        let mut turned = entries.clone();
        turned.rotate_left(turn);
        turned.extend(entries.clone());
        turned.reverse();
        assert_eq!(Draft::of(id(), turned), expected);
    }
}

#[test]
fn an_entry_with_other_contents_is_refused_and_changes_nothing() {
    let mut first = begun("a");
    first.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
    let (mut second, _) = open(Connection::open_in_memory().expect("memory"), "b");
    let mut forged = first.carry().expect("entries");
    if let Some(body) = &mut forged[1].body {
        body.value = json!("abrasive");
    }
    assert!(matches!(second.take_in(&forged), Err(NotebookError::OtherContents { .. })));
    assert!(
        matches!(second.take_in_what_fits(&forged), Err(NotebookError::OtherContents { .. })),
        "nor by another way"
    );
    let mut gapped = first.carry().expect("entries");
    gapped.remove(0);
    assert!(matches!(second.take_in(&gapped), Err(NotebookError::OutOfRow { .. })));
    assert_eq!(second.list("").expect("a list"), []);
}

/// Two notebooks that went on from one copy, of which one was heard first.
#[test]
fn of_two_entries_under_one_name_the_first_stays_and_nobody_is_kept_from_the_rest() {
    let (mut one, mut other) = (begun("a"), begun("a"));
    let mut third = begun("c");
    one.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
    other.write(&id(), TOUCH, json!("abrasive"), stamp(2)).expect("written");
    other.write(&id(), "car.registration", json!("PMW-0417-Q"), stamp(3)).expect("written");
    third.write(&id(), "place", json!("Port Merrow"), stamp(4)).expect("written");
    let (mut here, _) = open(Connection::open_in_memory().expect("memory"), "d");
    here.take_in_what_fits(&one.carry().expect("entries")).expect("taken in");
    let told = [other.carry().expect("entries"), third.carry().expect("entries")].concat();
    here.take_in_what_fits(&told).expect("the others are heard");
    let draft = here.draft(&id()).expect("a draft");
    let value = |path: &str| draft.values.get(path).cloned();
    assert_eq!((value(TOUCH), value("place")), (Some(json!("slick")), Some(json!("Port Merrow"))));
    assert_eq!(value("car.registration"), Some(json!("PMW-0417-Q")));
    assert_eq!(here.check().expect("looked through"), []);
}

#[test]
fn an_erased_inspection_stays_erased_whatever_an_old_copy_says_and_the_chain_holds() {
    let mut book = begun("a");
    book.write(&id(), "car.registration", json!("PMW-0417-Q"), stamp(1)).expect("written");
    let taken = book.store_photograph(&id(), Photo { bytes: b"jpeg", small: None, copy: None }).expect("stored");
    let old_copy = book.carry().expect("entries");
    book.erase(&id(), &at(5)).expect("erased");
    assert!(matches!(book.draft(&id()), Err(NotebookError::Erased { .. })));
    assert!(book.original(&taken.sha256.to_string()).is_err());
    book.take_in(&old_copy).expect("taken in");
    assert!(book.carry().expect("entries").iter().all(|carried| carried.body.is_none()));
    assert_eq!(book.check().expect("looked through"), []);
    assert!(book.list("PMW").expect("a list").is_empty());
    // A notebook that learns of the erasure first takes in no body from anywhere.
    let (mut other, _) = open(Connection::open_in_memory().expect("memory"), "b");
    other.take_in(&book.carry().expect("entries")).expect("taken in");
    other.take_in(&old_copy).expect("taken in");
    assert!(other.carry().expect("entries").iter().all(|carried| carried.body.is_none()));
}

fn read(book: &Notebook, sha256: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    book.recording(sha256).expect("a recording").read_to_end(&mut bytes).expect("read");
    bytes
}

#[test]
fn a_recording_grows_by_pieces_and_ends_with_its_digest() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    let (mut book, _) = open(Connection::open(&file).expect("a file"), "a");
    book.begin(&id(), &[], || stamp(0)).expect("begun");
    let number = book.begin_recording(&id(), "motion:0", &at(1)).expect("begun");
    book.add_piece(number, 1, b"1\n").expect("added");
    // The phone dies here; what was recorded goes on.
    drop(book);
    let (mut book, damage) = open(Connection::open(&file).expect("a file"), "a");
    assert_eq!(damage, []);
    let running = book.recordings_of("visit-1").expect("a list");
    assert_eq!((running[0].id, running[0].sha256.as_ref(), running[0].length), (number, None, 2));
    book.add_piece(number, 2, b"2\n").expect("added");
    book.add_piece(number, 2, b"2\n").expect("the same again is there once");
    let sha256 = book.end_recording(number, b"time_s\n").expect("ended").to_string();
    assert_eq!(read(&book, &sha256), b"time_s\n1\n2\n");
    assert_eq!(sha256, model::Sha256::of(b"time_s\n1\n2\n").to_string());
    assert!(book.add_piece(number, 3, b"3").is_err(), "what has ended does not grow");
    assert!(book.drop_recording(number).is_err(), "and is not thrown away");
}

#[test]
fn a_recording_that_comes_whole_is_there_once_and_goes_with_its_inspection() {
    let mut book = begun("a");
    let bytes: Vec<u8> = (0..2_500_000_u32).map(|nth| (nth / 7) as u8).collect();
    let (sha256, is_new) = book.store_recording(&id(), "file", &at(1), &bytes).expect("stored");
    assert!(is_new && !book.store_recording(&id(), "file", &at(2), &bytes).expect("stored").1);
    assert!(read(&book, &sha256.to_string()) == bytes);
    book.erase(&id(), &at(3)).expect("erased");
    assert!(book.recordings().expect("a list").is_empty());
    assert!(matches!(book.recording(&sha256.to_string()), Err(NotebookError::Missing { .. })));
}

#[test]
fn everything_is_there_after_the_program_was_killed() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    {
        let (mut book, _) = open(Connection::open(&file).expect("a file"), "a");
        book.begin(&id(), &[], || stamp(0)).expect("begun");
        book.write(&id(), TOUCH, json!("slick"), stamp(1)).expect("written");
        // A killed process closes nothing.
        std::mem::forget(book);
    }
    let (book, damage) = open(Connection::open(&file).expect("a file"), "other");
    assert_eq!((damage, book.device()), (vec![], &device("a")));
    assert_eq!(book.draft(&id()).expect("a draft").values[TOUCH], json!("slick"));
}

#[test]
fn a_changed_entry_is_found_when_the_notebook_is_opened() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    let (mut book, _) = open(Connection::open(&file).expect("a file"), "a");
    book.begin(&id(), &[], || stamp(0)).expect("begun");
    for (minute, value) in [(1, "slick"), (2, "abrasive"), (3, "slick")] {
        book.write(&id(), TOUCH, json!(value), stamp(minute)).expect("written");
    }
    drop(book);
    let spoil = |sql: &str| Connection::open(&file).expect("a file").execute(sql, []).expect("spoilt");
    assert_eq!(spoil("UPDATE entries SET body = replace(body, 'abrasive', 'slick') WHERE seq = 2"), 1);
    let (_, damage) = open(Connection::open(&file).expect("a file"), "a");
    assert_eq!(damage, [Damage::Entry("a:2".into())]);
    // In slices of any size it is the same.
    let book = Notebook::open(Connection::open(&file).expect("a file"), &device("a")).expect("a notebook");
    for size in 1..6 {
        let (mut found, mut next) = (Vec::new(), None);
        loop {
            let slice = book.look_through(next.as_ref(), size).expect("looked through");
            found.extend(slice.damage);
            next = slice.next;
            if next.is_none() {
                break;
            }
        }
        assert_eq!(found, [Damage::Entry("a:2".into())], "slices of {size}");
    }
    drop(book);
    spoil("DELETE FROM entries WHERE seq = 2");
    let (_, damage) = open(Connection::open(&file).expect("a file"), "a");
    assert_eq!(damage, [Damage::Gap { after: "a:1".into() }]);
}

#[test]
fn a_file_that_is_no_notebook_or_a_later_one_is_left_alone() {
    let db = Connection::open_in_memory().expect("memory");
    db.execute_batch("CREATE TABLE other (x)").expect("a table");
    assert!(matches!(Notebook::open(db, &device("a")), Err(NotebookError::Foreign)));
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    drop(open(Connection::open(&file).expect("a file"), "a"));
    Connection::open(&file).expect("a file").pragma_update(None, "user_version", 99).expect("set");
    let later = Notebook::open(Connection::open(&file).expect("a file"), &device("a"));
    assert!(matches!(later, Err(NotebookError::Newer { got: 99, .. })));
}

#[test]
fn the_list_is_searched_in_every_language_and_with_every_sign() {
    let mut book = begun("a");
    book.write(&id(), "car.description", json!("Corvane 100% \\ Tessel_2"), stamp(1)).expect("written");
    book.write(&id(), "car.vin", json!("00CVTM2S8RP000417"), stamp(1)).expect("written");
    let found = |text: &str| book.list(text).expect("a list").len();
    assert_eq!([found(""), found("tessel"), found("0417"), found("100%"), found("\\"), found("_2")], [1; 6]);
    assert_eq!([found("%%"), found("x_2"), found("1004")], [0; 3]);
}

#[test]
fn files_are_written_once_moved_as_a_folder_and_removed() {
    let mut book = begun("a");
    assert!(book.write_file("firm.part/root.pem", b"r").expect("written"));
    assert!(!book.write_file("firm.part/root.pem", b"x").expect("looked"));
    assert!(book.write_file("firm.part/people/i.pem", b"i").expect("written"));
    assert!(book.move_files("firm.part", "firm", false).expect("moved"));
    assert_eq!(book.files_below("firm/").expect("listed"), ["firm/people/i.pem", "firm/root.pem"]);
    assert_eq!(book.file("firm/root.pem").expect("read").as_deref(), Some(&b"r"[..]));
    assert!(book.write_file("firm/new", b"n").expect("written"));
    assert!(book.move_files("firm/new", "firm/root.pem", true).expect("moved"));
    assert_eq!(book.file("firm/root.pem").expect("read").as_deref(), Some(&b"n"[..]));
    assert!(book.remove_files("firm").expect("removed"));
    assert!(book.files_below("").expect("listed").is_empty());
}

#[test]
fn what_the_notebook_wrote_is_told_apart_from_what_a_person_wrote() {
    let book = begun("a");
    assert!(book.draft(&id()).expect("a draft").entries().iter().all(|entry| entry.change == Change::Given));
}

/// A notebook on disk with many entries and photographs, whose log is folded into its file.
fn large(file: &std::path::Path) -> Notebook {
    let (mut book, _) = open(Connection::open(file).expect("a file"), "a");
    book.begin(&id(), &[("demonstration".into(), json!(true))], || stamp(0)).expect("begun");
    for minute in 1..60 {
        let touch = if minute % 2 == 0 { "slick" } else { "abrasive" };
        book.write(&id(), TOUCH, json!(touch), stamp(minute)).expect("written");
        let note = json!(format!("what was seen in minute {minute} {}", "and more of it ".repeat(9)));
        book.write(&id(), "place", note, stamp(minute)).expect("written");
        let bytes = vec![minute as u8; 20_000];
        book.store_photograph(&id(), Photo { bytes: &bytes, small: Some(b"small"), copy: None }).expect("stored");
    }
    let files = Connection::open(file).expect("a file");
    files.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).expect("folded");
    book
}

/// Whatever page is spoilt, everything that lies on other pages is brought over, what is lost is named, and what an
/// export had is whole again once it is taken in.
#[test]
fn what_can_be_read_of_a_spoilt_notebook_is_brought_over() {
    const PAGE: usize = 4096;
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    let saved = large(&file).carry().expect("entries");
    let whole = std::fs::read(&file).expect("a file");
    let pages = whole.len() / PAGE;
    let mut heavy = Vec::new();
    for page in 0..pages {
        let spoilt = folder.path().join(format!("spoilt-{page}.sqlite"));
        let mut bytes = whole.clone();
        bytes[page * PAGE..(page + 1) * PAGE].fill(0xa5);
        std::fs::write(&spoilt, &bytes).expect("written");
        let fresh = Connection::open_in_memory().expect("memory");
        let damaged = Connection::open(&spoilt).expect("opened");
        let (mut book, said) = Notebook::salvage(&damaged, fresh, &device("b")).expect("a notebook");
        assert_eq!(std::fs::read(&spoilt).expect("a file"), bytes, "the damaged one is left as it was");
        assert_eq!(book.device(), &device("b"), "no number is given twice");
        // A page holds at most some dozen entries and less than one photograph; a few hold the way to all of a kind.
        let lost_little = said.entries + 40 >= saved.len() as u64 && said.photographs >= 57;
        heavy.extend((!lost_little).then_some(page));
        let all = said.entries == saved.len() as u64 && said.photographs == 59;
        assert!(all || !said.lost.is_empty(), "page {page}: {said:?}");
        // What is left can be saved and taken in elsewhere, gaps and all.
        let (mut other, _) = open(Connection::open_in_memory().expect("memory"), "c");
        other.take_in(&book.carry().expect("entries")).expect("taken in");
        book.take_in(&saved).expect("mended");
        assert_eq!(book.check().expect("looked through"), [], "page {page}");
        let draft = book.draft(&id()).expect("a draft");
        assert_eq!((draft.unreadable, &draft.values[TOUCH]), (0, &json!("abrasive")));
    }
    assert!(heavy.len() <= 6, "{heavy:?} of {pages}");
}

#[test]
fn one_damaged_entry_hides_no_other_and_is_mended_from_a_saved_notebook() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("notebook.sqlite");
    let saved = large(&file).carry().expect("entries");
    let db = Connection::open(&file).expect("a file");
    db.execute("UPDATE entries SET body = 'x' || body WHERE seq = 7", []).expect("spoilt");
    drop(db);
    let (mut book, damage) = open(Connection::open(&file).expect("a file"), "a");
    assert_eq!(damage, [Damage::Entry("a:7".into())]);
    let draft = book.draft(&id()).expect("a draft");
    assert_eq!((draft.unreadable, draft.entries().len()), (1, saved.len() - 1));
    assert_eq!(book.take_in(&saved).expect("taken in"), 1);
    assert_eq!(book.check().expect("looked through"), []);
    assert_eq!(book.draft(&id()).expect("a draft").unreadable, 0);
}
