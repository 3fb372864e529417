//! What a person sees that waits.

use sync::{PIECE_BYTES, Waiting};

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
    assert_eq!(desk.waiting(), Waiting { entries: 3, blobs: 0, reports: 1, awaited: 0 });
    desk.go();
    assert_eq!(desk.waiting(), Waiting { entries: 0, blobs: 2, reports: 1, awaited: 1 });
    desk.go_to("PUT ");
    assert_eq!(desk.waiting().blobs, 2, "a report's own file is none of the photographs");
    desk.go_to("POST v1/reports");
    assert_eq!(desk.waiting(), Waiting { entries: 0, blobs: 2, reports: 0, awaited: 1 });
    desk.go_to("POST v1/blobs/");
    assert_eq!(desk.waiting(), Waiting { entries: 0, blobs: 1, reports: 0, awaited: 1 });
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
