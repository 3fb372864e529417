//! Random damage to a whole inspection and a whole record: the door refuses or reads, and never falls over.

use std::sync::LazyLock;

use crate::sample::{document, record};
use jsonschema::Validator;
use model::{Inspection, ParseError, Record, canonical_json, parse_canonical_record, parse_inspection, parse_record};
use proptest::{prelude::*, sample::Index};
use serde_json::{Value, json};

/// One way to spoil a document at one of its values.
#[derive(Debug, Clone)]
enum Damage {
    /// Another value in its place.
    Replace(Value),
    /// The value of another place in its place.
    Copy(Index),
    /// The value is gone.
    Remove,
    /// The value stands twice, where it stands in a list.
    Repeat,
    /// A field that nobody knows, where it is an object.
    Extend,
}

fn damage() -> impl Strategy<Value = Damage> {
    let values = [
        json!(null),
        json!(true),
        json!(0),
        json!(-1),
        json!(1),
        json!(13),
        json!(2.5),
        json!(-0.0),
        json!(1e300),
        json!(5e-324),
        json!(u64::MAX),
        json!(""),
        json!(" "),
        json!("x"),
        json!("é\u{301}"),
        json!("bell\u{7}"),
        json!("tag\u{E0041}"),
        json!("two\nlines"),
        json!("crack"),
        json!("front_left"),
        json!("mm"),
        json!("1.50"),
        json!("01"),
        json!("2026-11-24T09:10:00Z"),
        json!("2024-02-29"),
        json!("x".repeat(9_000)),
        json!([]),
        json!({}),
        json!({"seen": null}),
        json!({"not_inspected": "out of reach"}),
    ];
    prop_oneof![
        4 => prop::sample::select(values.to_vec()).prop_map(Damage::Replace),
        3 => any::<Index>().prop_map(Damage::Copy),
        1 => Just(Damage::Remove),
        1 => Just(Damage::Repeat),
        1 => Just(Damage::Extend),
    ]
}

/// The pointers to every value inside.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut inside = |key: String, child: &Value| {
        let pointer = format!("{at}/{key}");
        pointers(child, &pointer, found);
        found.push(pointer);
    };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, child)| inside(key.clone(), child)),
        Value::Array(items) => items.iter().enumerate().for_each(|(at, child)| inside(at.to_string(), child)),
        _ => {}
    }
}

fn spoil(document: &mut Value, place: Index, damage: Damage) {
    let mut all = Vec::new();
    pointers(document, "", &mut all);
    let Some(pointer) = all.get(place.index(all.len().max(1))).cloned() else { return };
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    match damage {
        Damage::Replace(value) => *document.pointer_mut(&pointer).unwrap() = value,
        Damage::Copy(from) => {
            let value = document.pointer(&all[from.index(all.len())]).unwrap().clone();
            *document.pointer_mut(&pointer).unwrap() = value;
        }
        Damage::Remove => match document.pointer_mut(parent).unwrap() {
            Value::Array(items) => drop(items.remove(key.parse().unwrap())),
            Value::Object(fields) => drop(fields.remove(key)),
            _ => unreachable!("what has a parent stands in a list or an object"),
        },
        Damage::Repeat => {
            if let Value::Array(items) = document.pointer_mut(parent).unwrap() {
                items.push(items[key.parse::<usize>().unwrap()].clone());
            }
        }
        Damage::Extend => {
            if let Value::Object(fields) = document.pointer_mut(&pointer).unwrap() {
                fields.insert("unheard_of".to_owned(), json!(1));
            }
        }
    }
}

static INSPECTIONS: LazyLock<Validator> = LazyLock::new(crate::schema::validator);
static RECORDS: LazyLock<Validator> = LazyLock::new(crate::schema::record_validator);

/// What no schema says: days and times beyond their format, which a validator need not check; check digits; a whole
/// number written `2.0`; characters beyond the basic plane; how deep evidence is nested.
fn is_beyond_a_schema(field: &str, message: &str) -> bool {
    let time = ["_at", "_on", ".on", "dated", "valid_until", "first_registered"];
    time.iter().any(|end| field.ends_with(end))
        || ["check digit", "floating point", "U+E0041"].iter().any(|words| message.contains(words))
}

fn judge<T>(parsed: &Result<T, ParseError>, validator: &Validator, spoilt: &Value) -> Result<(), TestCaseError> {
    match parsed {
        Ok(_) => {
            let faults: Vec<_> =
                validator.iter_errors(spoilt).map(|fault| format!("{} {fault}", fault.instance_path())).collect();
            prop_assert!(faults.is_empty(), "the door lets pass what the schema refuses: {faults:?}");
        }
        Err(ParseError::Field(problem)) => {
            prop_assert!(!problem.field.is_empty() && !problem.message.is_empty());
            let is_said = !validator.is_valid(spoilt) || is_beyond_a_schema(&problem.field, &problem.message);
            prop_assert!(is_said, "the schema lets pass what the door refuses: {problem}");
        }
        Err(ParseError::Contradictions(problems)) => prop_assert!(!problems.is_empty()),
        Err(other) => prop_assert!(false, "{other}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn spoilt_bytes_are_read_or_refused(
        places in prop::collection::vec((any::<Index>(), any::<u8>()), 1..6),
        cut in prop::option::of(any::<Index>()),
    ) {
        let mut bytes = document().to_string().into_bytes();
        for (place, byte) in places {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Ok(inspection) = parse_inspection(&bytes) {
            // What was let in has one canonical form, which reads back as the same.
            let canonical = canonical_json(&inspection).unwrap();
            prop_assert_eq!(parse_inspection(&canonical).unwrap(), inspection);
        }
    }

    #[test]
    fn what_the_door_lets_in_the_schema_lets_in_and_it_comes_back_to_the_byte(
        damages in prop::collection::vec((any::<Index>(), damage()), 1..4),
    ) {
        let mut spoilt = document();
        for (place, damage) in damages {
            spoil(&mut spoilt, place, damage);
        }
        let parsed: Result<Inspection, _> = parse_inspection(spoilt.to_string().as_bytes());
        judge(&parsed, &INSPECTIONS, &spoilt)?;
        if let Ok(inspection) = parsed {
            let canonical = canonical_json(&inspection).unwrap();
            let again = parse_inspection(&canonical).unwrap();
            prop_assert_eq!(canonical_json(&again).unwrap(), canonical);
        }
    }

    #[test]
    fn a_spoilt_record_is_read_or_refused_and_its_canonical_form_is_canonical(
        damages in prop::collection::vec((any::<Index>(), damage()), 1..3),
    ) {
        let mut spoilt = record();
        for (place, damage) in damages {
            spoil(&mut spoilt, place, damage);
        }
        let parsed: Result<Record, _> = parse_record(spoilt.to_string().as_bytes());
        judge(&parsed, &RECORDS, &spoilt)?;
        if let Ok(record) = parsed {
            let canonical = record.canonical_bytes().unwrap();
            prop_assert_eq!(parse_canonical_record(&canonical), Ok(record));
        }
    }
}
