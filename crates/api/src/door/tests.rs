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

/// The label and the value of the first one.
fn first_photograph(fields: &Value) -> (&str, &Value) {
    let found =
        fields.as_object().unwrap().iter().find_map(|(path, value)| Some((path.strip_prefix("photographs.")?, value)));
    found.unwrap()
}

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
    assert_eq!(
        call(&other, &json!({"op": "import"}), &zip).unwrap().answer,
        json!({"entries": 0, "photographs": 0, "recordings": 0})
    );
    let picture = json!({"op": "picture", "sha256": first_photograph(&fields(&door)).1["sha256"], "small": true});
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

/// Records a drive as the app does: motion and position as lines, sound as samples, each in pieces.
fn record_drive(door: &Door, id: &str) -> Vec<String> {
    let recorded = demo::scenario::record(&visits()[2]);
    let motion = recorded.motion.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| format!("{line}\n"));
    let position = demo::drive::position_csv(&recorded.drive);
    let position = position.lines().skip(1).map(|line| {
        let (time, speed) = line.split_once(',').unwrap();
        // The first fixes of a phone that stands tell no speed.
        format!("{time},47.5,-19.25,{}\n", if time.starts_with("0.") { "" } else { speed })
    });
    let kinds = [
        ("motion", 0, motion.collect::<String>().into_bytes()),
        ("position", 0, position.collect::<String>().into_bytes()),
        ("sound", 48_000, recorded.sound[44..].to_vec()),
    ];
    let mut labels = Vec::new();
    for (kind, rate, bytes) in kinds {
        let begin = json!({"op": "begin_recording", "inspection": id, "kind": kind, "rate_hz": rate,
            "at": "2026-11-24T10:00:00+01:00"});
        let number = ask(door, &begin).unwrap()["recording"].clone();
        for (nth, piece) in bytes.chunks(300_000).enumerate() {
            call(door, &json!({"op": "add_to_recording", "recording": number, "nth": nth + 1}), piece).unwrap();
        }
        let running = ask(door, &json!({"op": "running_recordings", "inspection": id})).unwrap();
        assert_eq!(running["running"][0]["bytes"], bytes.len());
        let ended = ask(door, &json!({"op": "end_recording", "inspection": id, "recording": number})).unwrap();
        labels.push(ended["label"].as_str().unwrap().to_owned());
    }
    labels
}

#[test]
fn a_recorded_drive_is_measured_sealed_saved_and_erased() {
    let door = with_keys();
    let id = write_visit(&door, 0);
    let labels = record_drive(&door, &id);
    let measure = json!({"op": "measure_drive", "inspection": id, "recordings": labels});
    let measured = ask(&door, &measure).unwrap();
    assert_eq!(ask(&door, &measure).unwrap()["drive"], measured["drive"], "measured again, it takes its own place");
    let drive = &measured["draft"]["fields"][format!("road_test.drives.{}", measured["drive"].as_str().unwrap())];
    let pulsation = drive["pulsation"]["orders"][0]["braking_m_per_s2"].as_f64().unwrap();
    assert!((pulsation / (0.7 * 0.85) - 1.0).abs() < 0.1, "{pulsation}");
    let drawing = json!({"op": "drive_drawing", "inspection": id, "drive": measured["drive"]});
    assert!(call(&door, &drawing, &[]).unwrap().bytes.unwrap().starts_with(b"<svg"));
    let sealed = ask(&door, &json!({"op": "seal", "inspection": id, "passphrase": PASSPHRASE})).unwrap();
    let report = json!({"op": "report", "identity": sealed["identity"]});
    let pdf = call(&door, &report, &[]).unwrap().bytes.unwrap();
    let verdict = call(&door, &json!({"op": "verify", "roots": []}), &pdf).unwrap().answer;
    assert_eq!(verdict["headline"], "genuine-standing-not-checked", "{verdict:#}");

    let saved = call(&door, &json!({"op": "export"}), &[]).unwrap().bytes.unwrap();
    assert_eq!(names(&saved).iter().filter(|name| name.starts_with("recordings/")).count(), 3);
    for ending in [".wav", ".csv"] {
        assert!(names(&saved).iter().any(|name| name.starts_with("recordings/") && name.ends_with(ending)), "{ending}");
    }
    let other = open();
    let taken = call(&other, &json!({"op": "import"}), &saved).unwrap().answer;
    assert_eq!(taken["recordings"], 3);
    assert_eq!(ask(&other, &measure).unwrap()["drive"], measured["drive"], "measured there from the same bytes");
    ask(&other, &json!({"op": "erase", "inspection": id})).unwrap();
    let left = call(&other, &json!({"op": "export"}), &[]).unwrap().bytes.unwrap();
    assert!(names(&left).iter().all(|name| !name.starts_with("recordings/")));
}

#[test]
fn a_recording_that_cannot_be_used_says_why_and_nothing_is_lost() {
    let door = open();
    let id = write_visit(&door, 0);
    let take = json!({"op": "take_in_recording", "inspection": id, "name": "shopping.csv"});
    let refused = call(&door, &take, b"what,how much\nmilk,2\n").unwrap_err();
    assert_eq!(refused.code, "recording-refused");
    assert!(refused.message.contains("shopping.csv") && refused.hint.is_some(), "{refused:?}");
    let begin = json!({"op": "begin_recording", "inspection": id, "kind": "sound", "rate_hz": 44_100,
        "at": "2026-11-24T10:00:00+01:00"});
    let number = ask(&door, &begin).unwrap()["recording"].clone();
    let end = json!({"op": "end_recording", "inspection": id, "recording": number});
    assert!(ask(&door, &end).unwrap_err().message.contains("gave nothing"));
    let running = ask(&door, &json!({"op": "running_recordings", "inspection": id})).unwrap();
    assert_eq!(running["running"], json!([]));
    let drive = json!({"op": "measure_drive", "inspection": id, "recordings": ["recording-0007"]});
    assert!(ask(&door, &drive).unwrap_err().message.contains("no recording recording-0007"));
}

#[test]
fn a_photographs_place_is_in_the_report_only_when_asked_for() {
    let door = with_keys();
    let id = write_visit(&door, 0);
    let draft = ask(&door, &json!({"op": "read", "inspection": id})).unwrap();
    let fields = draft["fields"].as_object().unwrap();
    let photographs: Vec<&str> = fields.keys().filter_map(|path| path.strip_prefix("photographs.")).collect();
    let state = |photograph: &str, state: bool| {
        ask(&door, &json!({"op": "state_place", "inspection": id, "photograph": photograph, "state": state}))
    };
    let answers: Vec<_> = photographs.iter().map(|one| (*one, state(one, true))).collect();
    let refused = answers.iter().find_map(|(_, answer)| answer.as_ref().err()).unwrap();
    assert!(refused.message.contains("names no place"), "{}", refused.message);
    let one = answers.iter().find(|(_, answer)| answer.is_ok()).unwrap().0;
    let field = |draft: &Value| draft["fields"][format!("photographs.{one}")]["place"].clone();
    assert_eq!(field(&state(one, false).unwrap()), Value::Null);
    assert!(field(&state(one, true).unwrap()).is_object());
    let sealed = ask(&door, &json!({"op": "seal", "inspection": id, "passphrase": PASSPHRASE})).unwrap();
    let pdf = call(&door, &json!({"op": "report", "identity": sealed["identity"]}), &[]).unwrap().bytes.unwrap();
    let record = seal::file::SealedFile::read(&pdf).unwrap().record().unwrap();
    let record: Value = serde_json::from_slice(&record.bytes).unwrap();
    let photographs = record["inspection"]["photographs"].as_array().unwrap();
    for photograph in photographs {
        let place = &photograph["place"];
        if photograph["id"] == one {
            assert!((place["latitude_deg"].as_f64().unwrap() - 47.5).abs() < 1e-9, "{place}");
        } else {
            assert!(place.is_null() || answers.iter().any(|(other, _)| photograph["id"] == *other), "{photograph}");
        }
    }
}

#[test]
fn a_marked_face_is_measured_and_compared_with_the_inspectors_own_references() {
    let door = open();
    let id = write_visit(&door, 2);
    let take = |face: &demo::face::Face| {
        let drawn = demo::face::draw(face);
        let request = json!({"op": "photograph", "inspection": id, "taken": "in_app", "taken_at": null,
            "subject": {"of": "face", "corner": "rear_left", "face": "inner"}});
        let label = call(&door, &request, &drawn.jpeg().unwrap()).unwrap().answer["label"].clone();
        let mark: Value = serde_json::from_str(&drawn.mark_json()).unwrap();
        let measure = json!({"op": "measure_face", "inspection": id, "photograph": label, "mark": mark});
        let draft = ask(&door, &measure).unwrap();
        (label.clone(), draft["fields"][format!("photographs.{}", label.as_str().unwrap())]["measured"].clone())
    };
    for (stage, _, face) in demo::face::references() {
        let (label, measured) = take(&face);
        let keep = json!({"op": "keep_reference", "inspection": id, "photograph": label, "stage": stage});
        if measured["seen"]["quality"]["passes"] == true {
            ask(&door, &keep).unwrap();
        } else {
            assert!(ask(&door, &keep).unwrap_err().message.contains("too blurred"));
        }
    }
    let known = ask(&door, &json!({"op": "references"})).unwrap();
    assert_eq!(known["missing"], Value::Null, "{known:#}");
    let careful = demo::face::Face { size: (1300, 1000), blur_px: 0.6, ..demo::face::Face::default() };
    let (_, spent) = take(&demo::face::Face { wear: 0.95, seed: 901, ..careful });
    assert_eq!(spent["proposal"]["stage"], "end", "{spent:#}");
    let first = known["references"][0]["photograph"].clone();
    let fewer = ask(&door, &json!({"op": "drop_reference", "photograph": first})).unwrap();
    assert_eq!(fewer["references"].as_array().unwrap().len() + 1, known["references"].as_array().unwrap().len());
    // A mark beside the disc is refused, and what was measured before stays.
    let away: Value = serde_json::from_str(
        r#"{"outer": [[300,150],[200,250],[100,150],[200,50]], "inner": [[250,150],[200,200],[150,150],[200,100]],
            "outer_diameter_mm": 390, "grey_card": null}"#,
    )
    .unwrap();
    let view = ask(&door, &json!({"op": "read", "inspection": id})).unwrap();
    let photograph = first_photograph(&view["fields"]).0;
    let refused = ask(&door, &json!({"op": "measure_face", "inspection": id, "photograph": photograph, "mark": away}));
    assert_eq!(refused.unwrap_err().code, "face-refused");
}
