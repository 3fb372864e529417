//! The JSON Schema, judged by a validator that is not ours.

use crate::sample::{document, with};
use jsonschema::Validator;
use serde_json::json;

fn validator() -> Validator {
    jsonschema::draft202012::new(&model::inspection_schema()).unwrap()
}

#[test]
fn both_schemas_are_valid_schemas_of_the_draft() {
    for schema in [model::inspection_schema(), model::record_schema()] {
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert!(jsonschema::draft202012::meta::is_valid(&schema));
    }
}

#[test]
fn the_sample_is_valid() {
    let faults: Vec<_> = validator().iter_errors(&document()).map(|fault| fault.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
}

#[test]
fn what_the_door_refuses_and_a_schema_can_say_the_schema_refuses_too() {
    let validator = validator();
    for (pointer, value) in [
        ("/schema", json!("rimside.inspection/9")),
        ("/car/vin", json!("00CRV2TS0SM00O417")),
        ("/car/brakes/front/discs/left/minimum_mass_g", json!(-5.0)),
        ("/car/brakes/rear/tyre/rim_in", json!(99)),
        ("/readings/0/unit", json!("stone")),
        ("/readings/0/points", json!([])),
        ("/readings/0/uncertainty", json!(0.0)),
        ("/id", json!("Two Words")),
        ("/place", json!("")),
        ("/remarks", json!("x".repeat(8_001))),
        ("/prices/currency", json!("euro")),
        ("/corners/rear_left/seen/inner_face/seen/defects/0/place/hour", json!(13)),
    ] {
        assert!(crate::sample::read(&with(pointer, value.clone())).is_err(), "the door lets {pointer} pass");
        assert!(!validator.is_valid(&with(pointer, value)), "the schema lets {pointer} pass");
    }
}

#[test]
fn an_unknown_field_is_refused_by_the_schema() {
    let mut unknown = document();
    unknown["car"]["colour"] = json!("green");
    assert!(!validator().is_valid(&unknown));
}
