//! What others have and this device lacks.

use std::collections::BTreeSet;

use sync::{Answered, Courier, Fetches, Next, PIECE_BYTES};

use crate::{book::Notebook, desk::Desk};

const PIECE: usize = PIECE_BYTES as usize;

fn with_theirs(lengths: &[usize]) -> (Desk, Vec<model::Sha256>) {
    let mut desk = Desk::set_up();
    let mut all = Vec::new();
    desk.told_by_tomas(|book: &mut Notebook| {
        all.extend(lengths.iter().enumerate().map(|(nth, length)| book.photograph(vec![nth as u8; *length])));
    });
    (desk, all)
}

#[test]
fn a_photograph_comes_piece_by_piece_whatever_its_length() {
    for length in [0, 1, PIECE - 1, PIECE, PIECE + 1, 2 * PIECE] {
        let (mut desk, theirs) = with_theirs(&[length]);
        let asked = desk.carry();
        let short = &theirs[0].to_string()[..6];
        let pieces: Vec<String> = (0..=length / PIECE).map(|nth| format!("GET v1/blobs/{short}/{nth}")).collect();
        assert_eq!(asked[1..], pieces, "{length}: the last piece is the one that is not full");
        assert_eq!(desk.book.blobs[&theirs[0]].len(), length);
        assert_eq!(desk.waiting().awaited, 0);
    }
}

#[test]
fn pieces_that_came_are_not_fetched_again_where_one_is_lost() {
    let (mut desk, _) = with_theirs(&[2 * PIECE]);
    desk.go();
    assert!(desk.go().ends_with("/0"));
    let errand = desk.errand();
    assert!(errand.path.ends_with("/1"));
    desk.heard(Answered::Nothing);
    assert_eq!(desk.pause(), 500);
    assert_eq!(desk.errand(), errand);
    desk.carry();
    assert_eq!(desk.book.blobs.len(), 1);
}

#[test]
fn what_was_spoilt_is_not_stored_and_is_fetched_from_its_beginning() {
    let (mut desk, theirs) = with_theirs(&[PIECE + 5]);
    desk.go();
    desk.go();
    assert!(desk.answer(200, b"other").ends_with("/1"));
    assert_eq!(desk.pause(), 500);
    assert_eq!((desk.book.blobs.len(), desk.waiting().awaited), (0, 1));
    let asked = desk.carry();
    assert!(asked[0].ends_with("/0"));
    assert!(desk.book.blobs.contains_key(&theirs[0]));
}

/// Whoever took it has not sent it yet, or this device may not see it.
#[test]
fn what_is_not_to_be_had_is_given_up_until_the_courier_begins_anew() {
    for status in [404, 403] {
        let (mut desk, theirs) = with_theirs(&[PIECE + 10, 20]);
        desk.go();
        assert!(desk.go().ends_with("/0"));
        assert!(desk.answer(status, b"{}").ends_with("/1"));
        let asked = desk.carry();
        assert_eq!(asked, [format!("GET v1/blobs/{}/0", &theirs[1].to_string()[..6])], "the others are fetched");
        assert_eq!(desk.waiting().awaited, 1, "a person sees that one is lacking");
        desk.courier = Courier::new();
        let asked = desk.carry();
        assert!(asked[1].ends_with("/0") && desk.book.blobs.len() == 2, "{asked:?}");
    }
}

#[test]
fn what_came_some_other_way_is_not_fetched() {
    let (mut desk, theirs) = with_theirs(&[10, 20, 30]);
    desk.go();
    assert_eq!(desk.waiting().awaited, 3);
    for (nth, sha256) in theirs[..2].iter().enumerate() {
        desk.book.shown.insert(("inspection-1".parse().unwrap(), *sha256));
        desk.book.blobs.insert(*sha256, vec![nth as u8; 10 * (nth + 1)].into());
    }
    assert_eq!(desk.carry(), [format!("GET v1/blobs/{}/0", &theirs[2].to_string()[..6])]);
    assert_eq!(desk.waiting().awaited, 0);
}

#[test]
fn a_photograph_that_is_here_when_its_entry_comes_is_not_awaited() {
    let (mut desk, theirs) = with_theirs(&[10]);
    desk.book.blobs.insert(theirs[0], vec![0; 10].into());
    desk.book.shown.insert(("inspection-1".parse().unwrap(), theirs[0]));
    assert_eq!(desk.go(), "POST v1/sync");
    assert_eq!(desk.waiting().awaited, 0);
    assert_eq!(desk.next(), Next::Done);
}

#[test]
fn one_that_two_entries_speak_of_is_fetched_once() {
    let mut desk = Desk::set_up();
    desk.told_by_tomas(|book| {
        for _ in 0..5 {
            book.photograph(vec![3; 10]);
        }
    });
    let asked = desk.carry();
    assert_eq!(asked.iter().filter(|one| one.starts_with("GET ")).count(), 1, "{asked:?}");
}

#[test]
fn a_colleagues_report_is_fetched_once_and_is_as_the_office_has_it() {
    let mut desk = Desk::set_up();
    let mut sealed = Vec::new();
    desk.told_by_tomas(|book| sealed.extend((0..3).map(|nth| book.seal(&[nth; 10]))));
    let asked = desk.carry();
    assert_eq!(asked.iter().filter(|one| one.starts_with("GET ")).count(), 3, "{asked:?}");
    for identity in &sealed {
        let filed = &desk.book.reports[identity];
        assert!(filed.is_told && filed.is_receipted);
        assert_eq!(model::Sha256::of(&filed.bytes), desk.office.report(identity).unwrap().sha256);
    }
    desk.courier = Courier::new();
    assert_eq!(desk.carry(), ["POST v1/sync"]);
    // An office that tells of them again makes nobody await them again, nor twice what did not come.
    desk.book.state.reports_seen = 0;
    desk.book.reports.clear();
    for _ in 0..2 {
        desk.courier = Courier::new();
        desk.book.state.reports_seen = 0;
        desk.go();
        desk.go();
        assert_eq!(desk.waiting().awaited, 3);
    }
    desk.carry();
    assert_eq!(desk.book.reports.len(), 3);
}

/// A phone with little room, or a signal that is paid for by its bytes.
#[test]
fn where_only_what_is_asked_for_is_fetched_the_rest_stays_at_the_office() {
    let mut desk = Desk::set_up();
    let mut report = None;
    desk.told_by_tomas(|book| {
        book.photograph(vec![1; 10]);
        book.inspection = "inspection-2".parse().unwrap();
        book.photograph(vec![2; 10]);
        book.photograph(vec![3; 10]);
        report = Some(book.seal(b"a report"));
    });
    desk.book.state.fetches = Fetches::Asked(BTreeSet::new());
    let asked = desk.carry();
    assert_eq!(asked.iter().filter(|one| one.starts_with("GET ")).count(), 1, "the report: {asked:?}");
    assert!(desk.book.reports.contains_key(&report.unwrap()) && desk.book.blobs.is_empty());
    assert_eq!((desk.waiting().awaited, desk.waiting().left), (0, 3));

    desk.book.state.fetch(&"inspection-2".parse().unwrap());
    assert_eq!((desk.waiting().awaited, desk.waiting().left), (2, 1));
    desk.carry();
    assert_eq!((desk.book.blobs.len(), desk.waiting().left), (2, 1));

    // What is taken of it later comes by itself, also from an office that begins again.
    desk.office.epoch = "epoch-2".to_owned();
    desk.told_by_tomas(|book| {
        *book = Notebook::new("device-third");
        book.inspection = "inspection-2".parse().unwrap();
        book.photograph(vec![4; 10]);
    });
    desk.courier = Courier::new();
    desk.carry();
    assert_eq!((desk.book.blobs.len(), desk.waiting().left), (3, 1));
    desk.book.state.fetches = Fetches::All;
    desk.carry();
    assert_eq!((desk.book.blobs.len(), desk.waiting().left), (4, 0));
}

/// As an office whose disk has rotted has them.
#[test]
fn a_file_that_is_damaged_at_the_office_keeps_none_of_the_others_back() {
    let (mut desk, theirs) = with_theirs(&[PIECE + 5, 20]);
    let damaged = desk.office.blobs.get_mut(&theirs[0]).unwrap();
    *damaged = vec![9; PIECE + 5].into();
    let fetched = |desk: &mut Desk| {
        let mut pieces = 0;
        for _ in 0..100 {
            match desk.next() {
                Next::Ask(errand) => {
                    pieces += usize::from(errand.path.ends_with("/1"));
                    let (status, body) = desk.office.answer(&desk.book.token, &errand);
                    desk.heard(Answered::with(status, body, None));
                }
                Next::Wait(_) => {}
                Next::Done => return pieces,
                other @ Next::Halt(_) => panic!("{other:?}"),
            }
        }
        panic!("it does not come to an end");
    };
    assert!(fetched(&mut desk) <= 2);
    assert!(desk.book.blobs.contains_key(&theirs[1]), "the other one is here");
    assert_eq!(desk.waiting().awaited, 1, "a person sees that one is lacking");
    // Nor is it fetched anew each minute, but when the app is opened again.
    desk.courier.begin_again();
    assert_eq!(fetched(&mut desk), 0);
    desk.courier = Courier::new();
    assert!(fetched(&mut desk) > 0);
}

#[test]
fn what_the_office_cannot_give_just_now_keeps_none_of_the_others_back() {
    let (mut desk, theirs) = with_theirs(&[10, 20]);
    desk.go();
    let first = desk.errand().path;
    for _ in 0..3 {
        assert_eq!(desk.errand().path, first);
        desk.heard(Answered::Status(503, b"{}".to_vec()));
        desk.pause();
    }
    desk.carry();
    assert_eq!((desk.book.blobs.len(), desk.waiting().awaited), (1, 1));
    desk.courier.begin_again();
    desk.carry();
    assert_eq!(desk.book.blobs.len(), theirs.len(), "the next time it is asked for again");
}

#[test]
fn a_file_that_two_inspections_show_is_here_for_both() {
    let mut desk = Desk::set_up();
    desk.told_by_tomas(|book| {
        book.photograph(vec![3; 10]);
        book.inspection = "inspection-2".parse().unwrap();
        book.photograph(vec![3; 10]);
    });
    let asked = desk.carry();
    assert_eq!(asked.iter().filter(|one| one.starts_with("GET ")).count(), 1, "{asked:?}");
    assert_eq!((desk.book.shown.len(), desk.waiting().awaited), (2, 0));
}
