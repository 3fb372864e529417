//! Records: one canonical form, a device's row without gaps, copies that match their photographs.

use crate::sample::{read_record, record, record_refusal, replaced, says};
use model::{ParseError, Record, Sha256, parse_canonical_record, parse_record};
use serde_json::json;

#[test]
fn a_record_comes_back_from_its_canonical_bytes_and_from_nothing_else() {
    let sample = read_record(&record()).unwrap();
    let bytes = sample.canonical_bytes().unwrap();
    assert_eq!(parse_canonical_record(&bytes).as_ref(), Ok(&sample));
    assert_eq!(Record::digest(&bytes), Sha256::of(&bytes));

    let pretty = serde_json::to_vec_pretty(&sample).unwrap();
    assert_eq!(parse_record(&pretty).as_ref(), Ok(&sample));
    // "{" is the same, the line feed after it is not.
    assert_eq!(parse_canonical_record(&pretty), Err(ParseError::NotCanonical { at: 1 }));
    let mut longer = bytes.clone();
    longer.push(b'\n');
    assert_eq!(parse_canonical_record(&longer), Err(ParseError::NotCanonical { at: bytes.len() }));
    let text = String::from_utf8(bytes).unwrap();
    let escaped = text.replacen("Łukasz", "\\u0141ukasz", 1);
    let at = text.find('Ł').unwrap();
    assert_eq!(parse_canonical_record(escaped.as_bytes()), Err(ParseError::NotCanonical { at }));
}

#[test]
fn a_device_s_row_has_no_gaps() {
    says(&record_refusal("/device/sequence", json!(0)), &["device.sequence", "got 0"]);
    says(&record_refusal("/device/sequence", json!(1)), &["device.previous"]);
    says(&record_refusal("/device/previous", json!(null)), &["device.previous"]);
    // 2^53, the first whole number after which a double leaves one out (RFC 8785, 3.2.2.3).
    says(&record_refusal("/device/sequence", json!(9_007_199_254_740_992_u64)), &["device.sequence"]);
    let mut first = replaced(record(), "/device/sequence", json!(1));
    first["device"]["previous"] = json!(null);
    assert!(read_record(&first).is_ok());
}

#[test]
fn versions_begin_at_one() {
    says(&record_refusal("/renderer", json!(0)), &["renderer", "got 0"]);
    says(&record_refusal("/reckoning/method", json!(0)), &["reckoning.method", "got 0"]);
    says(&record_refusal("/schema", json!("rimside.record/2")), &["schema", "rimside.record/2", "rimside.record/1"]);
}

#[test]
fn each_photograph_has_its_copy_in_the_same_order() {
    let mut sample = record();
    let copies = sample["report_photographs"].as_array_mut().unwrap();
    copies.swap(0, 1);
    says(&read_record(&sample).unwrap_err().to_string(), &["report_photographs[0].id", "vin", "registration"]);
    let mut sample = record();
    sample["report_photographs"].as_array_mut().unwrap().pop();
    says(&read_record(&sample).unwrap_err().to_string(), &["report_photographs", "9 copies", "10 photographs"]);
    says(&record_refusal("/report_photographs/2/height_px", json!(0)), &["report_photographs[2].height_px", "got 0"]);
}

#[test]
fn nothing_is_taken_after_the_record_is_frozen() {
    // The sample is frozen at 15:20 on 2026-11-24.
    let late = json!("2026-11-24T15:21:00+01:00");
    says(
        &record_refusal("/inspection/readings/0/taken_at", late.clone()),
        &["inspection.readings[0].taken_at", "15:21"],
    );
    says(&record_refusal("/inspection/photographs/0/taken_at", late.clone()), &["photographs[0].taken_at", "15:21"]);
    // A camera that is no part of the app does not know its time zone: a day is allowed, not two.
    let imported = "/inspection/photographs/3/taken_at";
    assert_eq!(record()["inspection"]["photographs"][3]["taken"], "imported");
    assert!(read_record(&replaced(record(), imported, late)).is_ok());
    says(&record_refusal(imported, json!("2026-11-26T15:21:00+01:00")), &["photographs[3].taken_at"]);
    says(&record_refusal("/frozen_at", json!("2026-11-24T09:00:00+01:00")), &["frozen_at", "visit's beginning"]);
}

#[test]
fn the_reckoning_hides_no_text() {
    let bidi = json!("worn \u{202e}ton");
    for (pointer, field) in [
        ("/reckoning/answer/lead/0/text", "reckoning.answer.lead[0].text"),
        ("/reckoning/drive_warnings/1/source/document", "reckoning.drive_warnings[1].source.document"),
        ("/reckoning/answer/limits/0/evidence/0/what", "reckoning.answer.limits[0].evidence[0].what"),
        (
            "/reckoning/corners/rear_right/bulk/because/parts/1/text",
            "reckoning.corners.rear_right.bulk.because.parts[1].text",
        ),
        ("/reckoning/corners/front_left/missing/0", "reckoning.corners.front_left.missing[0]"),
        ("/reckoning/cost/remarks/0", "reckoning.cost.remarks[0]"),
    ] {
        says(&record_refusal(pointer, bidi.clone()), &[field, "U+202E"]);
    }
}

#[test]
fn what_is_wrong_in_the_inspection_is_told_with_its_place_in_the_record() {
    let mut sample = replaced(record(), "/inspection/car/odometer/figure", json!(30_150));
    sample["renderer"] = json!(0);
    let refusal = read_record(&sample).unwrap_err().to_string();
    says(&refusal, &["renderer: ", "inspection.car.odometer: "]);
    assert_eq!(refusal.lines().count(), 2, "{refusal}");
}

#[test]
fn a_sum_has_one_spelling_and_fits() {
    for spelling in ["1e3", "-1", "1234567890123456789012"] {
        says(&record_refusal("/reckoning/cost/all", json!(spelling)), &["reckoning.cost.all", spelling]);
    }
}
