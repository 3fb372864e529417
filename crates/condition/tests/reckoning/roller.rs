//! The roller tester: forces, what they come to, and what they warn of.

use model::Reckoning;
use serde_json::{Value, json};

use crate::sample::{also_at, find_warning, near, reading, reckon};

fn force(corner: &str) -> String {
    reading(&format!("{corner}-force"), "/points/0/value")
}

/// The sample with these forces in newtons: front left and right, rear left and right.
fn forces(newtons: [f64; 4], besides: &[(&str, Value)]) -> Reckoning {
    let places = ["front-left", "front-right", "rear-left", "rear-right"].map(force);
    let mut changes: Vec<_> = places.iter().zip(newtons).map(|(place, force)| (place.as_str(), json!(force))).collect();
    changes.extend(besides.iter().cloned());
    reckon(&changes)
}

#[track_caller]
fn measured(reckoning: &Reckoning, words: &str, value: f64, uncertainty: f64) {
    let found = reckoning.measured.iter().find(|one| one.what.starts_with(words)).expect(words);
    assert_eq!(found.unit, "%");
    near(found.value.value, value, 1e-5);
    near(found.value.uncertainty, uncertainty, 1e-5);
}

#[test]
fn forces_come_to_what_a_calculator_says() {
    let reckoning = reckon(&[]);
    // 3450 N and 3400 N, each ± 60: 50/3450; √(60² + (3400/3450 · 60)²)/3450. Rear 2450 and 2520.
    measured(&reckoning, "Imbalance of the front axle", 1.449_275, 2.441_746);
    measured(&reckoning, "Imbalance of the rear axle", 2.777_778, 3.320_738);
    // 11 820 N of 1495 kg · 9.81 m/s²; √((120/14 665.95)² + (3 % of it)²).
    measured(&reckoning, "Service brake efficiency", 80.594_847, 2.552_541);
    measured(&reckoning, "Service brake force of the front axle", 46.706_828, 1.515_955);
    measured(&reckoning, "Service brake force of the rear axle", 33.888_020, 1.169_736);
    // The parking brake was measured at one wheel only.
    assert!(!reckoning.measured.iter().any(|one| one.what.contains("Parking")));
}

#[test]
fn the_weaker_wheel_s_uncertainty_counts_in_full() {
    let of = |corner: &str| reading(&format!("{corner}-force"), "/uncertainty");
    let (left, right) = (of("front-left"), of("front-right"));
    // The right wheel is the weaker: √(90² + (3400/3450 · 30)²)/3450.
    let reckoning = reckon(&[(&left, json!(30.0)), (&right, json!(90.0))]);
    measured(&reckoning, "Imbalance of the front axle", 1.449_275, 2.745_847);
    // And here the left: √(30² + (3400/3450 · 90)²)/3450.
    let (left_n, right_n) = (force("front-left"), force("front-right"));
    let changes =
        [(&*left, json!(30.0)), (&*right, json!(90.0)), (&*left_n, json!(3400.0)), (&*right_n, json!(3450.0))];
    measured(&reckon(&changes), "Imbalance of the front axle", 1.449_275, 2.713_966);
}

#[test]
fn a_wheel_that_pulls_with_less_than_seventy_per_cent_is_warned_of() {
    // Directive 2010/48/EU (read in quotation): 2415 N is 70 % of 3450 N.
    assert!(find_warning(&forces([3450.0, 2415.0, 2450.0, 2520.0], &[]), "uneven").is_none());
    let right = forces([3450.0, 2414.0, 2450.0, 2520.0], &[]);
    let warning = find_warning(&right, "uneven").unwrap();
    assert!(warning.text.contains("the front right wheel pulls with less than 70 %"), "{}", warning.text);
    assert!(!warning.do_not_drive);
    let left = forces([3450.0, 3400.0, 1000.0, 2520.0], &[]);
    let warning = find_warning(&left, "The rear axle's brakes are uneven by 60.3 %").unwrap();
    assert!(warning.text.contains("the rear left wheel"), "{}", warning.text);
}

#[test]
fn too_little_braking_for_the_car_s_age_forbids_to_drive() {
    // Directive 2014/45/EU, Annex I (not checked at the source): 58 % of 14 665.95 N is 8506.25 N, 50 % is 7332.98 N.
    let asked = |sum: f64, registered: Value| {
        let reckoning = forces([2100.0, 2100.0, 2100.0, sum - 6300.0], &[("/car/first_registered", registered)]);
        let warning = find_warning(&reckoning, "braking efficiency at 1495 kg").cloned();
        assert!(warning.as_ref().is_none_or(|warning| warning.do_not_drive));
        warning.is_some()
    };
    let newer = || json!("2012-01-01");
    assert!(asked(8506.0, newer()));
    assert!(!asked(8507.0, newer()));
    for older in [json!("2011-12-31"), json!(null)] {
        assert!(!asked(8506.0, older.clone()));
        assert!(!asked(7333.0, older.clone()));
        assert!(asked(7332.0, older));
    }
}

#[test]
fn a_weak_parking_brake_is_warned_of_where_both_its_wheels_were_measured() {
    let with_left = |newtons: f64| {
        let change = |left: &mut Value| left["points"][0]["value"] = json!(newtons);
        reckon(&[("/readings", also_at("rear-right-parking-force", "rear_left", change))])
    };
    // 1250 + 1200 N of 14 665.95 N.
    measured(&with_left(1200.0), "Parking brake efficiency", 16.705_362, 0.765_437);
    // 16 % are 2346.55 N.
    assert!(find_warning(&with_left(1097.0), "for the parking brake").is_none());
    let weak = with_left(1096.0);
    assert!(!find_warning(&weak, "for the parking brake, under the 16 %").unwrap().do_not_drive);
}

#[test]
fn the_last_reading_of_a_wheel_counts_with_its_greatest_force() {
    let again = |taken_at: &str| {
        let change = |second: &mut Value| {
            second["taken_at"] = json!(taken_at);
            second["points"] = json!([{"at": "cold", "value": 1700.0}, {"at": "warm", "value": 3400.0}]);
        };
        reckon(&[("/readings", also_at("front-left-force", "front_left", change))])
    };
    // 3400 N on both sides.
    measured(&again("2026-11-24T11:00:00+01:00"), "Imbalance of the front axle", 0.0, 2.495_665);
    measured(&again("2026-11-24T10:00:00+01:00"), "Imbalance of the front axle", 1.449_275, 2.441_746);
}
