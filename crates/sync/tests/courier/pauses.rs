//! How long it is waited, and after what.

use sync::{Answered, Next, pause_ms};

use crate::desk::Desk;

#[test]
fn pauses_double_from_half_a_second_to_five_minutes() {
    assert_eq!(pause_ms(0, 3), 0);
    for (failures, least, most) in [
        (1, 500, 1_000),
        (2, 1_000, 2_000),
        (9, 128_000, 256_000),
        (10, 150_000, 300_000),
        (17, 150_000, 300_000),
        (u32::MAX, 150_000, 300_000),
    ] {
        assert_eq!((pause_ms(failures, 0), pause_ms(failures, least)), (least, most), "{failures}");
        assert_eq!(pause_ms(failures, least + 1), least, "{failures}: any draw falls between them");
    }
}

#[test]
fn what_does_not_go_through_is_tried_again_after_a_pause_that_doubles() {
    let mut desk = Desk::set_up();
    for (nth, status) in [408, 425, 429, 500, 502, 503, 504, 599].into_iter().enumerate() {
        assert_eq!(desk.answer(status, b"busy"), "POST v1/sync");
        assert_eq!(desk.pause(), pause_ms(nth as u32 + 1, 0), "{status}");
    }
    desk.errand();
    desk.heard(Answered::Nothing);
    assert_eq!(desk.pause(), pause_ms(9, 0));
    desk.book.write("one");
    desk.go();
    desk.book.write("two");
    desk.answer(500, b"");
    assert_eq!(desk.pause(), 500, "what went through begins the count anew");
}

#[test]
fn an_answer_that_is_none_of_the_offices_is_tried_again_as_well() {
    let mut desk = Desk::set_up();
    for (status, body) in [(200, &b"<html>Welcome</html>"[..]), (204, b""), (301, b""), (302, b"elsewhere"), (600, b"")]
    {
        desk.courier = sync::Courier::new();
        assert_eq!(desk.answer(status, body), "POST v1/sync");
        assert_eq!(desk.pause(), 500, "{status}");
    }
}

#[test]
fn a_pause_that_is_asked_for_is_kept() {
    for status in [429, 503] {
        let answered = Answered::with(status, Vec::new(), Some(30_000));
        assert_eq!(answered, Answered::Later(30_000));
        let mut desk = Desk::set_up();
        desk.errand();
        desk.heard(answered);
        assert_eq!(desk.pause(), 30_000);
        assert_eq!(desk.go(), "POST v1/sync");
    }
    for status in [200, 301, 413, 500] {
        assert_eq!(Answered::with(status, vec![1], Some(30_000)), Answered::Status(status, vec![1]));
    }
    assert_eq!(Answered::with(503, vec![1], None), Answered::Status(503, vec![1]));
}

#[test]
fn a_pause_that_is_asked_for_is_spread_by_a_tenth_and_is_an_hour_at_most() {
    let waited = |asked, draw| {
        let mut desk = Desk::set_up();
        desk.errand();
        desk.courier.heard(&mut desk.book, Answered::Later(asked), draw).unwrap();
        desk.pause()
    };
    assert_eq!((waited(30_000, 3_000), waited(30_000, 3_001)), (33_000, 30_000));
    assert_eq!(waited(u64::MAX, 0), 3_600_000);
    assert_eq!(waited(u64::MAX, 360_000), 3_960_000);
    assert_eq!(waited(0, 500), 1_000, "never shorter than it would have been");
}

#[test]
fn a_pause_is_told_once_and_an_answer_nobody_waits_for_is_left() {
    let mut desk = Desk::set_up();
    desk.answer(500, b"");
    desk.heard(Answered::Status(401, Vec::new()));
    desk.heard(Answered::Nothing);
    assert_eq!(desk.pause(), 500);
    desk.carry();
    desk.heard(Answered::Status(401, Vec::new()));
    assert_eq!(desk.next(), Next::Done);
}
