//! What the recordings say beside what was felt.

use model::{Evidence, Sentence};
use serde_json::{Value, json};

use crate::sample::reckon;

const FELT: &str = "/road_test/seen/steps/1/felt";
const TOLD: &str = "/road_test/seen/steps/1/anti_lock";
const RECORDED: &str = "/road_test/seen/drives/0/brakings/1/anti_lock";
const ORDERS: &str = "/road_test/seen/drives/0/pulsation/orders";

fn why(changes: &[(&str, Value)], words: &str) -> Option<Sentence> {
    reckon(changes).answer.why.into_iter().find(|sentence| sentence.text.contains(words))
}

fn braking(worked: bool) -> Value {
    json!({"worked": worked, "modulation_m_per_s2": 0.3, "threshold_m_per_s2": 0.32, "adhesion": null})
}

/// Both the step and the drive.
fn both() -> [Evidence; 2] {
    [Evidence::RoadTestStep { index: 1 }, Evidence::Drive { index: 0 }]
}

#[test]
fn the_anti_lock_as_felt_stands_beside_the_anti_lock_as_recorded() {
    let worked = "it was not recorded, or it was felt wrongly";
    let unreached = "told not to have been reached; a recorded braking shows it at work";
    let agreed = "That the anti-lock worked was felt and is recorded";
    for (told, recorded, expected) in [
        (json!("worked"), braking(false), Some(worked)),
        (json!("worked"), braking(true), Some(agreed)),
        // No braking was of a kind that could have shown it.
        (json!("worked"), json!(null), None),
        (json!("not_reached"), braking(true), Some(unreached)),
        (json!("not_reached"), braking(false), None),
        (json!("not_told"), braking(true), None),
        (json!(null), braking(true), None),
        (json!(null), braking(false), None),
    ] {
        let changes = [(TOLD, told.clone()), (RECORDED, recorded.clone())];
        for words in [worked, unreached, agreed] {
            let said = why(&changes, words);
            assert_eq!(said.is_some(), expected == Some(words), "{told} and {recorded}: {words}");
            assert!(said.is_none_or(|said| said.evidence == both()), "{told} and {recorded}");
        }
    }
    // One step felt it, another did not reach it: it was felt.
    let first = "/road_test/seen/steps/0/anti_lock";
    let changes = [(first, json!("worked")), (TOLD, json!("not_reached")), (RECORDED, braking(true))];
    assert!(why(&changes, agreed).is_some() && why(&changes, unreached).is_none());
}

fn order(number: u32, chance_of_noise: f64) -> Value {
    json!({"order": number, "braking_m_per_s2": 0.6, "uncertainty_m_per_s2": 0.01, "phase_deg": 11.0,
        "coasting_m_per_s2": 0.01, "floor_m_per_s2": 0.03, "chance_of_noise": chance_of_noise})
}

#[test]
fn a_pulsing_as_felt_stands_beside_one_as_recorded() {
    let alone = "A pulsing was felt; the recordings show none";
    let unfelt = "that nobody felt";
    let agreed = "The pulsing that was felt is recorded too";
    let (none, third) = (json!([order(1, 0.9), order(2, 0.9)]), json!([order(3, 0.0)]));
    let (first, second) = (json!([order(1, 0.0)]), json!([order(2, 0.0)]));
    for (felt, orders, expected) in [
        (json!(["pulsing_pedal"]), &first, Some(agreed)),
        (json!(["shaking_wheel"]), &second, Some(agreed)),
        (json!(["pulsing_pedal"]), &none, Some(alone)),
        // Three times a turn is no disc's thickness.
        (json!(["shaking_wheel"]), &third, Some(alone)),
        (json!([]), &first, Some(unfelt)),
        (json!(["weak_bite"]), &second, Some(unfelt)),
        (json!([]), &none, None),
        (json!([]), &third, None),
    ] {
        let changes = [(FELT, felt.clone()), (ORDERS, orders.clone())];
        for words in [alone, unfelt, agreed] {
            assert_eq!(why(&changes, words).is_some(), expected == Some(words), "{felt} and {orders}: {words}");
        }
    }
    // Where nothing was looked for in a recording, nothing is said of it.
    let unlooked = [("/road_test/seen/drives/0/pulsation", json!(null)), (FELT, json!(["pulsing_pedal"]))];
    assert!(why(&unlooked, "A pulsing was felt").is_none());
    let said = why(&[], agreed).unwrap();
    assert_eq!(said.evidence, both());
}

#[test]
fn without_recordings_nothing_is_said_of_any() {
    let mut test = model::sample::inspection_document()["road_test"]["seen"].clone();
    test.as_object_mut().unwrap().remove("drives");
    test["steps"][1]["anti_lock"] = json!("worked");
    test["steps"][1]["recordings"] = json!([]);
    let changes = [("/road_test/seen", test)];
    for words in ["recorded", "recordings"] {
        assert!(why(&changes, words).is_none(), "{words}");
    }
}

#[test]
fn what_limits_a_recording_limits_the_answer() {
    let limit = "the microphone was overdriven";
    let reckoning = reckon(&[("/road_test/seen/drives/0/limits", json!([limit]))]);
    let said = reckoning.answer.limits.iter().find(|sentence| sentence.text.contains(limit)).unwrap();
    assert_eq!(said.text, "Of the recorded drive: the microphone was overdriven.");
    assert_eq!(said.evidence, [Evidence::Drive { index: 0 }]);
    assert!(!reckon(&[]).answer.limits.iter().any(|sentence| sentence.text.contains("Of the recorded drive")));
}
