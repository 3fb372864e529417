//! Nonsense is refused at the door, and the refusal names the field, what came and what was expected.

use crate::sample::{document, read, refusal, says, with};
use model::{MAX_DOCUMENT_BYTES, parse_inspection};
use serde_json::json;

#[test]
fn the_sample_is_accepted_and_comes_back_the_same() {
    let inspection = read(&document()).unwrap();
    let again = parse_inspection(&serde_json::to_vec(&inspection).unwrap()).unwrap();
    assert_eq!(inspection, again);
}

#[test]
fn a_field_that_is_wrong_in_itself() {
    says(
        &refusal("/car/brakes/front/discs/left/minimum_mass_g", json!(-5.0)),
        &["car.brakes.front.discs.left.minimum_mass_g", "-5", "1 to 50000 g"],
    );
    says(&refusal("/readings/0/unit", json!("stone")), &["readings[0].unit", "stone", "kg"]);
    says(&refusal("/car/vin", json!("00CRV2TS0SM00O417")), &["car.vin", "'O'", "I, O and Q"]);
    says(&refusal("/place", json!("bay\u{7}2")), &["place", "U+0007"]);
    says(&refusal("/place", json!("bay\u{202e}2")), &["place", "U+202E"]);
    says(&refusal("/place", json!("  ")), &["place", "empty"]);
    says(&refusal("/remarks", json!("x".repeat(1 << 20))), &["remarks", "1048576", "8000"]);
    says(
        &refusal("/schema", json!("rimside.inspection/9")),
        &["schema", "rimside.inspection/9", "rimside.inspection/1"],
    );
    says(&refusal("/id", json!("Two Words")), &["id", "Two Words", "a-z"]);
    says(&refusal("/visited_at", json!("yesterday")), &["visited_at"]);
    says(&refusal("/prices/currency", json!("euro")), &["prices.currency", "euro", "ISO 4217"]);
    says(&refusal("/readings/0/uncertainty", json!(0.0)), &["readings[0].uncertainty", "0"]);
}

#[test]
fn a_wrong_kind_of_value_is_told_in_plain_words() {
    says(&refusal("/readings/0/points/0/value", json!("5")), &["readings[0].points[0].value", "\"5\"", "a number"]);
    says(&refusal("/car/odometer", json!(41_000)), &["car.odometer", "41000", "an object"]);
    says(&refusal("/car/brakes/rear/tyre/rim_in", json!(300)), &["tyre.rim_in", "300", "a whole number from 0 to 255"]);
    for (pointer, field) in [("/visited_at", "visited_at"), ("/car/prior_visits/0/on", "car.prior_visits[0].on")] {
        for got in ["2026-11", "2026-13-01", "tomorrow", "2026-11-24T14:02:00"] {
            says(&refusal(pointer, json!(got)), &[field, got, "expected a day (2026-11-24)", "line 1"]);
        }
    }
}

#[test]
fn an_amount_has_one_spelling() {
    let price = "/prices/lines/0/unit_price";
    for spelling in ["-5.00", "+5", "1e3", "1_000", "007", ".5", "5.", "1.0000001", "1234567890", "", "5 ", "٥"] {
        says(&refusal(price, json!(spelling)), &["prices.lines[0].unit_price", spelling, "such as \"1234.50\""]);
    }
    says(&refusal(price, json!(5.5)), &["prices.lines[0].unit_price", "5.5", "string"]);
    for spelling in ["0", "0.13", "999999999.999999"] {
        let read = read(&with(price, json!(spelling))).unwrap();
        assert_eq!(read.prices.unwrap().lines[0].unit_price.to_string(), spelling);
    }
}

#[test]
fn a_field_of_another_kind_of_thing_is_unknown_too() {
    let subject = "/photographs/0/subject";
    says(&refusal(subject, json!({"of": "vin", "corner": "front_left"})), &["photographs[0].subject", "corner"]);
    let fluid = document()["readings"].as_array().unwrap().iter().position(|r| r["id"] == "fluid").unwrap();
    let of = json!({"kind": "fluid_boiling_point", "corner": "front_left"});
    says(&refusal(&format!("/readings/{fluid}/of"), of), &[&format!("readings[{fluid}].of"), "corner"]);
}

#[test]
fn a_list_is_no_object_though_its_values_would_fit() {
    says(&refusal("/car/odometer", json!([41_000, "km"])), &["car.odometer", "got a list", "`figure`"]);
    says(
        &refusal("/road_test/seen/drives/0/brakings/0/exit_m_per_s", json!([2.1, 0.1])),
        &["exit_m_per_s", "got a list", "`value`"],
    );
}

#[test]
fn what_an_analysis_cannot_have_found() {
    let mut placed = document()["photographs"][4].clone();
    placed["place"] = json!({"latitude_deg": 91, "longitude_deg": 0});
    let drive = "/road_test/seen/drives/0";
    let cases = [
        (format!("{drive}/recordings"), json!(["motion-9"]), "motion-9"),
        (format!("{drive}/pulsation/orders/0/order"), json!(5), "expected 1 to 4"),
        (format!("{drive}/length_s"), json!(1e11), "expected at most"),
        (format!("{drive}/brakings/0/rise_s/uncertainty"), json!(-0.1), "an uncertainty from 0"),
        (format!("{drive}/trace/sound_db"), json!([-60.0]), "as many as the speed has"),
        ("/photographs/4/measured/seen/pattern/parts".to_owned(), json!([]), "0 parts with 12 colours"),
        ("/photographs/4/subject".to_owned(), json!({"of": "car"}), "expected one of a face"),
        ("/photographs/4".to_owned(), placed, "expected degrees from -90 to 90"),
    ];
    for (pointer, value, words) in cases {
        says(&refusal(&pointer, value), &[words]);
    }
    says(&refusal("/road_test/seen/drives", json!([])), &["drives", "unknown field"]);
}

#[test]
fn an_unknown_field_and_a_missing_one() {
    let mut unknown = document();
    unknown["car"]["colour"] = json!("green");
    says(&read(&unknown).unwrap_err().to_string(), &["car", "colour"]);
    let mut missing = document();
    missing["car"].as_object_mut().unwrap().remove("odometer");
    says(&read(&missing).unwrap_err().to_string(), &["odometer"]);
}

#[test]
fn numbers_that_are_none() {
    let text = document().to_string().replacen("\"air_c\":9.0", "\"air_c\":NaN", 1);
    says(&parse_inspection(text.as_bytes()).unwrap_err().to_string(), &["air_c", "line 1"]);
    let text = document().to_string().replacen("\"air_c\":9.0", "\"air_c\":1e999", 1);
    says(&parse_inspection(text.as_bytes()).unwrap_err().to_string(), &["out of range"]);
}

#[test]
fn a_key_that_stands_twice_at_any_depth() {
    let text = document().to_string();
    let outside = text.replacen('{', "{\"place\":\"here\",", 1);
    says(&parse_inspection(outside.as_bytes()).unwrap_err().to_string(), &["\"place\"", "twice"]);
    let inside = text.replacen("\"car\":{", "\"car\":{\"vin\":\"00CRV2TS0SM000417\",", 1);
    says(&parse_inspection(inside.as_bytes()).unwrap_err().to_string(), &["car", "\"vin\"", "twice"]);
}

#[test]
fn bytes_that_are_no_document() {
    says(&parse_inspection(b"").unwrap_err().to_string(), &["EOF"]);
    says(&parse_inspection(b"[]").unwrap_err().to_string(), &["expected"]);
    let deep = "[".repeat(100_000);
    says(&parse_inspection(deep.as_bytes()).unwrap_err().to_string(), &["recursion limit"]);
    let deep = parse_inspection("{\"car\":".repeat(100_000).as_bytes()).unwrap_err().to_string();
    says(&deep, &["car.car.", "…", "recursion limit"]);
    assert!(deep.len() < 300, "{deep}");
    let trailing = format!("{} {{}}", document());
    says(&parse_inspection(trailing.as_bytes()).unwrap_err().to_string(), &["the document: trailing", "line 1"]);
    let mut bytes = document().to_string().into_bytes();
    let place = bytes.windows(6).position(|window| window == b"Tessel").unwrap();
    bytes[place] = 0xFF;
    says(&parse_inspection(&bytes).unwrap_err().to_string(), &["unicode"]);
    let surrogate = document().to_string().replacen("Tessel", "\\ud800\\u0041", 1);
    says(&parse_inspection(surrogate.as_bytes()).unwrap_err().to_string(), &["car.description", "surrogate"]);
    let large = vec![b' '; MAX_DOCUMENT_BYTES + 1];
    says(&parse_inspection(&large).unwrap_err().to_string(), &["8388609", "8388608"]);
}

#[test]
fn fields_that_contradict_each_other() {
    says(&refusal("/car/odometer/figure", json!(30_000)), &["car.odometer", "30000 km", "30210 km"]);
    says(&refusal("/car/prior_visits/0/on", json!("2031-01-01")), &["car.prior_visits[0].on", "2031-01-01"]);
    says(&refusal("/car/brakes/rear/pads/renewal_mark_mm", json!(12.0)), &["renewal_mark_mm", "12 mm", "11 mm"]);
    says(
        &refusal("/car/brakes/rear/discs/left/minimum_mass_g", json!(9_000.0)),
        &["rear.discs.left.minimum_mass_g", "9000"],
    );
    says(&refusal("/car/brakes/rear/tyre/rim_in", json!(99)), &["tyre.rim_in", "99", "8 to 30"]);
    says(&refusal("/car/vin_photograph", json!("nowhere")), &["car.vin_photograph", "nowhere"]);
    says(
        &refusal("/photographs/1/id", document()["photographs"][0]["id"].clone()),
        &["photographs[1].id", "second time"],
    );
}

#[test]
fn electrical_marks_that_mark_nothing() {
    let mark = "/car/brakes/rear/discs/left/electrical/0";
    let field = "car.brakes.rear.discs.left.electrical[0]";
    says(&refusal(&format!("{mark}/limit"), json!(44.0)), &[&format!("{field}.limit"), "44"]);
    says(&refusal(&format!("{mark}/limit"), json!(44.000_001)), &[&format!("{field}.limit")]);
    says(&refusal(&format!("{mark}/unit"), json!("mm")), &[&format!("{field}.unit"), "mm", "µH"]);
    says(&refusal(&format!("{mark}/new"), json!(-1.0)), &[&format!("{field}.new"), "-1"]);
    says(&refusal(&format!("{mark}/new"), json!(1e300)), &[&format!("{field}.new")]);
    says(&refusal(&format!("{mark}/at"), json!("B")), &["electrical[1].at", "second time"]);
}

#[test]
fn a_disc_much_above_new_is_refused_and_one_a_little_above_is_not() {
    // The rear right disc: 5426 g new.
    says(&refusal("/readings/0/points/0/value", json!(6.2)), &["readings[0].points[0].value", "6200 g", "5426 g"]);
    assert!(read(&with("/readings/0/points/0/value", json!(5.5))).is_ok());
    says(&refusal("/readings/1/points/2/value", json!(36.0)), &["readings[1].points[2].value", "36 mm", "32 mm"]);
}

#[test]
fn lists_longer_than_any_car_needs() {
    let many = |value: serde_json::Value, count: usize| serde_json::Value::Array(vec![value; count]);
    let sample = document();
    let question = sample["questions"][0].clone();
    says(&refusal("/questions", many(question, 201)), &["questions", "201", "200"]);
    says(&refusal("/road_test/seen/steps/0/felt", many(json!("drag"), 21)), &["steps[0].felt", "21", "20"]);
    let points = many(json!({"at": "here", "value": 5.3}), 65);
    says(&refusal("/readings/0/points", points), &["readings[0].points", "65", "64"]);
    let defect = sample.pointer("/corners/rear_left/seen/inner_face/seen/defects/0").unwrap().clone();
    says(
        &refusal("/corners/rear_left/seen/inner_face/seen/defects", many(defect, 101)),
        &["corners.rear_left.seen.inner_face.seen.defects", "101", "100"],
    );
}

#[test]
fn times_and_days_that_nobody_means() {
    says(&refusal("/visited_at", json!("0024-11-24T09:10:00+01:00")), &["visited_at", "1990 to 2199"]);
    says(&refusal("/readings/3/taken_at", json!("9026-11-24T09:10:00+01:00")), &["readings[3].taken_at", "2199"]);
    says(&refusal("/prices/valid_until", json!("2026-11-01")), &["prices.valid_until", "2026-11-01", "2026-11-20"]);
    says(&refusal("/car/first_registered", json!("2027-01-01")), &["car.first_registered", "2027-01-01"]);
}

#[test]
fn recordings_that_are_not_there() {
    says(
        &refusal("/road_test/seen/steps/1/recordings/0", json!("motion-2")),
        &["road_test.seen.steps[1].recordings", "motion-2"],
    );
}

#[test]
fn a_lining_above_new_and_a_reading_in_the_wrong_unit() {
    let sample = document();
    let at = |kind: &str| {
        let readings = sample["readings"].as_array().unwrap();
        readings.iter().position(|reading| reading["of"]["kind"] == kind).unwrap()
    };
    let lining = at("lining");
    says(&refusal(&format!("/readings/{lining}/points/1/value"), json!(14.0)), &["points[1].value", "14 mm", "11 mm"]);
    let mass = at("disc_mass");
    says(&refusal(&format!("/readings/{mass}/unit"), json!("mm")), &["unit", "mm", "g or kg"]);
    says(&refusal(&format!("/readings/{mass}/points/0/value"), json!(0.0002)), &["points[0].value", "0.2 g"]);
    says(&refusal(&format!("/readings/{mass}/points"), json!([])), &["points", "got 0"]);
}

#[test]
fn a_crack_says_how_far_it_goes_and_nothing_else_does() {
    let pointer = "/corners/rear_left/seen/inner_face/seen/defects/0";
    let mut crack = document().pointer(pointer).unwrap().clone();
    crack["kind"] = json!("crack");
    says(&refusal(pointer, crack.clone()), &["inner_face.seen.defects[0].extent", "got none"]);
    crack["extent"] = json!("through");
    assert!(read(&with(pointer, crack.clone())).is_ok());
    crack["kind"] = json!("stain");
    says(&refusal(pointer, crack.clone()), &["extent", "stain"]);
    crack["kind"] = json!("crack");
    crack["place"]["hour"] = json!(13);
    says(&refusal(pointer, crack), &["place.hour", "13", "1 to 12"]);
}

#[test]
fn all_contradictions_are_told_at_once() {
    let mut document = with("/car/odometer/figure", json!(30_150));
    document["car"]["brakes"]["rear"]["tyre"]["rim_in"] = json!(99);
    let refusal = read(&document).unwrap_err().to_string();
    assert_eq!(refusal.lines().count(), 2, "{refusal}");
}
