//! The sample inspection, changed here and there.

use model::{DriveWarning, Inspection, Reckoning, parse_inspection, sample::inspection_document};
use serde_json::Value;

/// Where the photograph of the rear left inner face has what was measured in it.
pub const MEASURED: &str = "/photographs/4/measured";

/// The sample with the values at these JSON pointers replaced. What was measured in a photograph is not there unless it is
/// put there: what is worked by hand rests on the eye alone.
#[track_caller]
pub fn inspection(changes: &[(&str, Value)]) -> Inspection {
    let mut document = inspection_document();
    let photograph = document["photographs"][4].as_object_mut().unwrap();
    photograph.remove("measured").expect("the sample has a measured face");
    for (pointer, value) in changes {
        if *pointer == MEASURED {
            document["photographs"][4]["measured"] = value.clone();
            continue;
        }
        *document.pointer_mut(pointer).unwrap_or_else(|| panic!("the sample has no {pointer}")) = value.clone();
    }
    parse_inspection(document.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}"))
}

/// What the changed sample comes to.
#[track_caller]
pub fn reckon(changes: &[(&str, Value)]) -> Reckoning {
    condition::reckon(&inspection(changes))
}

/// The place of a reading in the sample's list, as a JSON pointer with this ending.
#[track_caller]
pub fn reading(id: &str, ending: &str) -> String {
    let document = inspection_document();
    let at = document["readings"].as_array().unwrap().iter().position(|reading| reading["id"] == id).unwrap();
    format!("/readings/{at}{ending}")
}

/// The sample's readings, and this one of them once more at another corner, changed there.
#[track_caller]
pub fn also_at(id: &str, corner: &str, change: impl FnOnce(&mut Value)) -> Value {
    let mut readings = inspection_document()["readings"].clone();
    let mut other = readings.as_array().unwrap().iter().find(|one| one["id"] == id).unwrap().clone();
    other["id"] = Value::from(format!("{id}-also"));
    other["of"]["corner"] = Value::from(corner);
    change(&mut other);
    readings.as_array_mut().unwrap().push(other);
    readings
}

/// The warning that says this.
pub fn find_warning<'a>(reckoning: &'a Reckoning, words: &str) -> Option<&'a DriveWarning> {
    reckoning.drive_warnings.iter().find(|warning| warning.text.contains(words))
}

/// Asserts that two figures agree.
#[track_caller]
pub fn near(got: f64, expected: f64, by: f64) {
    assert!((got - expected).abs() <= by, "got {got}, expected {expected}");
}
