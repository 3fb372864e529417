use std::sync::LazyLock;

use seal::{
    certificate::{Firm, Person, Role, certify_issuer, certify_person, create_root},
    chain::Chain,
    key::PrivateKey,
    sealing::seal_file,
    signature::Signer,
};

use super::*;
use crate::{
    test_world::{TestWorld, Trouble},
    world::seed_generator,
};

const STATE: &str = "/firm/people/ines.device.json";
const PLACES: [&str; 3] = ["/out/first.pdf", "/out/second.pdf", "/elsewhere/third.pdf"];

/// The smallest file that the seal's reader takes, told apart by its title: one blank page, the attachment, the room.
fn prepare(title: &str) -> Vec<u8> {
    let stream = |entries: &str, data: &str| format!("<<{entries}/Length {}>>stream\n{data}\nendstream ", data.len());
    let objects = [
        "<</Type/Catalog/Pages 2 0 R/Extensions<</ISO_<</BaseVersion/2.0/ExtensionLevel 32002>>>>\
         /Names<</EmbeddedFiles<</Names[(record.json) 6 0 R]>>>>/AF[6 0 R]/AcroForm 5 0 R/Perms<</DocMDP 9 0 R>>\
         /Lang(en)>>"
            .to_owned(),
        "<</Type/Pages/Kids[3 0 R]/Count 1>>".to_owned(),
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 595.28 841.89]/Annots[4 0 R]>>".to_owned(),
        "<</Type/Annot/Subtype/Widget/FT/Sig/T(seal)/F 132/Rect[0 0 0 0]/P 3 0 R/V 9 0 R>>".to_owned(),
        "<</Fields[4 0 R]/SigFlags 3>>".to_owned(),
        "<</Type/Filespec/F(record.json)/UF(record.json)/EF<</F 7 0 R/UF 7 0 R>>/AFRelationship/Data>>".to_owned(),
        stream("/Type/EmbeddedFile/Subtype/application#2Fjson", "{}"),
        format!("<</Title({title})>>"),
        format!(
            "<</Type/Sig/Filter/Adobe.PPKLite/SubFilter/ETSI.CAdES.detached/ByteRange[0 1000000000 1000000000 1000000000]\
             /Contents<{}>/M(D:20260102030405Z)/Name(A. Inspector)/Reason(Condition report)/Reference[<</Type/SigRef\
             /TransformMethod/DocMDP/TransformParams<</Type/TransformParams/P 1/V/1.2>>>>]>>",
            "00".repeat(seal::file::ROOM_BYTES)
        ),
    ];
    let mut bytes = b"%PDF-2.0\n%\xBB\xAD\xC0\xDE\n".to_vec();
    let mut table = "0000000000 65535 f \n".to_owned();
    for (place, object) in objects.iter().enumerate() {
        table.push_str(&format!("{:010} 00000 n \n", bytes.len()));
        bytes.extend_from_slice(format!("{} 0 obj\n{object}\nendobj\n", place + 1).as_bytes());
    }
    let start = bytes.len();
    let count = objects.len() + 1;
    let trailer = format!(
        "xref\n0 {count}\n{table}trailer\n<</Root 1 0 R/Size {count}/Info 8 0 R/ID[<00FF><00FF>]>>\nstartxref\n{start}\n%%EOF"
    );
    bytes.extend_from_slice(trailer.as_bytes());
    let find = |what: &[u8]| bytes.windows(what.len()).position(|window| window == what).unwrap();
    let (range, room) = (find(b"/ByteRange") + 10, find(b"/Contents<") + 9);
    let after = room + 2 + 2 * seal::file::ROOM_BYTES;
    let spelt = format!("[0 {room} {after} {}", bytes.len() - after);
    let spelt = format!("{spelt:<width$}]", width = "[0 1000000000 1000000000 1000000000".len());
    bytes[range..range + spelt.len()].copy_from_slice(spelt.as_bytes());
    bytes
}

static REPORTS: LazyLock<[Vec<u8>; 3]> = LazyLock::new(|| {
    let mut rng = seed_generator(&TestWorld::default()).unwrap();
    let from = "2026-01-01T00:00:00Z".parse().unwrap();
    let firm = Firm { name: "North Bay".to_owned() };
    let [root_key, issuer_key, key] = std::array::from_fn(|_| PrivateKey::generate(&mut rng));
    let root = create_root(&root_key, &firm, from, &mut rng).unwrap();
    let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), from, &mut rng).unwrap();
    let person = Person { name: "Maja Holt".into(), organization: firm.name, role: Role::Inspector };
    let certificate = certify_person(&issuer_key, &issuer, &person, key.public(), from, &mut rng).unwrap();
    let signer = Signer::new(key, Chain::new(certificate, issuer, root).unwrap()).unwrap();
    ["first", "second", "third"].map(|title| seal_file(prepare(title), &signer).unwrap())
});

fn outgoing(which: usize) -> Outgoing<'static> {
    Outgoing {
        record: record(which),
        bytes: &REPORTS[which],
        place: Path::new(PLACES[which]),
        existing: Existing::Refuse,
    }
}

fn record(which: usize) -> Sha256 {
    Sha256::of(PLACES[which].as_bytes())
}

fn open(world: &TestWorld) -> Result<(Row<'_>, Option<Finished>), DeviceError> {
    Row::open(world, Path::new(STATE))
}

/// One report is in the row already.
fn begun() -> TestWorld {
    let world = TestWorld::default();
    let (mut row, finished) = open(&world).unwrap();
    assert_eq!((row.next().sequence, row.next().previous, finished), (1, None, None));
    row.publish(&outgoing(0)).unwrap();
    drop(row);
    world
}

fn holds(world: &TestWorld, which: usize) -> bool {
    match world.find(PLACES[which]) {
        None => false,
        Some(bytes) => {
            assert_eq!(bytes, REPORTS[which], "a report is at its place whole or not at all");
            true
        }
    }
}

/// The rules of the row, after everything works again: a number is never given twice, and a record that may have left
/// the machine is never lost.
fn check_row(world: &TestWorld, was_done: bool, case: &str) {
    let (mut row, _) = open(world).unwrap();
    let next = row.next();
    let is_second_there = holds(world, 1);
    assert!(!was_done || is_second_there, "{case}: said to be done");
    if is_second_there {
        assert_eq!((next.sequence, next.previous), (3, Some(record(1))), "{case}: in its place, so in the row");
    } else {
        assert_eq!(
            (next.sequence, next.previous),
            (2, Some(record(0))),
            "{case}: not in the row, so the number is free"
        );
    }
    row.publish(&outgoing(2)).unwrap();
    let after = row.next();
    assert_eq!((after.sequence, after.previous), (next.sequence + 1, Some(record(2))), "{case}");
    drop(row);
    assert!(holds(world, 0) && holds(world, 2), "{case}");
    let parts = world.list().into_iter().filter(|file| file.to_string_lossy().ends_with(".part")).count();
    assert!(parts <= 1, "{case}: at most the one hidden file of a crash is left behind");
}

/// Runs the second publication with the trouble; whether it was said to be done, and whether the trouble came about.
fn run_into(world: &TestWorld, step: usize, trouble: Trouble) -> (bool, bool) {
    world.plan(step, trouble);
    let done = open(world).and_then(|(mut row, _)| row.publish(&outgoing(1)));
    (done.is_ok(), world.restart())
}

#[test]
fn whatever_fails_the_row_neither_forks_nor_loses_a_record() {
    let mut steps = 0;
    for trouble in Trouble::ALL {
        for step in 0.. {
            let world = begun();
            let (was_done, came_about) = run_into(&world, step, trouble);
            if !came_about {
                assert!(was_done, "without trouble it works");
                steps = step;
                break;
            }
            check_row(&world, was_done, &format!("{trouble:?} at step {step}"));
        }
    }
    assert!(steps >= 12, "lock, read, write, sync, note (four), move, sync, take in (four): got {steps}");
}

#[test]
fn trouble_while_finishing_is_finished_too() {
    for first in Trouble::ALL {
        for step in 0.. {
            let world = begun();
            let (was_done, came_about) = run_into(&world, step, first);
            if !came_about {
                break;
            }
            for second in Trouble::ALL {
                for again in 0.. {
                    let world = begun();
                    run_into(&world, step, first);
                    world.plan(again, second);
                    drop(open(&world));
                    if !world.restart() {
                        break;
                    }
                    check_row(&world, was_done, &format!("{first:?} at step {step}, then {second:?} at {again}"));
                }
            }
        }
    }
}

#[test]
fn a_report_that_somebody_took_away_keeps_its_number() {
    for step in 0.. {
        let world = begun();
        let (_, came_about) = run_into(&world, step, Trouble::KilledAfter);
        assert!(came_about, "at some step the report is in its place and still pending");
        if !holds(&world, 1) {
            continue;
        }
        world.take(PLACES[1]).unwrap();
        let (row, finished) = open(&world).unwrap();
        assert_eq!(finished, Some(Finished::Gone { sequence: 2, place: PLACES[1].into() }));
        assert_eq!((row.next().sequence, row.next().previous), (3, Some(record(1))));
        return;
    }
}

#[test]
fn a_report_whose_place_was_taken_meanwhile_lies_beside() {
    for step in 0.. {
        let world = begun();
        let (_, came_about) = run_into(&world, step, Trouble::KilledAfter);
        assert!(came_about, "at some step the report is noted and not yet in its place");
        let is_noted = String::from_utf8(world.find(STATE).unwrap()).unwrap().contains("lies_at");
        if !is_noted || holds(&world, 1) {
            continue;
        }
        world.put(PLACES[1], b"somebody else's");
        let (row, finished) = open(&world).unwrap();
        let Some(Finished::Beside { sequence: 2, lies_at, .. }) = finished else { panic!("{finished:?}") };
        assert_eq!(world.find(&lies_at).unwrap(), REPORTS[1]);
        assert_eq!(row.next().sequence, 3);
        assert_eq!(world.find(PLACES[1]).unwrap(), b"somebody else's");
        return;
    }
}

#[test]
fn a_taken_place_is_refused_unless_it_may_be_replaced() {
    let world = begun();
    world.put(PLACES[1], b"an older report");
    let (mut row, _) = open(&world).unwrap();
    let refused = row.publish(&outgoing(1)).unwrap_err();
    assert_eq!(crate::fault::Explained::code(&refused), "file-exists");
    assert_eq!((row.next().sequence, world.find(PLACES[1]).unwrap()), (2, b"an older report".to_vec()));
    row.publish(&Outgoing { existing: Existing::Replace, ..outgoing(1) }).unwrap();
    assert!(holds(&world, 1));
    assert!(world.list().iter().all(|file| !file.to_string_lossy().ends_with(".part")));
}

#[test]
fn a_damaged_state_is_refused_and_left_alone() {
    for damaged in
        ["", "{}", r#"{"schema":"rimside.device/1","id":"device-1","next":0,"previous":null,"pending":null}"#]
    {
        let world = TestWorld::default();
        world.put(STATE, damaged.as_bytes());
        assert!(matches!(open(&world), Err(DeviceError::State { .. })), "{damaged}");
        assert_eq!(world.find(STATE).unwrap(), damaged.as_bytes());
    }
}
