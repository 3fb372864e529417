#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::io;

use chrono::{DateTime, Utc};
use demo::scenario::{inspect, visits};
use serde_json::{Value, json};

use super::{Door, InMemory, Reply, Source};
use crate::{Fault, NativeWorld, quietly};

/// The scenario's day, and this machine's randomness.
struct Scenario;

impl Source for Scenario {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        crate::World::fill_random(&NativeWorld, bytes)
    }
}

fn open() -> Door {
    Door::open(Box::new(InMemory), Box::new(Scenario)).unwrap()
}

fn ask(door: &Door, request: &Value) -> Result<Value, Fault> {
    call(door, request, &[]).map(|reply| reply.answer)
}

fn call(door: &Door, request: &Value, bytes: &[u8]) -> Result<Reply, Fault> {
    door.call(&request.to_string(), bytes, &quietly)
}

const PASSPHRASE: &str = "four quiet walking steps";

fn with_keys() -> Door {
    let door = open();
    let keys = json!({"op": "make_keys", "firm": "Harbour & Vale Inspections", "inspector": "Ines Okafor-Lind",
        "passphrase": PASSPHRASE});
    assert_eq!(ask(&door, &keys).unwrap()["keys"]["inspector"], "Ines Okafor-Lind");
    door
}

/// A visit of the scenario, written field by field as a page would, with its photographs.
fn write_visit(door: &Door, number: usize) -> String {
    let (inspection, photographs) = inspect(&visits()[number], (320, 240)).unwrap();
    let document = serde_json::to_value(&inspection).unwrap();
    let begun = ask(
        door,
        &json!({"op": "begin", "vin": document["car"]["vin"], "registration": null, "at": document["visited_at"]}),
    )
    .unwrap();
    let id = begun["id"].as_str().unwrap().to_owned();
    for (path, value) in notebook::unfold(&document) {
        if !path.starts_with("photographs.") && !path.starts_with("car.prior_visits.") && !path.contains(".defects.") {
            ask(door, &json!({"op": "write", "inspection": id, "path": path, "value": value})).unwrap();
        }
    }
    for photograph in photographs.iter().take(3) {
        let request = json!({"op": "photograph", "inspection": id, "subject": photograph.plan.subject,
            "taken": "in_app", "taken_at": null});
        let stored = call(door, &request, &photograph.bytes).unwrap().answer;
        assert_eq!(stored["remarks"].as_array().unwrap().len(), 1, "320 pixels are few: {}", stored["remarks"]);
    }
    id
}

#[test]
fn from_the_first_word_to_a_report_that_is_genuine() {
    let door = with_keys();
    let id = write_visit(&door, 0);
    let draft = ask(&door, &json!({"op": "read", "inspection": id})).unwrap();
    assert_eq!((&draft["missing"], &draft["problems"]), (&json!([]), &json!([])));
    let reckoned = ask(&door, &json!({"op": "reckon", "inspection": id})).unwrap();
    assert_eq!(
        reckoned["reckoning"]["corners"],
        ask(&door, &json!({"op": "reckon", "inspection": id})).unwrap()["reckoning"]["corners"]
    );
    let report = ask(&door, &json!({"op": "seal", "inspection": id, "passphrase": PASSPHRASE})).unwrap();
    assert_eq!(report["signed_by"], "Ines Okafor-Lind, Harbour & Vale Inspections (Inspector)");
    let bytes = call(&door, &json!({"op": "report", "identity": report["identity"]}), &[]).unwrap().bytes.unwrap();
    let verdict = call(&door, &json!({"op": "verify", "roots": []}), &bytes).unwrap().answer;
    assert_eq!(verdict["headline"], "genuine-standing-not-checked", "{verdict}");
    let mut changed = bytes;
    let middle = changed.len() / 2;
    changed[middle] ^= 1;
    let verdict = call(&door, &json!({"op": "verify", "roots": []}), &changed).unwrap().answer;
    assert_eq!(verdict["headline"], "do-not-rely");
    let list = ask(&door, &json!({"op": "list", "search": ""})).unwrap();
    assert_eq!(list["inspections"][0]["sealed"], 1);
}

#[test]
fn the_next_visit_of_the_same_car_begins_with_what_is_known() {
    let door = with_keys();
    let first = write_visit(&door, 0);
    let report = ask(&door, &json!({"op": "seal", "inspection": first, "passphrase": PASSPHRASE})).unwrap();
    let vin = ask(&door, &json!({"op": "read", "inspection": first})).unwrap()["fields"]["car.vin"].clone();
    let next = ask(&door, &json!({"op": "begin", "vin": vin, "registration": null, "at": "2027-11-24T10:00:00+01:00"}))
        .unwrap();
    assert_eq!(next["earlier"][0]["id"], json!(first));
    let visit = &next["fields"]["car.prior_visits.0001"];
    assert_eq!(visit["record"], report["record"]);
    assert!(!visit["readings"].as_array().unwrap().is_empty());
    assert!(next["fields"]["car.brakes.front.material"].is_string());
    assert!(next["fields"].get("car.odometer").is_none(), "a figure of last time is no finding of today");
    assert!(!next["can_undo"].as_bool().unwrap());
}

#[test]
fn what_is_missing_is_said_and_nothing_is_sealed() {
    let door = with_keys();
    let begun = ask(
        &door,
        &json!({"op": "begin", "vin": null, "registration": "PMW-0417-Q", "at": "2026-11-24T09:10:00+01:00"}),
    )
    .unwrap();
    let fault = ask(&door, &json!({"op": "seal", "inspection": begun["id"], "passphrase": PASSPHRASE})).unwrap_err();
    assert_eq!(fault.code, "unfinished");
    assert!(fault.message.contains("front left corner: seen, or why not"), "{}", fault.message);
    assert_eq!(ask(&door, &json!({"op": "reports"})).unwrap()["reports"], json!([]));
}

#[test]
fn a_wrong_passphrase_seals_nothing_and_loses_nothing() {
    let door = with_keys();
    let id = write_visit(&door, 0);
    let before = ask(&door, &json!({"op": "read", "inspection": id})).unwrap();
    let fault = ask(&door, &json!({"op": "seal", "inspection": id, "passphrase": "another one"})).unwrap_err();
    assert_eq!(fault.code, "wrong-passphrase");
    assert_eq!(ask(&door, &json!({"op": "read", "inspection": id})).unwrap(), before);
}

#[test]
fn everything_goes_out_and_comes_into_another_notebook() {
    let door = open();
    let id = write_visit(&door, 1);
    let zip = call(&door, &json!({"op": "export"}), &[]).unwrap().bytes.unwrap();
    let other = open();
    let imported = call(&other, &json!({"op": "import"}), &zip).unwrap().answer;
    assert_eq!(imported["photographs"], 3);
    let fields = |door: &Door| ask(door, &json!({"op": "read", "inspection": id})).unwrap()["fields"].clone();
    assert_eq!(fields(&other), fields(&door));
    assert_eq!(call(&other, &json!({"op": "import"}), &zip).unwrap().answer, json!({"entries": 0, "photographs": 0}));
    let picture = json!({"op": "picture", "sha256": fields(&door)["photographs.photo-0001"]["sha256"], "small": true});
    assert!(call(&other, &picture, &[]).unwrap().bytes.unwrap().starts_with(&[0xff, 0xd8]));
    // What was erased at one place does not come back from the other.
    ask(&other, &json!({"op": "erase", "inspection": id})).unwrap();
    call(&other, &json!({"op": "import"}), &zip).unwrap();
    assert_eq!(ask(&other, &json!({"op": "read", "inspection": id})).unwrap_err().code, "erased");
    assert_eq!(call(&other, &picture, &[]).unwrap_err().code, "not-there");
}

#[test]
fn a_request_that_cannot_be_read_is_refused_with_the_place() {
    let door = open();
    for request in ["", "{}", r#"{"op":"paint"}"#, r#"{"op":"read"}"#, r#"{"op":"list","search":"","more":1}"#] {
        assert_eq!(door.call(request, &[], &quietly).unwrap_err().code, "request-refused", "{request}");
    }
    let fault = ask(&door, &json!({"op": "read", "inspection": "../x"})).unwrap_err();
    assert_eq!(fault.code, "value-refused");
    assert_eq!(call(&door, &json!({"op": "import"}), b"no zip").unwrap_err().code, "zip-refused");
    assert_eq!(ask(&door, &json!({"op": "seal", "inspection": "x", "passphrase": "y"})).unwrap_err().code, "no-keys");
}

#[test]
fn letters_and_replies_come_as_text_and_pages() {
    let door = open();
    let letter = serde_json::to_value(demo::scenario::letter().unwrap()).unwrap();
    let written = ask(&door, &json!({"op": "letter", "letter": letter})).unwrap();
    assert!(written["text"].as_str().unwrap().contains("Tessel"));
    assert!(written["pdf"].as_str().unwrap().starts_with("JVBERi0"), "a PDF in base64");
    let reply = serde_json::to_value(demo::scenario::reply().unwrap()).unwrap();
    let checked = ask(&door, &json!({"op": "reply", "letter": letter, "reply": reply})).unwrap();
    assert_ne!(checked["text"], written["text"]);
}

#[test]
fn the_pages_types_know_an_answer_to_every_request() {
    let schema = super::contract_schema();
    let requests: std::collections::BTreeSet<&str> = schema["$defs"]["Request"]["oneOf"]
        .as_array()
        .unwrap()
        .iter()
        .map(|request| request["properties"]["op"]["const"].as_str().unwrap())
        .collect();
    let answers = schema["$defs"]["Answers"]["properties"].as_object().unwrap();
    assert_eq!(requests, answers.keys().map(String::as_str).collect());
}

#[test]
fn a_changed_key_signs_and_what_the_old_one_signed_stays_genuine() {
    let door = with_keys();
    let id = write_visit(&door, 0);
    let seal = json!({"op": "seal", "inspection": id, "passphrase": PASSPHRASE});
    let old = ask(&door, &seal).unwrap();
    let before = ask(&door, &json!({"op": "keys"})).unwrap()["keys"].clone();
    assert_eq!(
        ask(&door, &json!({"op": "change_key", "passphrase": "another one"})).unwrap_err().code,
        "wrong-passphrase"
    );
    let after = ask(&door, &json!({"op": "change_key", "passphrase": PASSPHRASE})).unwrap()["keys"].clone();
    assert_eq!(before["root_words"], after["root_words"]);
    assert_ne!(before["fingerprint"], after["fingerprint"]);
    let new = ask(&door, &seal).unwrap();
    for report in [old, new] {
        let report = json!({"op": "report", "identity": report["identity"]});
        let bytes = call(&door, &report, &[]).unwrap().bytes.unwrap();
        let verdict = call(&door, &json!({"op": "verify", "roots": []}), &bytes).unwrap().answer;
        assert_eq!(verdict["headline"], "genuine-standing-not-checked", "{verdict}");
    }
}

#[test]
fn a_glyph_on_a_screen_is_the_one_on_the_page() {
    let door = open();
    let id = write_visit(&door, 2);
    let draft = ask(&door, &json!({"op": "read", "inspection": id})).unwrap();
    let glyph = &draft["preview"]["glyphs"]["rear_left"];
    assert_eq!(glyph["title"], "Rear left");
    let (inspection, _) = inspect(&visits()[2], (320, 240)).unwrap();
    let drawn = report::glyph::DiscGlyph::of(
        model::CornerName::RearLeft,
        &inspection.corners.rear_left,
        &condition::reckon(&inspection).corners.rear_left,
    )
    .draw();
    let dots: usize = drawn
        .iter()
        .map(|shape| if let report::glyph::Shape::Dots { centres, .. } = shape { centres.len() } else { 0 })
        .sum();
    let outlines = glyph["outlines"].as_array().unwrap();
    let round = outlines.iter().filter(|outline| outline["round"] == true);
    let shown: usize = round.map(|outline| outline["d"].as_str().unwrap().matches("h0").count()).sum();
    assert!(dots > 100 && shown.abs_diff(dots) < 20, "{shown} dots on the screen, {dots} on the page");
}

/// One damaged photograph keeps nothing else back: the rest is saved, and what is not there is named.
#[test]
fn a_damaged_photograph_does_not_keep_the_rest_from_being_saved() {
    let folder = tempfile::tempdir().unwrap();
    let door = Door::open(Box::new(super::InFolder(folder.path().to_owned())), Box::new(Scenario)).unwrap();
    write_visit(&door, 0);
    let whole = names(&call(&door, &json!({"op": "export"}), &[]).unwrap().bytes.unwrap());
    let other = notebook::Connection::open(folder.path().join("notebook.sqlite")).unwrap();
    other.execute("UPDATE originals SET bytes = x'00' WHERE rowid = 1", []).unwrap();
    let rest = names(&call(&door, &json!({"op": "export"}), &[]).unwrap().bytes.unwrap());
    assert!(!whole.contains(&"not-saved.txt".to_owned()) && rest.contains(&"not-saved.txt".to_owned()), "{rest:?}");
    let photographs = |names: &[String]| names.iter().filter(|name| name.starts_with("photographs/")).count();
    assert_eq!(photographs(&rest), photographs(&whole) - 1);
}

fn names(zip: &[u8]) -> Vec<String> {
    zip::ZipArchive::new(io::Cursor::new(zip)).unwrap().file_names().map(str::to_owned).collect()
}
