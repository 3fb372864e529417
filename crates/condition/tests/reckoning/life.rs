//! How far discs and pads go.

use model::{Life, LifeBasis, LifeLeft, Reckoning};
use serde_json::{Value, json};

use crate::sample::{near, reading, reckon};

/// A car whose rear right corner is in order, with no earlier visit.
fn in_order(changes: &[(&str, Value)]) -> Reckoning {
    let seen = |part: &str| {
        json!({"seen": {"seen": "wheel_off", "touch": null, "fibre_pattern": null, "colour": null,
        "defects": [], "note": part}})
    };
    let pad = json!({"seen": {"lead": "intact", "taper_mm": 0.1, "glazed": false, "crumbling": false, "note": null}});
    let mut all = vec![
        ("/car/prior_visits", json!([])),
        ("/corners/rear_right/seen/outer_face", seen("outer")),
        ("/corners/rear_right/seen/inner_face", seen("inner")),
        (
            "/corners/rear_right/seen/bell",
            json!({"seen": {"finish": "even",
            "fixings": {"missing_or_loose": 0, "corroded": false}, "note": null}}),
        ),
        ("/corners/rear_right/seen/outer_pad", pad.clone()),
        ("/corners/rear_right/seen/inner_pad", pad),
        ("/corners/rear_right/seen/calliper", json!({"seen": {"state": "free", "note": null}})),
    ];
    all.extend(changes.iter().cloned());
    reckon(&all)
}

fn only_mass(kilograms: f64) -> Value {
    let mut mass = model::sample::inspection_document()["readings"][0].clone();
    assert_eq!(mass["id"], "rear-right-mass");
    mass["points"][0]["value"] = json!(kilograms);
    json!([mass])
}

fn bases(life: &Life) -> &[LifeLeft] {
    match life {
        Life::Reckoned(bases) => bases,
        Life::NotReckoned(why) => panic!("{why}"),
    }
}

#[test]
fn without_visits_the_rule_of_thumb_and_the_paper_stand_side_by_side() {
    // Mass 5361 g is half of the allowance of 130 g: by 45 000 miles 36 210 km are left in the middle, by the paper's
    // 300 000 km at most 150 000 km (check-values: both rules; the halves computed).
    let reckoning = in_order(&[("/readings", only_mass(5.361))]);
    let disc = bases(&reckoning.corners.rear_right.life.disc);
    assert_eq!(disc.iter().map(|left| left.basis).collect::<Vec<_>>(), [LifeBasis::RuleOfThumb, LifeBasis::Paper]);
    near(disc[0].km[2], 36_210.0, 300.0);
    near(disc[1].km[2], 150_000.0, 300.0);
    for left in disc {
        assert!(left.km.is_sorted() && left.km[0] < left.km[4], "{:?}", left.km);
    }
    let said: String = reckoning.answer.why.iter().map(|said| said.text.clone() + "\n").collect();
    assert!(said.contains("by a rule of thumb about 36\u{202F}000 km"), "{said}");
    assert!(said.contains("by a published figure at most about 150\u{202F}000 km"), "{said}");
}

#[test]
fn what_ends_next_is_named_beside_the_money() {
    let money = |readings: Value| in_order(&[("/readings", readings)]).answer.lead.pop().unwrap().text;
    let disc = money(only_mass(5.361));
    assert!(
        disc.contains("Next to reach its end, by a rule of thumb: the rear right disc, in about 36\u{202F}000 km"),
        "{disc}"
    );
    // Linings of 4 mm, with 1 mm to their mark, end before.
    let document = model::sample::inspection_document();
    let mut readings = only_mass(5.361);
    for reading in document["readings"].as_array().unwrap().iter().filter(|one| one["of"]["kind"] == "lining") {
        let mut thin = reading.clone();
        thin["points"].as_array_mut().unwrap().iter_mut().for_each(|point| point["value"] = json!(4.0));
        readings.as_array_mut().unwrap().push(thin);
    }
    let pads = money(readings);
    assert!(pads.contains("Next to reach its end, by a rule of thumb: the rear right pads, in about "), "{pads}");
    // A disc at its end does not reach it next.
    assert!(!money(only_mass(5.290)).contains("rear right disc, in about"));
}

#[test]
fn with_visits_the_car_s_own_rate_counts() {
    // 20 000 km ago the disc weighed 5387 g (0.3 used), now 5361 g (0.5): 0.01 in 1 000 km, and so 50 000 km for the rest.
    let visit = |grams: f64| {
        json!([{"on": "2024-11-19", "odometer": {"figure": 21380, "unit": "km"}, "record": null, "faces": [], "readings": [{
            "id": "then", "of": {"kind": "disc_mass", "corner": "rear_right"}, "unit": "g",
            "points": [{"at": "whole", "value": grams}], "uncertainty": 0.5,
            "instrument": {"name": "scale", "serial": null, "calibrated_on": null}, "taken_at": "2024-11-19T10:00:00+01:00"}]}])
    };
    let mut now = only_mass(5.361);
    now[0]["uncertainty"] = json!(0.0005);
    let reckoning = in_order(&[("/readings", now.clone()), ("/car/prior_visits", visit(5_387.0))]);
    let disc = bases(&reckoning.corners.rear_right.life.disc);
    assert_eq!(disc.len(), 1);
    assert_eq!(disc[0].basis, LifeBasis::OwnVisits);
    near(disc[0].km[2], 50_000.0, 500.0);
    // What the distance rests on is said, visit by visit.
    let told = &disc[0].because.parts[0];
    assert!(
        told.text.contains("a straight line through today and 1 earlier visit gives 10.0 ± 0.3 % of the way"),
        "{}",
        told.text
    );
    assert_eq!(told.parts[0].text, "On 2024-11-19 at 21\u{202F}000 km: 30.0 ± 0.4 %.");
    // By first order (JCGM 100:2008, 5.1.2): 0.5/s, s = (0.5 − 0.3)/20 000 km. Each mass is ± 0.5 g, and of the half gram
    // of the new mass 0.5 and 0.7 of 0.5/√3 count: ± 0.00400 now and ± 0.00415 then, of 130 g. −350 000 km and
    // +250 000 km a unit: ± 1 743 km, 1.645 of which lie on either side of nine cases in ten.
    near(disc[0].km[0], 50_000.0 - 2_867.0, 350.0);
    near(disc[0].km[4], 50_000.0 + 2_867.0, 350.0);
    // Whoever checks the record draws the same, to the last bit.
    let drawn = [
        47_250.096_155_661_915,
        48_844.110_549_197_31,
        49_990.692_593_067_85,
        51_201.865_947_459_49,
        53_005.029_881_582_97,
    ];
    assert_eq!(disc[0].km.map(f64::to_bits), drawn.map(f64::to_bits), "{:?}", disc[0].km);
    // Faster wear leaves less.
    let faster = in_order(&[("/readings", now.clone()), ("/car/prior_visits", visit(5_400.0))]);
    assert!(bases(&faster.corners.rear_right.life.disc)[0].km[2] < disc[0].km[2]);
    // A disc that was replaced since has no rate of its own.
    let replaced = json!([{"corner": "rear_right", "serial": null, "at_km": 30000.0, "origin": "invoice"}]);
    let other =
        in_order(&[("/readings", now), ("/car/prior_visits", visit(5_387.0)), ("/car/discs_replaced", replaced)]);
    assert_eq!(bases(&other.corners.rear_right.life.disc)[0].basis, LifeBasis::RuleOfThumb);
}

#[test]
fn visits_close_together_tell_no_rate() {
    let basis = |figure: u32| {
        let mass = &only_mass(5.387)[0];
        let mut then = mass.clone();
        then["taken_at"] = json!("2026-11-17T10:00:00+01:00");
        let visits = json!([{"on": "2026-11-17", "odometer": {"figure": figure, "unit": "km"}, "record": null,
            "faces": [], "readings": [then]}]);
        let reckoning = in_order(&[("/readings", only_mass(5.361)), ("/car/prior_visits", visits)]);
        bases(&reckoning.corners.rear_right.life.disc)[0].basis
    };
    // The car has run 41 380 km; 500 km are enough.
    assert_eq!((basis(40_880), basis(40_881)), (LifeBasis::OwnVisits, LifeBasis::RuleOfThumb));
}

#[test]
fn each_lining_and_each_face_has_its_own_rate() {
    let document = model::sample::inspection_document();
    let readings = document["readings"].as_array().unwrap();
    let linings: Vec<_> = readings.iter().filter(|one| one["of"]["kind"] == "lining").cloned().collect();
    // The outer lining had 7.2 mm and has 6.2, the inner one had 9.0 and has 5.0: of 8 mm, 12 % and 50 % in 20 000 km.
    let then: Vec<_> = linings
        .iter()
        .map(|lining| {
            let mut then = lining.clone();
            let millimetres = if lining["of"]["pad"] == "outer" { 7.2 } else { 9.0 };
            then["id"] = json!(format!("{}-then", lining["id"].as_str().unwrap()));
            then["taken_at"] = json!("2024-11-19T10:00:00+01:00");
            then["points"] = json!([{"at": "middle", "value": millimetres}]);
            then
        })
        .collect();
    let face = |name: &str, touch: &str, pattern: &str| {
        json!({"corner": "rear_right", "face": name, "seen": "wheel_off", "touch": touch, "fibre_pattern": pattern,
            "colour": null})
    };
    // 20 000 km ago the outer face was as new and the inner one as it is now.
    let faces = json!([face("outer", "slick", "faint"), face("inner", "slightly_rough", "clear")]);
    let visits = json!([{"on": "2024-11-19", "odometer": {"figure": 21380, "unit": "km"}, "record": null, "faces": faces,
        "readings": then}]);
    let seen = json!({"seen": {"seen": "wheel_off", "touch": "slightly_rough", "fibre_pattern": "clear",
        "colour": null, "defects": [], "note": null}});
    let life = in_order(&[
        ("/readings", json!(linings)),
        ("/car/prior_visits", visits),
        ("/corners/rear_right/seen/outer_face", seen.clone()),
        ("/corners/rear_right/seen/inner_face", seen),
    ])
    .corners
    .rear_right
    .life;
    let lines =
        |life: &Life| -> Vec<String> { bases(life)[0].because.parts.iter().map(|one| one.text.clone()).collect() };
    let pads = lines(&life.pads);
    assert!(pads[0].starts_with("Of the outer lining,") && pads[0].contains("gives 6 ± "), "{pads:?}");
    assert!(pads[1].starts_with("Of the inner lining,") && pads[1].contains("gives 25 ± "), "{pads:?}");
    let then = |life: &Life| -> Vec<String> {
        bases(life)[0].because.parts.iter().map(|one| one.parts[0].text.clone()).collect()
    };
    let faces = then(&life.disc);
    assert_ne!(faces[0], faces[1], "each against its own");
    let today = lines(&life.disc);
    let flat = today.iter().find(|one| one.starts_with("Of its inner face")).unwrap();
    assert!(flat.contains("gives 0 ± ") || flat.contains("gives -0 ± "), "{flat}");
}

#[test]
fn what_is_at_its_mark_goes_nowhere() {
    let reckoning = in_order(&[("/readings", only_mass(5.290))]);
    let disc = bases(&reckoning.corners.rear_right.life.disc);
    assert!(disc[0].km[2] < 1e-9, "{:?}", disc[0].km);
    let ends = disc[0].ends.unwrap();
    assert_eq!(ends.middle_on.to_string(), "2026-11-24", "the day of the visit");
}

#[test]
fn the_day_follows_the_yearly_distance() {
    let ahead = json!({"yearly": {"figure": 18105, "unit": "km"}, "years": 3, "asking_price": null});
    let reckoning = in_order(&[("/readings", only_mass(5.361)), ("/use_ahead", ahead)]);
    let left = &bases(&reckoning.corners.rear_right.life.disc)[0];
    // 36 210 km at 18 105 km a year are two years: 2028-11-23 or a day or two beside it.
    let days = (left.ends.unwrap().middle_on - "2028-11-23".parse::<model::Day>().unwrap()).num_days();
    assert!(days.abs() <= 8, "{days}");
}

#[test]
fn without_a_distance_ahead_the_day_follows_the_car_s_own() {
    let middle = |first_registered: Value| {
        let reckoning = in_order(&[
            ("/readings", only_mass(5.361)),
            ("/use_ahead", json!(null)),
            ("/car/first_registered", first_registered),
        ]);
        bases(&reckoning.corners.rear_right.life.disc)[0].ends.map(|ends| ends.middle_on)
    };
    // 41 380 km in the 1 351 days since then are 11 187 km a year: 36 210 km take 3.237 years, 1 182 days.
    let days = (middle(json!("2023-03-14")).unwrap() - "2026-11-24".parse::<model::Day>().unwrap()).num_days();
    assert!((days - 1_182).abs() <= 10, "{days}");
    // Half a year says how a car is driven, less does not, and neither does a car that nobody registered.
    assert!(middle(json!("2026-05-28")).is_some());
    assert_eq!(middle(json!("2026-05-29")), None);
    assert_eq!(middle(json!(null)), None);
}

#[test]
fn linings_that_have_grown_since_are_other_linings() {
    let document = model::sample::inspection_document();
    let now: Vec<_> =
        document["readings"].as_array().unwrap().iter().filter(|one| one["of"]["kind"] == "lining").cloned().collect();
    let then = |millimetres: f64| {
        let mut readings = now.clone();
        for reading in &mut readings {
            reading["id"] = json!(format!("{}-then", reading["id"].as_str().unwrap()));
            reading["taken_at"] = json!("2024-11-19T10:00:00+01:00");
            reading["points"].as_array_mut().unwrap().iter_mut().for_each(|one| one["value"] = json!(millimetres));
        }
        json!([{"on": "2024-11-19", "odometer": {"figure": 21380, "unit": "km"}, "record": null, "faces": [],
            "readings": readings}])
    };
    let basis = |millimetres: f64| {
        let reckoning = in_order(&[("/readings", json!(now)), ("/car/prior_visits", then(millimetres))]);
        bases(&reckoning.corners.rear_right.life.pads)[0].basis
    };
    // Of 11 mm when new they had more than they have now: the same set, by its own rate.
    assert_eq!(basis(10.5), LifeBasis::OwnVisits);
    // They had 4 mm, which is less than now: another set was fitted since.
    assert_eq!(basis(4.0), LifeBasis::RuleOfThumb);
}

#[test]
fn a_disc_hardly_worn_outlives_its_present_pads_and_a_spent_one_does_not() {
    let lining = reading("rear-right-inner-lining", "");
    let lining = model::sample::inspection_document().pointer(&lining).unwrap().clone();
    let chance = |kilograms: f64| {
        let mut readings = only_mass(kilograms);
        readings.as_array_mut().unwrap().push(lining.clone());
        let reckoning = in_order(&[("/readings", readings)]);
        reckoning.corners.rear_right.life.disc_outlives_pads[0].chance
    };
    assert!(chance(5.420) > 0.99);
    assert!(chance(5.296) < 0.01);
}
