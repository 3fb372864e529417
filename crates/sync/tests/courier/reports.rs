//! Sealed reports and statements on their way to the office.

use std::rc::Rc;

use model::Sha256;
use sync::{Answered, Courier, Next, PIECE_BYTES};

use crate::{desk::Desk, paper};

const PIECE: usize = PIECE_BYTES as usize;

fn digest(desk: &Desk, identity: &Sha256) -> String {
    Sha256::of(&desk.book.reports[identity].bytes).to_string()[..6].to_owned()
}

#[test]
fn the_oldest_report_goes_first_and_to_its_end_and_each_with_its_receipt() {
    let mut desk = Desk::set_up();
    let (first, second) = (desk.book.seal(b"the older"), desk.book.seal(b"a later one"));
    let asked = desk.carry();
    let (one, other) = (digest(&desk, &first), digest(&desk, &second));
    let of_one = |sha256: &str| {
        [
            "POST v1/receipts".to_owned(),
            "POST v1/reports".to_owned(),
            format!("PUT v1/blobs/{sha256}/0"),
            format!("POST v1/blobs/{sha256}"),
            "POST v1/reports".to_owned(),
        ]
    };
    let asked: Vec<String> = asked.into_iter().filter(|one| one != "POST v1/sync").collect();
    assert_eq!(asked, [of_one(&one), of_one(&other)].concat());
    for identity in [first, second] {
        let sealed = desk.office.report(&identity).unwrap();
        assert!(paper::is_receipted(&desk.office.blobs[&sealed.sha256]));
    }
}

#[test]
fn a_report_goes_before_the_photographs_that_the_office_lacks() {
    let mut desk = Desk::set_up();
    desk.book.photograph(vec![1; 10]);
    let identity = desk.book.seal(&vec![5; PIECE]);
    desk.go_to("PUT ");
    desk.go_to("POST v1/reports");
    assert!(desk.office.report(&identity).is_some());
    assert_eq!((desk.waiting().blobs, desk.office.blobs.len()), (1, 1));
    desk.carry();
    assert_eq!(desk.office.blobs.len(), 2);
}

/// What is written meanwhile makes the office name anew what it lacks, the report among it.
#[test]
fn a_report_goes_on_where_an_entry_is_written_between_two_of_its_pieces() {
    let mut desk = Desk::set_up();
    let mut photographs: Vec<_> = (0..4).map(|nth| desk.book.photograph(vec![nth; 10])).collect();
    photographs.sort();
    let identity = desk.book.seal(&vec![5; 2 * PIECE]);
    desk.go_to("PUT ");
    desk.book.write("seen meanwhile");
    desk.office.names_at_once = 32;
    let asked = desk.carry();
    let report = digest(&desk, &identity);
    assert_eq!(
        asked[..4],
        [
            "POST v1/sync".to_owned(),
            format!("PUT v1/blobs/{report}/1"),
            format!("PUT v1/blobs/{report}/2"),
            format!("POST v1/blobs/{report}")
        ]
    );
    assert!(desk.office.report(&identity).is_some());
}

/// So much is lacking that the office does not name the report among what it names.
#[test]
fn a_report_that_the_office_does_not_name_goes_on_all_the_same() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(&vec![5; 2 * PIECE]);
    desk.go_to("PUT ");
    desk.book.write("seen meanwhile");
    desk.office.names_at_once = 0;
    let asked = desk.carry();
    assert_eq!(asked[..2], ["POST v1/sync", "POST v1/reports"]);
    assert!(asked[2].starts_with("PUT ") && asked[2].ends_with("/1"), "{asked:?}");
    assert!(desk.office.report(&identity).is_some());
}

#[test]
fn a_report_whose_pieces_were_lost_at_the_office_is_brought_again() {
    let mut desk = Desk::set_up();
    desk.book.photograph(vec![1; 10]);
    let identity = desk.book.seal(&vec![5; PIECE]);
    desk.go_to("PUT ");
    desk.go();
    desk.office.staged.clear();
    assert!(desk.go().starts_with("POST v1/blobs/"));
    assert_eq!(desk.pause(), 500);
    let asked = desk.carry();
    assert_eq!(asked[..2], ["POST v1/sync", "POST v1/reports"]);
    assert!(desk.office.report(&identity).is_some(), "{asked:?}");
    assert_eq!(desk.waiting(), sync::Waiting::default());
}

#[test]
fn a_report_goes_on_from_the_pieces_that_the_office_has() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(&vec![5; 2 * PIECE]);
    desk.go_to("PUT ");
    desk.courier = Courier::new();
    let asked = desk.carry();
    let report = digest(&desk, &identity);
    assert_eq!(asked[1..3], ["POST v1/reports".to_owned(), format!("PUT v1/blobs/{report}/1")]);
    assert!(desk.office.report(&identity).is_some());
}

#[test]
fn what_the_office_does_not_take_stays_and_holds_nothing_up() {
    for status in [400, 403, 404, 422] {
        for refused in ["POST v1/receipts", "POST v1/reports"] {
            let mut desk = Desk::set_up();
            let (first, second) = (desk.book.seal(b"the older"), desk.book.seal(b"a later one"));
            desk.go();
            if refused == "POST v1/reports" {
                desk.go();
            }
            assert_eq!(desk.answer(status, b"{}"), refused);
            let asked = desk.carry();
            assert_eq!(asked[0], "POST v1/receipts", "the next one, at once: {asked:?}");
            assert!(desk.office.report(&first).is_none() && desk.office.report(&second).is_some());
            assert_eq!(desk.waiting().reports, 1, "a person sees that it is not there");
            assert_eq!(desk.next(), Next::Done, "it is not asked for again");
            desk.courier = Courier::new();
            desk.carry();
            assert!(desk.office.report(&first).is_some(), "only when the courier begins anew");
        }
    }
}

#[test]
fn a_receipt_that_is_another_reports_is_not_taken() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.go();
    for (nth, words) in [paper::receipt(&Sha256::of(b"another")).into_bytes(), vec![0xFF, 0xFE]].iter().enumerate() {
        assert_eq!(desk.answer(200, words), "POST v1/receipts");
        assert_eq!(desk.pause(), 500 << nth);
        assert!(!desk.book.reports[&identity].is_receipted);
    }
    desk.carry();
    assert!(desk.book.reports[&identity].is_receipted);
}

#[test]
fn a_report_that_lost_its_receipt_alone_gets_it_again_and_is_not_sent_again() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.carry();
    let copy = desk.book.reports.get_mut(&identity).unwrap();
    copy.is_receipted = false;
    desk.courier = Courier::new();
    assert_eq!(desk.waiting().reports, 0);
    assert_eq!(desk.carry(), ["POST v1/sync", "POST v1/receipts"]);
}

#[test]
fn a_damaged_report_is_not_sent_and_holds_nothing_up() {
    let mut desk = Desk::set_up();
    let (damaged, whole) = (desk.book.seal(b"the older"), desk.book.seal(b"a later one"));
    desk.book.reports.get_mut(&damaged).unwrap().bytes = Rc::default();
    desk.carry();
    assert!(desk.office.report(&damaged).is_none() && desk.office.report(&whole).is_some());
    assert_eq!(desk.waiting().reports, 1);
    // One that the office had before it was damaged here is not asked about either.
    desk.book.reports.get_mut(&damaged).unwrap().is_told = true;
    desk.courier = Courier::new();
    assert_eq!(desk.carry(), ["POST v1/sync"]);
}

#[test]
fn a_statement_waits_for_nothing_but_entries_and_goes_before_every_report() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(&vec![5; PIECE]);
    desk.go_to("PUT ");
    let name = desk.book.withdraw(&identity);
    let errand = desk.errand();
    assert_eq!((errand.path.as_str(), errand.body), ("v1/statements", paper::statement(&name).into_bytes()));
    desk.go();
    assert!(desk.book.statements[&name] && desk.office.statements.contains(&name));
    assert!(desk.go().starts_with("PUT "), "then the report goes on");
}

#[test]
fn a_statement_that_the_office_does_not_take_stays_and_holds_nothing_up() {
    for status in [400, 403, 404, 422] {
        let mut desk = Desk::set_up();
        let identity = desk.book.seal(b"a report");
        let name = desk.book.withdraw(&identity);
        desk.go();
        assert_eq!(desk.answer(status, b"{}"), "POST v1/statements");
        assert_eq!(desk.go(), "POST v1/receipts");
        desk.carry();
        assert!(!desk.book.statements[&name] && desk.office.report(&identity).is_some());
        desk.courier = Courier::new();
        desk.carry();
        assert!(desk.book.statements[&name]);
    }
}

/// A network that wants its guests to agree to something first answers everything with a page.
#[test]
fn a_statement_is_not_taken_for_told_where_a_stranger_answered() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    let name = desk.book.withdraw(&identity);
    desk.go();
    assert_eq!(desk.answer(200, b"<html>Welcome to the harbour's free network</html>"), "POST v1/statements");
    assert!(!desk.book.statements[&name]);
    assert_eq!(desk.pause(), 500);
    desk.carry();
    assert!(desk.book.statements[&name] && desk.office.statements.contains(&name));
}

#[test]
fn what_was_spoilt_on_its_way_is_sent_again_after_a_pause() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.book.withdraw(&identity);
    desk.go();
    for path in ["v1/statements", "v1/receipts", "v1/reports"] {
        assert_eq!(desk.answer(409, b"{}"), format!("POST {path}"));
        assert_eq!(desk.pause(), 500);
        assert_eq!(desk.go(), format!("POST {path}"));
    }
}

#[test]
fn an_answer_about_a_report_that_cannot_be_read_is_none() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.go();
    desk.go();
    assert_eq!(desk.answer(200, b"<html>"), "POST v1/reports");
    assert_eq!(desk.pause(), 500);
    desk.heard(Answered::Status(200, b"nobody asked".to_vec()));
    desk.carry();
    assert!(desk.office.report(&identity).is_some());
}

#[test]
fn a_report_larger_than_an_office_takes_stays_and_one_as_large_goes() {
    let most = sync::MOST_REPORT_BYTES as usize;
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    for (length, is_brought) in [(most + 1, false), (most, true)] {
        let filed = desk.book.reports.get_mut(&identity).unwrap();
        (filed.bytes, filed.is_receipted) = (Rc::new(vec![0; length]), true);
        desk.courier = Courier::new();
        let told = desk.nothing();
        desk.say(&told);
        let next = desk.next();
        assert_eq!(matches!(next, Next::Ask(errand) if errand.path == "v1/reports"), is_brought, "{length}");
    }
}
