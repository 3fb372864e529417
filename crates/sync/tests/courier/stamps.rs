//! Timestamps of an authority that the office has for a device's reports.

use sync::{Answer, Ask, Courier, MOST_UNSTAMPED, Stamp};

use crate::{desk::Desk, paper};

fn unstamped(desk: &mut Desk) -> Vec<model::Sha256> {
    desk.courier = Courier::new();
    let ask: Ask = serde_json::from_slice(&desk.errand().body).unwrap();
    ask.unstamped.unwrap()
}

#[test]
fn reports_get_their_timestamps_a_few_at_a_time() {
    let mut desk = Desk::set_up();
    let sealed: Vec<_> = (0..MOST_UNSTAMPED + 2).map(|nth| desk.book.seal(&[nth as u8; 10])).collect();
    desk.carry();
    let first = unstamped(&mut desk);
    assert_eq!(first.len(), MOST_UNSTAMPED);
    desk.go();
    let second = unstamped(&mut desk);
    assert_eq!(second.len(), MOST_UNSTAMPED);
    assert_eq!(second[2..], first[..2], "those that got none wait behind the others");
    assert!(sealed.iter().all(|one| first.contains(one) || second.contains(one)));
    desk.office.is_stamped = true;
    for _ in 0..2 {
        desk.courier = Courier::new();
        desk.carry();
    }
    assert!(sealed.iter().all(|identity| paper::is_stamped(&desk.book.reports[identity].bytes)));
    assert_eq!(unstamped(&mut desk), []);
}

#[test]
fn an_office_without_an_authority_is_not_asked_for_timestamps() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.carry();
    assert_eq!(unstamped(&mut desk), [identity]);
    let without = Answer { reports_seen: 1, ..desk.nothing() };
    desk.say(&without);
    assert_eq!(unstamped(&mut desk), []);
    // It has one again: then it is asked for what still lacks its own.
    desk.go();
    assert_eq!(unstamped(&mut desk), [identity]);
}

#[test]
fn a_timestamp_that_is_none_is_not_put_in_and_not_asked_for_again() {
    for token in ["%%%".to_owned(), Stamp::carry(model::Sha256::of(b""), b"another's").token] {
        let mut desk = Desk::set_up();
        let identity = desk.book.seal(b"a report");
        desk.carry();
        let foreign = Stamp::carry(model::Sha256::of(b"nobody's"), b"stamped");
        assert_eq!(unstamped(&mut desk), [identity]);
        let stamps = Some(vec![foreign, Stamp { identity, token }]);
        let told = Answer { reports_seen: 1, stamps, ..desk.nothing() };
        desk.say(&told);
        assert!(!paper::is_stamped(&desk.book.reports[&identity].bytes));
        assert_eq!(unstamped(&mut desk), []);
    }
}

#[test]
fn a_report_that_has_its_timestamp_waits_for_none() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    let filed = desk.book.reports.get_mut(&identity).unwrap();
    filed.bytes = paper::with_timestamp(&filed.bytes).into();
    desk.carry();
    assert_eq!(unstamped(&mut desk), []);
}

#[test]
fn where_no_authority_ever_answers_no_more_than_so_many_are_waited_for() {
    let mut desk = Desk::set_up();
    let sealed: Vec<_> = (0..70_u8).map(|nth| desk.book.seal(&[nth; 10])).collect();
    desk.carry();
    assert_eq!(desk.office.reports.len(), 70);
    let waits = &desk.book.state.unstamped;
    assert_eq!(waits.len(), 64);
    assert!(waits.contains(&sealed[69]), "what was sealed last is asked for");
}

/// The office has the report, and the device hears of it some other way.
#[test]
fn a_report_whose_last_answer_was_lost_gets_its_timestamp_all_the_same() {
    let mut desk = Desk::set_up();
    let identity = desk.book.seal(b"a report");
    desk.go_to("POST v1/blobs/");
    let errand = desk.errand();
    assert_eq!((errand.path.as_str(), desk.office.answer(&desk.book.token, &errand).0), ("v1/reports", 200));
    desk.courier = Courier::new();
    desk.office.is_stamped = true;
    for _ in 0..2 {
        desk.carry();
        desk.courier = Courier::new();
    }
    assert!(paper::is_stamped(&desk.book.reports[&identity].bytes));
}
