//! A device's own row and what others wrote: batches, forks, another office.

use sync::{Answer, Answered, Ask, Book as _, Courier, MOST_ASKED_BYTES, Next};

use crate::{book::Notebook, desk::Desk, office::Office};

fn ask(desk: &mut Desk) -> Ask {
    serde_json::from_slice(&desk.errand().body).unwrap()
}

#[test]
fn a_long_row_goes_in_batches_and_what_the_office_has_is_not_told_again() {
    let mut desk = Desk::set_up();
    for _ in 0..5 {
        desk.book.write(&"x".repeat(MOST_ASKED_BYTES / 3));
    }
    let first = ask(&mut desk);
    assert_eq!((first.own, first.entries.len(), first.epoch), (5, 2, None));
    desk.go();
    let second = ask(&mut desk);
    assert_eq!((second.entries[0].id.seq, second.epoch.as_deref()), (3, Some("epoch-1")));
    desk.carry();
    desk.courier = Courier::new();
    assert_eq!(ask(&mut desk).entries, []);
}

#[test]
fn what_others_wrote_is_heard_to_its_end() {
    let mut desk = Desk::set_up();
    desk.told_by_tomas(|book| (0..7).for_each(|nth| book.write(&format!("words {nth}"))));
    assert_eq!(desk.carry(), ["POST v1/sync"; 3], "three are told at once");
    assert_eq!((desk.book.entries.len(), desk.book.state.seen), (7, 7));
}

#[test]
fn what_this_device_lost_comes_back_to_it() {
    let mut desk = Desk::set_up();
    let copy = desk.book.clone();
    desk.book.write("one");
    desk.book.photograph(vec![1; 10]);
    desk.carry();
    let whole = desk.book.clone();
    desk.book.put_back(&copy);
    desk.courier = Courier::new();
    desk.carry();
    assert_eq!((&desk.book.entries, &desk.book.blobs), (&whole.entries, &whole.blobs));
}

#[test]
fn nothing_of_an_answer_is_taken_where_an_entry_is_not_what_it_says() {
    let mut desk = Desk::set_up();
    let mut other = Notebook::new("device-tomas");
    other.write("true");
    other.write("spoilt");
    let mut entries: Vec<_> = other.entries.values().cloned().collect();
    entries[1].body.as_mut().unwrap().value = "something else".into();
    let told = Answer { seen: 2, entries, ..desk.nothing() };
    desk.say(&told);
    assert_eq!((desk.book.entries.len(), desk.book.state.seen), (0, 0));
    assert_eq!(desk.pause(), 500);
    assert_eq!(ask(&mut desk).seen, 0, "it is asked for again");
}

#[test]
fn a_row_that_forks_goes_on_under_a_new_name() {
    let mut desk = Desk::set_up();
    desk.book.write("one");
    desk.carry();
    let copy = desk.book.clone();
    desk.book.write("two, of the original");
    desk.carry();
    desk.book.put_back(&copy);
    desk.courier = Courier::new();
    desk.book.write("two, of the copy");
    desk.book.photograph(vec![3; 10]);
    let asked = desk.carry();
    assert_eq!(asked[..3], ["POST v1/sync", "POST v1/follow", "POST v1/sync"]);
    assert_ne!(desk.book.device, copy.device);
    assert_eq!(desk.office.row(&copy.device).len(), 2, "what was acknowledged stays");
    let row: Vec<String> = desk.book.row().iter().map(|one| one.body.as_ref().unwrap().value.to_string()).collect();
    assert_eq!(row[0], "\"two, of the copy\"");
    assert_eq!(desk.office.row(&desk.book.device), desk.book.row());
    assert_eq!(desk.office.blobs.len(), 1);
    assert_eq!(desk.office.entries.len(), desk.book.entries.len(), "the original's entry is heard as another's");
}

/// The office has more of the row than was told to it just now: that says nothing of what this device has there.
#[test]
fn a_fork_is_found_behind_the_first_batch_as_well() {
    let mut desk = Desk::set_up();
    for words in ["one", "two", "three"] {
        desk.book.write(words);
    }
    let copy = desk.book.clone();
    desk.book.write("four, of the original");
    desk.book.write("five, of the original");
    desk.carry();
    desk.book.put_back(&copy);
    desk.courier = Courier::new();
    desk.book.batch = 1;
    desk.book.write("four, of the copy");
    desk.carry();
    assert_ne!(desk.book.device, copy.device);
    assert_eq!((desk.office.entries.len(), desk.office.row(&copy.device).len()), (6, 5));
    assert_eq!(desk.book.entries.len(), 6, "what the original wrote is heard");
}

/// Of a row that this device lost, part has come back; then somebody writes.
#[test]
fn what_is_written_before_all_of_a_lost_row_has_come_back_is_told() {
    let mut desk = Desk::set_up();
    let copy = desk.book.clone();
    for nth in 0..5 {
        desk.book.write(&format!("of the original {nth}"));
    }
    desk.carry();
    desk.book.put_back(&copy);
    desk.courier = Courier::new();
    desk.go();
    assert_eq!(desk.book.entries.len(), 3);
    desk.book.write("of the copy");
    assert_eq!(desk.waiting().entries, 1);
    desk.carry();
    assert_eq!((desk.office.entries.len(), desk.book.entries.len()), (6, 6));
}

/// As in a notebook that took the office's count for its own: the courier was so once.
#[test]
fn a_count_beyond_what_is_here_is_not_believed() {
    let mut desk = Desk::set_up();
    let copy = desk.book.clone();
    for nth in 0..5 {
        desk.book.write(&format!("of the original {nth}"));
    }
    desk.carry();
    desk.book.put_back(&copy);
    (desk.book.state.held, desk.courier) = (5, Courier::new());
    desk.go();
    desk.book.write("of the copy");
    desk.carry();
    assert_eq!((desk.office.entries.len(), desk.book.entries.len()), (6, 6));
}

#[test]
fn what_is_written_while_a_lost_row_is_on_its_way_is_told() {
    let mut desk = Desk::set_up();
    let copy = desk.book.clone();
    desk.book.write("one, of the original");
    desk.book.write("two, of the original");
    desk.carry();
    desk.book.put_back(&copy);
    desk.courier = Courier::new();
    let errand = desk.errand();
    desk.book.write("one, of the copy");
    let (status, body) = desk.office.answer(&desk.book.token, &errand);
    desk.heard(Answered::Status(status, body));
    assert!(desk.waiting().entries > 0);
    desk.carry();
    assert_eq!((desk.office.entries.len(), desk.book.entries.len()), (3, 3));
    assert_eq!(desk.book.row()[0].body.as_ref().unwrap().value, "one, of the copy");
}

#[test]
fn a_new_name_that_was_not_heard_of_is_told_again() {
    let mut desk = Desk::set_up();
    desk.book.write("one");
    desk.answer(409, br#"{"at":1}"#);
    let follow = desk.answer(409, b"{}");
    assert_eq!(follow, "POST v1/follow");
    assert_eq!(desk.pause(), 500);
    assert_eq!(desk.answer(502, b""), "POST v1/follow");
    assert_eq!(desk.pause(), 1_000);
    assert_eq!(desk.book.device.as_str(), "device-ines");
    assert_eq!(desk.go(), "POST v1/follow");
    let again = ask(&mut desk);
    assert_eq!(again.entries[0].id.device, desk.book.device);
    assert_ne!(desk.book.device.as_str(), "device-ines");
    assert_eq!(desk.office.devices[&desk.book.token], desk.book.device);
}

#[test]
fn a_new_name_whose_answer_is_lost_is_the_one_that_is_told_again() {
    let mut desk = Desk::set_up();
    desk.book.write("one");
    desk.answer(409, br#"{"at":1}"#);
    for _ in 0..3 {
        let errand = desk.errand();
        assert_eq!(desk.office.answer(&desk.book.token, &errand).0, 204);
        desk.heard(Answered::Nothing);
        desk.pause();
    }
    desk.carry();
    let names: Vec<&str> = desk.office.devices.values().map(model::DeviceId::as_str).collect();
    assert_eq!(names.len(), 2, "no name is left over: {names:?}");
    assert_eq!(desk.office.row(&desk.book.device).len(), 1);
}

#[test]
fn a_conflict_that_names_no_number_is_no_fork() {
    let mut desk = Desk::set_up();
    desk.book.write("one");
    assert_eq!(desk.answer(409, br#"{"fault":{"code":"spoilt-on-the-way"}}"#), "POST v1/sync");
    assert_eq!(desk.pause(), 500);
    assert_eq!(desk.go(), "POST v1/sync");
}

#[test]
fn another_office_is_told_everything_from_the_beginning_and_what_is_awaited_stays_so() {
    let mut desk = Desk::set_up();
    let theirs = vec![7; 10];
    desk.told_by_tomas(|book| {
        book.photograph(theirs);
    });
    desk.book.write("one");
    desk.book.photograph(vec![1; 10]);
    let identity = desk.book.seal(b"a report");
    desk.go_to("PUT ");
    desk.go_to("POST v1/reports");
    assert!(desk.book.reports[&identity].is_told);
    let mut other = Office::new("epoch-2");
    other.let_in(&desk.book.device, &desk.book.token);
    desk.office = other;
    desk.courier = Courier::new();
    assert_eq!(desk.go(), "POST v1/sync");
    let state = desk.book.state().unwrap();
    assert_eq!((state.epoch.as_deref(), state.held, state.seen), (Some("epoch-2"), 0, 0));
    assert_eq!((state.awaited.len(), state.unstamped.len()), (1, 1));
    assert!(!desk.book.reports[&identity].is_told, "it has none of the reports either");
    let again = ask(&mut desk);
    assert_eq!((again.epoch.as_deref(), again.entries.len()), (Some("epoch-2"), 2));
    desk.carry();
    assert_eq!(desk.office.entries.len(), 2);
    assert!(desk.office.report(&identity).is_some());
    assert_eq!(desk.office.blobs.len(), 2);
}

#[test]
fn an_office_that_takes_nothing_is_not_asked_again_at_once() {
    let mut desk = Desk::set_up();
    desk.book.write("one");
    let told = desk.nothing();
    desk.say(&told);
    assert_eq!(desk.pause(), 500);
    // Nor one that has more and never says it.
    let told = Answer { held: 1, more: true, ..told };
    desk.say(&told);
    desk.say(&told);
    assert_eq!(desk.pause(), 500, "something came of the one before: this is the first that failed");
    // To have nothing to say is no failure.
    desk.say(&Answer { more: false, ..told });
    assert_eq!(desk.next(), Next::Done);
}

/// Each of the three by itself is a step: the office is asked on without a pause.
#[test]
fn an_answer_that_moves_one_count_is_one_to_go_on_from() {
    for told in ["held", "seen", "reports_seen"] {
        let mut desk = Desk::set_up();
        desk.book.write("one");
        desk.book.write("two");
        let mut moved = serde_json::to_value(desk.nothing()).unwrap();
        moved[told] = 1.into();
        desk.answer(200, moved.to_string());
        let next = desk.errand();
        assert_eq!(next.path, "v1/sync", "{told}");
    }
}

#[test]
fn a_notebook_that_stores_nothing_is_told_of_and_the_errand_is_made_again() {
    let mut desk = Desk::set_up();
    desk.told_by_tomas(|book| book.write("theirs"));
    desk.book.write("mine");
    let errand = desk.errand();
    let (status, body) = desk.office.answer(&desk.book.token, &errand);
    desk.book.is_full = true;
    let told = desk.courier.heard(&mut desk.book, Answered::Status(status, body), 0);
    assert_eq!(told, Err(crate::book::DiskFull));
    desk.book.is_full = false;
    assert_eq!(desk.errand(), errand);
    desk.carry();
    assert_eq!(desk.book.entries.len(), 2);
}

/// The app ends, or the disk is full, between two of the writes that belong together.
#[test]
fn wherever_it_ends_a_fork_and_another_office_are_carried_to_their_end() {
    for ends_after in 0..12 {
        let mut desk = Desk::set_up();
        desk.book.write("one");
        let identity = desk.book.seal(b"a report");
        let statement = desk.book.withdraw(&identity);
        desk.carry();
        let copy = desk.book.clone();
        desk.book.write("two, of the original");
        desk.carry();
        desk.book.put_back(&copy);
        desk.book.write("two, of the copy");
        let mut other = Office::new("epoch-2");
        other.let_in(&desk.book.device, &desk.book.token);
        for forked in [true, false] {
            if !forked {
                other.devices.extend(desk.office.devices.clone());
                desk.office = other.clone();
            }
            desk.courier = Courier::new();
            desk.book.ends_after = Some(ends_after);
            for _ in 0..60 {
                let Ok(next) = desk.courier.next(&mut desk.book) else { break };
                let Next::Ask(errand) = next else { continue };
                let (status, body) = desk.office.answer(&desk.book.token, &errand);
                if desk.courier.heard(&mut desk.book, Answered::with(status, body, None), 0).is_err() {
                    break;
                }
            }
            desk.book.ends_after = None;
            desk.courier = Courier::new();
            desk.carry();
        }
        assert!(desk.office.report(&identity).is_some(), "the report is lost where it ends after {ends_after} writes");
        assert!(desk.office.statements.contains(&statement), "the statement is lost: {ends_after}");
        let entries = if desk.book.device == copy.device { 2 } else { 3 };
        assert_eq!(desk.book.entries.len(), entries, "{ends_after}");
        assert_eq!(desk.office.row(&desk.book.device), desk.book.row(), "{ends_after}");
    }
}
