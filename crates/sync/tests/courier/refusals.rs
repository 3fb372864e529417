//! Where a person has to look, and where a piece is asked for again.

use sync::{Courier, Halt, Next, PIECE_BYTES};

use crate::desk::Desk;

#[test]
fn a_device_that_is_not_let_in_any_more_asks_nothing_more() {
    let mut desk = Desk::set_up();
    desk.office.devices.clear();
    desk.book.write("one");
    assert_eq!(desk.go(), "POST v1/sync");
    for _ in 0..2 {
        assert_eq!(desk.halt(), Halt::ShutOut);
    }
    // Let in again, it goes on where it was.
    let (device, token) = (desk.book.device.clone(), desk.book.token.clone());
    desk.office.let_in(&device, &token);
    assert_eq!(desk.halt(), Halt::ShutOut, "a person looks first");
    desk.courier = Courier::new();
    assert_eq!(desk.carry(), ["POST v1/sync"]);
}

#[test]
fn a_refusal_is_shown_with_the_offices_words() {
    for status in [400, 403, 404, 413, 422, 499] {
        let mut desk = Desk::set_up();
        desk.answer(status, "told what is not so: \u{fc}");
        assert_eq!(desk.halt(), Halt::Refused("told what is not so: \u{fc}".to_owned()));
        assert_eq!(desk.halt(), desk.halt());
    }
    let mut desk = Desk::set_up();
    desk.answer(422, [&[b'x'; 499][..], &[0xFF, b'y', b'z']].concat());
    assert_eq!(desk.halt(), Halt::Refused(format!("{}\u{fffd}", "x".repeat(499))), "500 characters at most");
}

#[test]
fn every_kind_of_errand_can_be_refused() {
    let mut desk = Desk::set_up();
    let theirs = vec![7; 10];
    desk.told_by_tomas(|book| {
        book.photograph(theirs);
    });
    desk.book.photograph(vec![1; 10]);
    let identity = desk.book.seal(b"a report");
    desk.book.withdraw(&identity);
    let whole = desk.book.clone();
    let mut asked = 0;
    for steps in 0..20 {
        // The same way, as far as one step further; there the office says no.
        let mut other = Desk { book: whole.clone(), courier: Courier::new(), office: desk.office.clone() };
        if (0..steps).any(|_| matches!(other.next(), Next::Done) || other.go().is_empty()) || other.next() == Next::Done
        {
            break;
        }
        asked += 1;
        let errand = other.answer(410, b"gone");
        assert_eq!(other.halt(), Halt::Refused("gone".to_owned()), "{errand}");
    }
    assert_eq!(asked, 11, "each of the errands that it takes");
}

#[test]
fn what_the_office_lost_of_a_photograph_it_names_anew() {
    for status in [404, 409, 422] {
        for at_end in [false, true] {
            let mut desk = Desk::set_up();
            let sha256 = desk.book.photograph(vec![1; PIECE_BYTES as usize + 1]);
            desk.go();
            desk.go();
            if at_end {
                desk.go();
            }
            desk.office.staged.clear();
            desk.answer(status, b"{}");
            assert_eq!(desk.pause(), 500);
            let asked = desk.carry();
            assert_eq!(asked[0], "POST v1/sync");
            assert!(asked[1].ends_with("/0") && asked[2].ends_with("/1"), "{asked:?}");
            assert!(desk.office.blobs.contains_key(&sha256));
        }
    }
}

/// An office may answer with 200 where there is nothing to say.
#[test]
fn a_piece_and_its_end_are_taken_with_either_status() {
    for status in [200, 204] {
        let mut desk = Desk::set_up();
        desk.book.photograph(vec![1; 10]);
        desk.go();
        assert!(desk.answer(status, b"").starts_with("PUT "));
        assert!(desk.answer(status, b"").starts_with("POST v1/blobs/"));
        assert_eq!(desk.errand().path, "v1/sync", "then what else it lacks");
    }
}
