//! What goes when: entries, statements, reports, pieces, then what others have.

use sync::{Answered, Courier, Method, Next, PIECE_BYTES, content_digest};

use crate::desk::{Desk, brief};

const PIECE: usize = PIECE_BYTES as usize;

#[test]
fn entries_go_first_then_statements_reports_pieces_and_last_what_others_have() {
    let mut desk = Desk::set_up();
    let theirs = vec![7; 10];
    desk.told_by_tomas(|book| {
        book.photograph(theirs);
    });
    let mine = &desk.book.photograph(vec![1; PIECE + 1]).to_string()[..6];
    desk.book.write("scuffed");
    let identity = desk.book.seal(b"a report");
    desk.book.withdraw(&identity);
    let asked = desk.carry();
    let report = asked[4].split('/').nth(2).unwrap();
    let theirs = asked.last().unwrap().split('/').nth(2).unwrap();
    assert_eq!(
        asked,
        [
            "POST v1/sync",
            "POST v1/statements",
            "POST v1/receipts",
            "POST v1/reports",
            &format!("PUT v1/blobs/{report}/0"),
            &format!("POST v1/blobs/{report}"),
            "POST v1/reports",
            &format!("PUT v1/blobs/{mine}/0"),
            &format!("PUT v1/blobs/{mine}/1"),
            &format!("POST v1/blobs/{mine}"),
            "POST v1/sync",
            &format!("GET v1/blobs/{theirs}/0"),
        ]
    );
    assert_eq!(desk.book.blobs.len(), 2);
    assert_eq!(desk.office.blobs.len(), 3);
}

#[test]
fn who_has_nothing_to_tell_asks_once_and_is_done() {
    let mut desk = Desk::set_up();
    assert_eq!(desk.carry(), ["POST v1/sync"]);
    assert_eq!(desk.next(), Next::Done);
    desk.courier = Courier::new();
    assert_eq!(desk.carry(), ["POST v1/sync"], "opened again it asks again: others may have written");
}

#[test]
fn what_is_written_while_a_courier_goes_is_told_before_the_rest() {
    let mut desk = Desk::set_up();
    desk.book.photograph(vec![1; 2 * PIECE]);
    desk.go();
    assert!(desk.go().starts_with("PUT "));
    desk.book.write("seen meanwhile");
    assert_eq!(desk.waiting().entries, 1);
    assert_eq!(desk.go(), "POST v1/sync");
    assert_eq!((desk.waiting().entries, desk.office.entries.len()), (0, 2));
    let rest = desk.carry();
    assert!(rest[0].ends_with("/1"), "the piece that came is not sent again: {rest:?}");
}

#[test]
fn a_photograph_goes_on_from_the_pieces_that_the_office_has() {
    let mut desk = Desk::set_up();
    let bytes: Vec<u8> = (0..3 * PIECE + 5).map(|nth| (nth * 7 % 253) as u8).collect();
    let sha256 = desk.book.photograph(bytes.clone());
    let short = sha256.to_string()[..6].to_owned();
    desk.go();
    // The second piece alone arrived, then the app was closed.
    let staged = desk.office.staged.entry((desk.book.device.clone(), sha256)).or_default();
    staged.insert(1, bytes[PIECE..2 * PIECE].to_vec().into());
    desk.courier = Courier::new();
    let asked = desk.carry();
    let pieces: Vec<String> = [0, 2, 3].iter().map(|nth| format!("PUT v1/blobs/{short}/{nth}")).collect();
    assert_eq!(asked[1..4], pieces);
    assert_eq!(asked[4..], [format!("POST v1/blobs/{short}"), "POST v1/sync".to_owned()]);
    assert!(*desk.office.blobs[&sha256] == bytes);
}

#[test]
fn an_errand_says_where_it_goes_and_has_the_digest_of_what_goes_with_it() {
    let mut desk = Desk::set_up();
    desk.told_by_tomas(|book| {
        book.photograph(vec![7; 10]);
    });
    let sha256 = desk.book.photograph(vec![1; PIECE + 2]);
    let mut seen = Vec::new();
    for _ in 0..6 {
        let errand = desk.errand();
        match errand.method {
            Method::Get => assert_eq!((&errand.content_digest, errand.body.len()), (&None, 0)),
            Method::Put | Method::Post => assert_eq!(errand.content_digest, Some(content_digest(&errand.body))),
        }
        let (status, body) = desk.office.answer(&desk.book.token, &errand);
        desk.heard(Answered::Status(status, body));
        seen.push(errand);
    }
    assert_eq!(desk.next(), Next::Done);
    assert_eq!(seen[1].path, format!("v1/blobs/{sha256}/0"), "a path has the whole digest");
    assert!(
        seen[1].body == vec![1; PIECE] && seen[2].body == [1; 2],
        "a piece is a mebibyte, and the last one the rest"
    );
    assert_eq!(seen[3].body, format!("{{\"length\":{}}}", PIECE + 2).into_bytes());
    assert_eq!(brief(&seen[3]), format!("POST v1/blobs/{}", &sha256.to_string()[..6]));
}

/// Those that are lacking are named in the order of their digests.
#[test]
fn a_photograph_that_is_named_before_one_that_is_half_sent_goes_with_its_own_bytes() {
    let mut desk = Desk::set_up();
    let first = desk.book.photograph(vec![1; 2 * PIECE]);
    desk.go_to("PUT ");
    let before = (0..=u8::MAX).find(|nth| model::Sha256::of(&[*nth]) < first).unwrap();
    let second = desk.book.photograph(vec![before]);
    let asked = desk.carry();
    assert_eq!(asked[1], format!("PUT v1/blobs/{}/0", &second.to_string()[..6]));
    assert_eq!((desk.office.blobs[&second].len(), desk.office.blobs[&first].len()), (1, 2 * PIECE));
}

#[test]
fn an_empty_photograph_is_said_to_be_whole_without_a_piece() {
    let mut desk = Desk::set_up();
    let sha256 = desk.book.photograph(Vec::new());
    let asked = desk.carry();
    assert_eq!(asked[1], format!("POST v1/blobs/{}", &sha256.to_string()[..6]));
    assert!(desk.office.blobs[&sha256].is_empty());
}

#[test]
fn what_the_office_names_later_is_sent_as_well() {
    let mut desk = Desk::set_up();
    for nth in 0..5 {
        desk.book.photograph(vec![nth; 10]);
    }
    let asked = desk.carry();
    assert_eq!(desk.office.blobs.len(), 5);
    assert_eq!(asked.iter().filter(|one| *one == "POST v1/sync").count(), 2 + 2, "two are named at once: {asked:?}");
}

/// Of those that were named at once the last one is not here, and there are more behind it.
#[test]
fn what_the_office_names_later_is_sent_though_the_last_one_it_named_is_not_here() {
    let mut desk = Desk::set_up();
    let mut all: Vec<_> = (0..5).map(|nth| desk.book.photograph(vec![nth; 10])).collect();
    all.sort();
    desk.book.blobs.remove(&all[1]);
    desk.carry();
    assert_eq!(desk.office.blobs.len(), 4);
}
