//! Rows of reports, links, letters and certificates.

use model::Sha256;

use super::{device, firm, time};
use crate::store::{Certificates, Letters, Links, NewLink, NewReport, OfficeRows};

/// All four, against one store.
pub fn papers_keep_to_their_word(rows: &dyn OfficeRows) {
    reports(rows);
    links(rows);
    letters(rows);
    certificates(rows);
}

/// Reports: once each, in one order, apart by firm; what is announced is wanted until it is here or taken back.
fn reports(rows: &dyn OfficeRows) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let (ines, tomas) = (device("device-ines"), device("device-tomas"));
    let [first, second, file] = [b"first", b"secnd", b"afile"].map(|bytes| Sha256::of(bytes));
    rows.announce(&one, &ines, &file).expect("announced");
    assert!(rows.is_wanted(&one, &ines, &file).expect("asked"));
    assert!(!rows.is_wanted(&one, &tomas, &file).expect("asked"), "whoever announced it brings it");
    rows.forget(&one, &ines, &file).expect("forgotten");
    assert!(!rows.is_wanted(&one, &ines, &file).expect("asked"));
    let take = |identity: &Sha256, device, second| {
        let new = NewReport { identity, sha256: &file, length: 5, device, at: time(second) };
        rows.take_report(&one, &new).expect("taken");
    };
    take(&first, &ines, 1);
    take(&second, &tomas, 2);
    take(&first, &tomas, 3);
    let names = |seen, most, of| {
        let found = rows.reports_after(&one, seen, most, of).expect("listed");
        found.iter().map(|report| (report.number, report.identity)).collect::<Vec<_>>()
    };
    assert_eq!(names(0, 10, None), [(1, first), (2, second)], "what is here is left as it came");
    assert_eq!(names(0, 1, None), [(1, first)]);
    assert_eq!(names(1, 10, None), [(2, second)]);
    assert_eq!(names(0, 10, Some(&tomas)), [(2, second)]);
    let found = rows.report(&one, &first).expect("looked").expect("there");
    assert_eq!((found.device.as_str(), found.length, found.taken_at), ("device-ines", 5, time(1)));
    assert_eq!(rows.report(&other, &first).expect("looked"), None, "another firm's reports are others");
    assert!(rows.reports_after(&other, 0, 10, None).expect("listed").is_empty());
}

/// Links: found by their secret while they show something, counted, closed for good, apart by firm.
fn links(rows: &dyn Links) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let open = |of, secret: u8, until| {
        let link = NewLink {
            secret: &[secret; 32],
            shows: "letter:1",
            label: "Amara Quill",
            device: "device-ines",
            made_at: time(0),
            until: time(until),
        };
        rows.open_link(of, &link).expect("opened")
    };
    assert_eq!((open(&one, 1, 100), open(&one, 2, 10), open(&other, 3, 100)), (1, 2, 1));
    let find = |secret: u8, second| rows.find_link(&[secret; 32], time(second)).expect("looked");
    assert_eq!(find(1, 5).map(|link| (link.firm, link.number)), Some((one.clone(), 1)));
    assert_eq!(find(3, 5).map(|link| (link.firm, link.number)), Some((other.clone(), 1)));
    assert_eq!((find(9, 5), find(2, 10)), (None, None), "no such secret; an end that has come");
    rows.count_opening(&one, 1, time(6)).expect("counted");
    rows.count_opening(&one, 1, time(7)).expect("counted");
    let listed = rows.list_links(&one).expect("listed");
    let told: Vec<_> = listed.iter().map(|link| (link.number, link.opened, link.opened_at)).collect();
    assert_eq!(told, [(2, 0, None), (1, 2, Some(time(7)))]);
    assert!(rows.close_link(&one, 1, time(8)).expect("closed"));
    assert!(!rows.close_link(&one, 1, time(9)).expect("asked"), "it is closed already");
    assert!(!rows.close_link(&other, 2, time(9)).expect("asked"), "another firm's link");
    assert_eq!(find(1, 9), None);
    assert!(find(3, 9).is_some());
}

/// Letters: replies in their order, none in another's place, and not for ever.
fn letters(rows: &dyn Letters) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    let number = rows.keep_letter(&one, "{\"a\":1}", "device-ines", time(0)).expect("kept");
    assert_eq!(number, 1);
    assert_eq!(rows.letter(&other, number).expect("looked"), None);
    for (reply, kept) in [("{\"b\":1}", true), ("{\"b\":2}", true), ("{\"b\":3}", false)] {
        assert_eq!(rows.keep_reply(&one, number, reply, 2, time(1)).expect("asked"), kept, "{reply}");
    }
    let letter = rows.letter(&one, number).expect("looked").expect("there");
    assert_eq!((letter.letter.as_str(), letter.device.as_str()), ("{\"a\":1}", "device-ines"));
    assert_eq!(letter.replies, [("{\"b\":1}".to_owned(), time(1)), ("{\"b\":2}".to_owned(), time(1))]);
}

/// Certificates: what is given answers the request that was made last, and no other.
fn certificates(rows: &dyn Certificates) {
    let (one, other) = (firm("harbour-vale"), firm("north-bay"));
    rows.ask_certificate(&one, "device-1", "request 1", time(0)).expect("asked");
    rows.ask_certificate(&one, "device-1", "request 2", time(1)).expect("asked");
    let give = |of, request: &str| rows.give_certificate(of, ("device-1", request), "chain", time(2)).expect("given");
    assert!(!give(&one, "request 1"), "it has asked for another one meanwhile");
    assert!(!give(&other, "request 2"));
    assert!(give(&one, "request 2"));
    rows.ask_certificate(&one, "device-1", "request 2", time(3)).expect("asked");
    let row = rows.certificate(&one, "device-1").expect("looked").expect("there");
    assert_eq!((row.asked_at, row.chain.as_deref(), row.given_at), (time(1), Some("chain"), Some(time(2))));
    rows.ask_certificate(&one, "device-1", "request 3", time(4)).expect("asked");
    let row = rows.list_certificates(&one).expect("listed").remove(0);
    assert_eq!((row.request.as_str(), row.chain, row.given_at), ("request 3", None, None));
    assert!(rows.list_certificates(&other).expect("listed").is_empty());
}
