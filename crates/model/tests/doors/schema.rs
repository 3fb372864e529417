//! The JSON Schema, judged by a validator that is not ours.

use crate::sample::{document, record, with};
use jsonschema::Validator;
use serde_json::json;

pub fn validator() -> Validator {
    jsonschema::draft202012::new(&model::inspection_schema()).unwrap()
}

pub fn record_validator() -> Validator {
    jsonschema::draft202012::new(&model::record_schema()).unwrap()
}

#[test]
fn both_schemas_are_valid_schemas_of_the_draft() {
    for schema in [model::inspection_schema(), model::record_schema()] {
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert!(jsonschema::draft202012::meta::is_valid(&schema));
    }
}

#[test]
fn the_samples_are_valid() {
    for (validator, document) in [(validator(), document()), (record_validator(), record())] {
        let faults: Vec<_> = validator.iter_errors(&document).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{faults:?}");
    }
}

#[test]
fn what_the_door_refuses_and_a_schema_can_say_the_schema_refuses_too() {
    let validator = validator();
    for (pointer, value) in [
        ("/schema", json!("rimside.inspection/9")),
        ("/car/vin", json!("00CRV2TS0SM00O417")),
        ("/car/brakes/front/discs/left/minimum_mass_g", json!(-5.0)),
        ("/car/brakes/rear/tyre/rim_in", json!(99)),
        ("/car/brakes/rear/discs/left/electrical/0/limit", json!(-1.0)),
        ("/car/odometer/figure", json!(3_000_001)),
        ("/readings/0/unit", json!("stone")),
        ("/readings/0/points", json!([])),
        ("/readings/0/points", json!(vec![json!({"at": "here", "value": 5.3}); 65])),
        ("/readings/0/uncertainty", json!(0.0)),
        ("/id", json!("Two Words")),
        ("/place", json!("")),
        ("/place", json!("  ")),
        ("/place", json!("bay\u{7}2")),
        ("/place", json!("bay\n2")),
        ("/place", json!("bay\u{202e}2")),
        ("/remarks", json!("x".repeat(8_001))),
        ("/remarks", json!("bay\u{7}2")),
        ("/prices/currency", json!("euro")),
        ("/prices/lines/0/unit_price", json!("-5.00")),
        ("/prices/lines/0/quantity", json!("007")),
        ("/photographs/0/subject", json!({"of": "vin", "corner": "front_left"})),
        ("/corners/rear_left/seen/inner_face/seen/defects/0/place/hour", json!(13)),
        ("/questions", json!(vec![document()["questions"][0].clone(); 201])),
    ] {
        assert!(crate::sample::read(&with(pointer, value.clone())).is_err(), "the door lets {pointer} {value} pass");
        assert!(!validator.is_valid(&with(pointer, value.clone())), "the schema lets {pointer} {value} pass");
    }
}

#[test]
fn an_unknown_field_is_refused_by_the_schema() {
    let mut unknown = document();
    unknown["car"]["colour"] = json!("green");
    assert!(!validator().is_valid(&unknown));
}

#[test]
fn a_note_may_have_lines() {
    assert!(validator().is_valid(&with("/remarks", json!("one\ntwo"))));
}
