//! An office that is carried to other stores and back.

use chrono::{DateTime, Utc};
use model::{Carried, Change, DeviceId, Entry, EntryId, Sha256};
use seal::{
    certificate::Role,
    digest::{ReportIdentity, Sha256Digest},
    key_file::Passphrase,
};
use serde_json::json;
use server::{
    Digested, Entered, Joined, KeepError, LogFolder, LogFolderError, MoveError, NewEntries, NewLink, StoreError,
    Stores, Way,
    log::{EntryKind, audit},
    move_office,
};
use sync::{PIECE_BYTES, pieces};

use crate::place::Place;

const NAME: &str = "log.example/harbour-vale";
const ENTRIES: u64 = 1_100;

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_800_000_000 + second, 0).unwrap()
}

fn phrase() -> Passphrase {
    Passphrase::from("an invented phrase".to_owned())
}

fn device() -> DeviceId {
    "device-ines".parse().unwrap()
}

fn entry(seq: u64) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device(), seq },
        inspection: "inspection-1".parse().unwrap(),
        path: "car.description".to_owned(),
        value: json!(format!("entry {seq}: Übergröße, \u{1F6DE}, \"quoted\", \u{0}")),
        replaces: Vec::new(),
        change: Change::Written,
        written_at: at(0).fixed_offset(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: model::Salt::new([7; 16]),
    })
}

fn take(office: &LogFolder, from: u64, to: u64) -> Result<(), StoreError> {
    let new: Vec<Carried> = (from + 1..=to).map(entry).collect();
    let linked: Vec<(&Carried, Sha256)> = new.iter().map(|one| (one, one.body_digest)).collect();
    let named = [Sha256::of(b"not here yet")];
    let new = NewEntries { device: &device(), thought: from, entries: &linked, named: &named, at: at(1) };
    office.rows().take(office.firm(), &new)
}

fn enter(office: &LogFolder, text: &str) -> Result<Vec<Entered>, LogFolderError> {
    let report = ReportIdentity(Sha256Digest::of(text.as_bytes()));
    let kind = EntryKind::Issued { report, signature: Sha256Digest::of(b"a signature") };
    Ok(office.unlock(&phrase())?.enter(&[kind], at(2))?)
}

fn keep_photograph(office: &LogFolder, bytes: &[u8]) -> Sha256 {
    let (sha256, length, firm) = (Sha256::of(bytes), bytes.len() as u64, office.firm());
    for (nth, piece) in bytes.chunks(PIECE_BYTES as usize).enumerate() {
        office.blobs().stage(firm, &device(), &sha256, nth as u64, &Digested::of(piece.to_vec().into())).unwrap();
    }
    assert_eq!(office.blobs().join(firm, &device(), &sha256, length).unwrap(), Joined::Whole);
    office.rows().keep_blob(firm, &sha256, length).unwrap();
    sha256
}

fn read_photograph(office: &LogFolder, sha256: &Sha256, length: u64) -> Vec<u8> {
    (0..pieces(length)).flat_map(|nth| office.blobs().piece(office.firm(), sha256, nth).unwrap().unwrap()).collect()
}

fn count_log(office: &LogFolder) -> usize {
    let read = |path: &str| -> std::io::Result<Vec<u8>> {
        let found = office.shelf().read(office.firm(), path).map_err(std::io::Error::other)?;
        found.ok_or_else(|| std::io::ErrorKind::NotFound.into())
    };
    audit(office.key(), None, read).unwrap().entries.len()
}

#[test]
fn an_office_goes_to_the_stores_and_back_with_all_that_it_has() {
    let place = Place::start();
    let top = tempfile::tempdir().unwrap();
    let folder = top.path().join("office");
    let (own, far) = (Stores::default(), place.stores("harbour-vale"));
    let firm = "harbour-vale".parse().unwrap();
    let office = LogFolder::found(&folder, (NAME, Some(&firm)), &own, &phrase(), [7; 32]).unwrap();
    take(&office, 0, ENTRIES).unwrap();
    enter(&office, "the first report").unwrap();
    office.rows().open_code(&firm, &[1; 32], ("Ines's phone", Role::Inspector), at(60), 5).unwrap();
    assert!(office.rows().let_in(&firm, &[1; 32], "device-ines", &[2; 32], at(3)).unwrap());
    office.rows().keep_letter(&firm, "{\"a\":1}", "device-ines", at(4)).unwrap();
    assert!(office.rows().keep_reply(&firm, 1, "{\"b\":1}", 2, at(5)).unwrap());
    let link = NewLink {
        secret: &[9; 32],
        shows: "letter:1",
        label: "Amara Quill",
        device: "device-ines",
        made_at: at(0),
        until: at(100),
    };
    office.rows().open_link(&firm, &link).unwrap();
    office.rows().ask_certificate(&firm, "device-ines", "a request", at(6)).unwrap();
    let bytes: Vec<u8> = (0..2 * PIECE_BYTES + 77).map(|nth| (nth * 31 % 251) as u8).collect();
    let photograph = keep_photograph(&office, &bytes);

    let moved = move_office(&folder, &far, Way::ToStores, at(10)).unwrap();
    let rows: std::collections::BTreeMap<_, _> = moved.rows.iter().copied().collect();
    assert_eq!((rows["entries"], rows["log_entries"], rows["devices"], rows["replies"]), (ENTRIES, 1, 1, 1));
    assert_eq!((moved.blobs, moved.logged, moved.lost.len()), (1, 1, 0));

    // Whoever still has the old place open writes nothing into it, and nobody opens it.
    let late = take(&office, ENTRIES, ENTRIES + 1).unwrap_err();
    assert!(matches!(late, StoreError::Gone { .. }), "{late}");
    let late = enter(&office, "a second history").unwrap_err();
    assert!(matches!(late, LogFolderError::Keep(KeepError::Store(StoreError::Gone { .. }))), "{late}");
    let old = LogFolder::open(&folder, &own).map(|_| ()).unwrap_err().to_string();
    assert!(old.contains("PostgreSQL and a store of objects"), "{old}");
    let twice = move_office(&folder, &far, Way::ToStores, at(11)).unwrap_err();
    assert!(matches!(twice, MoveError::Gone { .. }), "{twice}");

    // There, it goes on.
    let there = LogFolder::open(&folder, &far).unwrap();
    take(&there, ENTRIES, ENTRIES + 3).unwrap();
    enter(&there, "the second report").unwrap();
    assert_eq!(read_photograph(&there, &photograph, bytes.len() as u64), bytes);
    assert_eq!(there.rows().find_device(&[2; 32]).unwrap().unwrap().label, "Ines's phone");
    assert_eq!(count_log(&there), 2);
    let second = keep_photograph(&there, b"taken later");

    let back = move_office(&folder, &far, Way::ToFolder, at(20)).unwrap();
    assert_eq!((back.blobs, back.logged), (2, 2));
    let gone = LogFolder::open(&folder, &far).map(|_| ()).unwrap_err().to_string();
    assert!(gone.contains("its own folder"), "{gone}");
    let again = LogFolder::open(&folder, &own).unwrap();
    let part = again.rows().part(&firm, 0, (&"device-nobody".parse().unwrap(), 0), usize::MAX).unwrap();
    assert_eq!(part.entries, (1..=ENTRIES + 3).map(entry).collect::<Vec<_>>(), "every entry as it was written");
    assert_eq!(again.rows().letter(&firm, 1).unwrap().unwrap().replies.len(), 1);
    assert_eq!(again.rows().find_link(&[9; 32], at(30)).unwrap().unwrap().label, "Amara Quill");
    assert_eq!(again.rows().wanted(&firm, &device(), None, 9).unwrap(), [Sha256::of(b"not here yet")]);
    assert_eq!(read_photograph(&again, &second, 11), b"taken later");
    assert_eq!(enter(&again, "the second report").unwrap()[0].index, 1, "it is known");
    assert_eq!(enter(&again, "the third report").unwrap()[0].index, 2);
    assert_eq!(count_log(&again), 3);
}

#[test]
fn an_office_is_not_put_over_another_one() {
    let place = Place::start();
    let top = tempfile::tempdir().unwrap();
    let far = place.stores("shared");
    let found = |name: &str| {
        let folder = top.path().join(name);
        let office = LogFolder::found(&folder, (NAME, None), &Stores::default(), &phrase(), [7; 32]).unwrap();
        take(&office, 0, 2).unwrap();
        folder
    };
    move_office(&found("one"), &far, Way::ToStores, at(1)).unwrap();
    let other = found("another");
    let refused = move_office(&other, &far, Way::ToStores, at(2)).unwrap_err();
    assert!(matches!(refused, MoveError::Taken { .. }), "{refused}");
    assert!(take(&LogFolder::open(&other, &Stores::default()).unwrap(), 2, 3).is_ok(), "it stays where it is");
}
