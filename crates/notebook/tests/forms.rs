//! A notebook that an earlier version wrote opens, and nothing of it is lost. `tests/forms` holds one of every form,
//! written by the version whose form it was: `RIMSIDE_GOLDEN=write` adds the newest and never touches an older one.

use std::{
    io::Read as _,
    path::{Path, PathBuf},
};

use model::{DeviceId, InspectionId, Line, Salt, Timestamp};
use notebook::{Connection, FileAccess as _, Notebook, Photo, Report, Stamp};
use serde_json::json;

/// The newest form.
const FORM: u32 = 4;

fn at(minute: u32) -> Timestamp {
    format!("2026-11-24T09:{minute:02}:00+01:00").parse().expect("a time")
}

fn stamp(minute: u32) -> Stamp {
    Stamp { at: at(minute), author: Line::try_from("Ines").expect("a name"), salt: Salt::new([minute as u8; 16]) }
}

fn device() -> DeviceId {
    "device-a".parse().expect("a device")
}

fn visit(name: &str) -> InspectionId {
    name.parse().expect("an inspection")
}

fn stored(form: u32) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/forms/form-{form}.sqlite"))
}

/// Something of every kind that a notebook keeps.
fn fill(file: &Path) {
    let mut book = Notebook::open(Connection::open(file).expect("a file"), &device()).expect("a notebook");
    let begin = |book: &mut Notebook, name: &str, vin: &str| {
        let given = [("demonstration".to_owned(), json!(true)), ("car.vin".to_owned(), json!(vin))];
        book.begin(&visit(name), &given, || stamp(0)).expect("begun");
    };
    begin(&mut book, "visit-1", "00RTESSEL00000001");
    begin(&mut book, "visit-2", "00RTESSEL00000002");
    for (minute, touch) in [(1, "slick"), (2, "abrasive")] {
        book.write(&visit("visit-1"), "corners.front_left.outer_face.touch", json!(touch), stamp(minute))
            .expect("written");
    }
    book.take_back(&visit("visit-1"), stamp(3)).expect("taken back");
    let photo = Photo { bytes: b"an original", small: Some(b"a small one"), copy: Some(b"a copy") };
    book.store_photograph(&visit("visit-1"), photo).expect("stored");
    book.store_recording(&visit("visit-1"), "file", &at(3), b"a recording").expect("stored");
    book.begin_recording(&visit("visit-1"), "sound:48000", &at(3))
        .and_then(|number| book.add_piece(number, 1, b"a piece"))
        .expect("begun");
    book.keep("settings", "{\"theme\":\"night\"}").expect("kept");
    for path in ["firm/root.pem", "reports/visit-1-1.pdf"] {
        assert!(book.write_file(path, path.as_bytes()).expect("written"));
    }
    book.note_report(&Report {
        identity: "11".repeat(32),
        inspection: Some("visit-1".into()),
        facts: "{\"pages\":2}".into(),
        sealed_at: at(4).to_rfc3339(),
        path: "reports/visit-1-1.pdf".into(),
    })
    .expect("noted");
    book.erase(&visit("visit-2"), &at(5)).expect("erased");
    drop(book);
    // One file, without a log beside it.
    let db = Connection::open(file).expect("a file");
    db.pragma_update(None, "journal_mode", "DELETE").expect("one file");
}

#[test]
fn a_notebook_of_every_form_opens_with_all_that_was_in_it() {
    if std::env::var_os("RIMSIDE_GOLDEN").is_some() && !stored(FORM).exists() {
        fill(&stored(FORM));
    }
    for form in 1..=FORM {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("notebook.sqlite");
        std::fs::copy(stored(form), &file).expect("copied");
        let was: u32 = Connection::open(&file)
            .and_then(|db| db.pragma_query_value(None, "user_version", |row| row.get(0)))
            .expect("a form");
        assert_eq!(was, form);
        let other = "device-b".parse().expect("a device");
        let mut book = Notebook::open(Connection::open(&file).expect("a file"), &other).expect("a notebook");
        assert_eq!(book.check().expect("looked through"), [], "form {form}");
        assert_eq!(book.device(), &device());
        let draft = book.draft(&visit("visit-1")).expect("a draft");
        assert_eq!(draft.values["corners.front_left.outer_face.touch"], json!("slick"));
        assert_eq!(draft.values["car.vin"], json!("00RTESSEL00000001"));
        let shown = book.photographs_of("visit-1").expect("a list");
        assert_eq!(book.original(&shown[0]).expect("an original"), b"an original");
        assert_eq!(book.small(&shown[0]).expect("a picture"), b"a small one");
        assert_eq!(book.kept("settings").expect("kept").as_deref(), Some("{\"theme\":\"night\"}"));
        assert_eq!(book.file("firm/root.pem").expect("read").as_deref(), Some(&b"firm/root.pem"[..]));
        let reports = book.reports().expect("a list");
        assert_eq!(reports.len(), 1);
        assert_eq!(book.report(&reports[0].identity).expect("a report"), b"reports/visit-1-1.pdf");
        let recordings = book.recordings_of("visit-1").expect("a list");
        assert_eq!(recordings.len(), if form < 3 { 0 } else { 2 }, "form {form}");
        for kept in recordings.iter().filter_map(|kept| kept.sha256.as_deref()) {
            let mut bytes = Vec::new();
            book.recording(kept).expect("a recording").read_to_end(&mut bytes).expect("read");
            assert_eq!(bytes, b"a recording");
        }
        let erased: Vec<bool> = book.list("").expect("a list").iter().map(|line| line.erased).collect();
        assert_eq!(erased.iter().filter(|&&erased| erased).count(), 1);
        // And it is written on in the newest form.
        book.make_again(&visit("visit-1"), stamp(6)).expect("made again");
        assert_eq!(book.check().expect("looked through"), []);
    }
}
