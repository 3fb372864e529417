//! What a person sees that waits.

use sync::{Courier, PIECE_BYTES, Waiting};

use crate::desk::Desk;

#[test]
fn what_waits_is_counted_and_becomes_less() {
    let mut desk = Desk::set_up();
    let theirs = vec![7; 10];
    desk.told_by_tomas(|book| {
        book.photograph(theirs);
    });
    desk.book.photograph(vec![1; 10]);
    desk.book.photograph(vec![2; 10]);
    desk.book.write("scuffed");
    desk.book.seal(b"a report");
    assert_eq!(desk.waiting(), Waiting { entries: 3, reports: 1, ..Waiting::default() });
    desk.go();
    assert_eq!(desk.waiting(), Waiting { blobs: 2, reports: 1, awaited: 1, ..Waiting::default() });
    desk.go_to("PUT ");
    assert_eq!(desk.waiting().blobs, 2, "a report's own file is none of the photographs");
    desk.go_to("POST v1/reports");
    assert_eq!(desk.waiting(), Waiting { blobs: 2, awaited: 1, ..Waiting::default() });
    desk.go_to("POST v1/blobs/");
    assert_eq!(desk.waiting(), Waiting { blobs: 1, awaited: 1, ..Waiting::default() });
    desk.carry();
    assert_eq!(desk.waiting(), Waiting::default());
}

#[test]
fn what_this_device_cannot_give_does_not_wait() {
    let mut desk = Desk::set_up();
    let gone = desk.book.photograph(vec![1; 10]);
    desk.book.photograph(vec![2; PIECE_BYTES as usize + 1]);
    desk.book.blobs.remove(&gone);
    desk.go();
    assert_eq!(desk.waiting().blobs, 2);
    desk.carry();
    assert_eq!((desk.waiting().blobs, desk.office.blobs.len()), (0, 1));
}

/// Of a copy that was put back, say. The office names two at a time, by their digests.
#[test]
fn what_this_device_cannot_give_keeps_none_of_the_others_back() {
    let mut all: Vec<Vec<u8>> = (0..9).map(|nth| vec![nth; 10]).collect();
    all.sort_by_key(|bytes| model::Sha256::of(bytes));
    for gone in [&[0, 1, 2, 3, 4][..], &[0, 1, 7, 8], &[1, 2, 5, 6], &[0, 2, 4, 6, 8], &[8], &[0]] {
        let mut desk = Desk::set_up();
        let named: Vec<_> = all[..7].iter().map(|bytes| desk.book.photograph(bytes.clone())).collect();
        named.iter().enumerate().filter(|(nth, _)| gone.contains(nth)).for_each(|(_, sha256)| {
            desk.book.blobs.remove(sha256);
        });
        desk.carry();
        // One that is taken while the courier goes on is named wherever its digest stands.
        for bytes in &all[7..] {
            let sha256 = desk.book.photograph(bytes.clone());
            desk.carry();
            assert!(desk.office.blobs.contains_key(&sha256), "without {gone:?}");
        }
        assert_eq!(desk.office.blobs, desk.book.blobs, "without {gone:?}");
        desk.courier = Courier::new();
        let asked = desk.carry();
        assert!(asked.iter().all(|one| one == "POST v1/sync"), "{asked:?}");
    }
}
