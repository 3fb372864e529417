//! Recordings and measured photographs as evidence.

use model::{Evidence, FaceName, Outcome, Reckoning};
use serde_json::{Value, json};

use crate::sample::{MEASURED, near, reading, reckon};

/// The sample's measured face, changed at these pointers below it.
fn face(changes: &[(&str, Value)]) -> Value {
    let mut face = json!(model::sample::measured_face());
    for (pointer, value) in changes {
        *face.pointer_mut(pointer).unwrap() = value.clone();
    }
    face
}

fn says(reckoning: &Reckoning, words: &str) -> bool {
    reckoning.answer.why.iter().any(|sentence| sentence.text.contains(words))
}

fn photograph() -> Evidence {
    Evidence::Photograph { id: "rear-left-inner-face".parse().unwrap() }
}

#[test]
fn a_photograph_most_like_spent_references_is_one_more_sign() {
    // By hand: abrasive 0.95 ± 0.10, crowded 0.92 ± 0.12, greyed 0.88 ± 0.17, the photograph 0.92 ± 0.14, by inverse
    // variance: 236.277 / 255.066 = 0.926335.
    let reckoning = reckon(&[(MEASURED, face(&[]))]);
    let figure = reckoning.corners.rear_left.inner_face.unwrap();
    near(figure.value, 0.926_335, 5e-6);
    let signs = &figure.because.parts;
    assert_eq!(signs.len(), 4);
    assert_eq!(signs[3].evidence, [photograph()]);
    assert!(signs[3].text.starts_with("photograph most like the spent references"), "{}", signs[3].text);
    assert!(signs[..3].iter().all(|sign| !sign.evidence.contains(&photograph())));
}

#[test]
fn a_photograph_that_says_the_opposite_of_the_eye_widens_the_figure_and_is_named() {
    let reckoning = reckon(&[(MEASURED, face(&[("/proposal/stage", json!("start"))]))]);
    let alone = reckon(&[]).corners.rear_left.inner_face.unwrap();
    let figure = reckoning.corners.rear_left.inner_face.as_ref().unwrap();
    assert!(figure.uncertainty > alone.uncertainty && figure.value < alone.value, "{figure:?}");
    assert!(says(&reckoning, "is its photograph"));
}

#[test]
fn a_photograph_unlike_any_reference_or_too_blurred_is_no_sign() {
    let alone = reckon(&[]).corners.rear_left.inner_face.unwrap().value;
    let unlike = reckon(&[(MEASURED, face(&[("/proposal/stage", Value::Null)]))]);
    near(unlike.corners.rear_left.inner_face.as_ref().unwrap().value, alone, 0.0);
    assert!(says(&unlike, "unlike any of the inspector's 12 references"));
    let blurred = reckon(&[(MEASURED, face(&[("/seen/quality/passes", json!(false))]))]);
    near(blurred.corners.rear_left.inner_face.as_ref().unwrap().value, alone, 0.0);
    let without = reckon(&[(MEASURED, face(&[("/proposal", Value::Null)]))]);
    near(without.corners.rear_left.inner_face.as_ref().unwrap().value, alone, 0.0);
}

#[test]
fn two_faces_are_told_apart_where_their_parts_differ_and_not_else() {
    let mut outer = model::sample::inspection_document()["photographs"][4].clone();
    outer["id"] = json!("rear-left-outer-face");
    outer["subject"]["face"] = json!(FaceName::Outer);
    let with = |outer: &Value| {
        let mut photographs = model::sample::inspection_document()["photographs"].clone();
        photographs.as_array_mut().unwrap().push(outer.clone());
        reckon(&[("/photographs", photographs)])
    };
    let words = "the two faces of the rear left disc differ";
    assert!(says(&with(&outer), &format!("{words} by no more than the parts of one face do")));
    for part in outer["measured"]["seen"]["pattern"]["parts"].as_array_mut().unwrap() {
        for (figure, less) in part.as_array_mut().unwrap().iter_mut().zip([0.2, 0.2, 0.2, 0.05, 0.05, 0.05]) {
            *figure = json!(figure.as_f64().unwrap() - less);
        }
    }
    let apart = with(&outer);
    assert!(says(&apart, &format!("{words} more than the parts of one face do")));
    assert!(says(&apart, "by -20.0 % of the area"), "{:#?}", apart.answer.why);
    assert!(!says(&reckon(&[]), words), "one face alone is not compared");
}

#[test]
fn what_was_recorded_stands_with_its_uncertainty() {
    let reckoning = reckon(&[]);
    let drive = model::sample::drive();
    let find = |words: &str| reckoning.measured.iter().find(|one| one.what.contains(words)).unwrap();
    let mean = find("Mean fully developed deceleration of the hardest recorded stop, from 40 km/h");
    let truth = drive.brakings[1].fully_developed.mean().unwrap();
    near(mean.value.value, truth.value, 0.0);
    near(mean.value.uncertainty, truth.uncertainty, 0.0);
    assert_eq!(mean.limit, None, "a stop on a road is none of a type test");
    near(find("once a turn").value.value, drive.pulsation.as_ref().unwrap().orders[0].braking_m_per_s2, 0.0);
    assert!(!reckoning.measured.iter().any(|one| one.what.contains("three times")), "what is noise is not told");
    assert_eq!(find("Recorded sound").value.because.evidence, [Evidence::Drive { index: 0 }]);
}

#[test]
fn where_hand_and_instrument_differ_both_are_said() {
    let step = "/road_test/seen/steps/1";
    assert!(says(&reckon(&[]), "The pulsing that was felt is recorded too"));
    let unfelt = reckon(&[(&format!("{step}/felt"), json!([]))]);
    assert!(says(&unfelt, "a pulsation with the wheels' turns that nobody felt"));
    let mut drive = json!(model::sample::drive());
    for order in drive["pulsation"]["orders"].as_array_mut().unwrap() {
        order["chance_of_noise"] = json!(0.5);
    }
    let unrecorded = reckon(&[("/road_test/seen/drives", json!([drive]))]);
    assert!(says(&unrecorded, "the recordings show none that stands out of noise"));

    let lock = format!("{step}/anti_lock");
    assert!(says(&reckon(&[(&lock, json!("worked"))]), "no recorded braking shows it"));
    drive["brakings"][1]["anti_lock"] = json!({"worked": true, "modulation_m_per_s2": 1.0, "threshold_m_per_s2": 0.4,
            "adhesion": {"value": 0.9, "uncertainty": 0.03}});
    let worked = |told: &str| reckon(&[("/road_test/seen/drives", json!([drive])), (&lock, json!(told))]);
    assert!(says(&worked("not_reached"), "a recorded braking shows it at work"));
    assert!(says(&worked("worked"), "a tyre reached the limit of its grip"));
}

#[test]
fn what_has_a_limit_is_held_against_it_and_left_open_where_chance_could_turn_it() {
    let outcome = |id: &str, value: f64, of: &str| {
        let reckoning = reckon(&[(&reading(id, "/points/0/value"), json!(value))]);
        let found = reckoning.measured.iter().find(|one| one.what.starts_with(of)).map(|one| one.outcome);
        found.unwrap_or_else(|| panic!("no {of}"))
    };
    // At least 140 °C, the tester sure to 2.5 °C: within 1.96 of that, 4.9 °C, it is open.
    for (celsius, expected) in [
        (100.0, Outcome::Beyond),
        (135.0, Outcome::Beyond),
        (135.2, Outcome::TooClose),
        (140.0, Outcome::TooClose),
        (144.8, Outcome::TooClose),
        (145.0, Outcome::Within),
    ] {
        assert_eq!(outcome("fluid", celsius, "Boiling point"), expected, "{celsius}");
    }
    // At most 80 µm, the gauge sure to 5: within 9.8 of that it is open.
    for (micrometres, expected) in
        [(70.0, Outcome::Within), (71.0, Outcome::TooClose), (89.0, Outcome::TooClose), (90.0, Outcome::Beyond)]
    {
        assert_eq!(outcome("rear-right-runout", micrometres, "Runout"), expected, "{micrometres}");
    }
}

#[test]
fn a_hard_stop_heats_the_discs_by_its_energy() {
    let kind = "/road_test/seen/steps/1/kind";
    let from = "/road_test/seen/steps/1/from_km_h";
    let told = |changes: &[(&str, Value)]| {
        let measured = reckon(changes).measured;
        let find = |words: &str| {
            let found = measured.iter().find(|one| one.what.starts_with(words))?;
            Some((found.value.value, found.value.uncertainty, found.unit.clone()))
        };
        (find("Energy of the stop from 100 km/h"), find("Rise of the front discs"), find("Rise of the rear discs"))
    };
    let (energy, front, rear) = told(&[(kind, json!("full_effort")), (from, json!(100.0))]);
    // By hand: 1495 kg · (100/3.6)² / 2 = 0.576 775 MJ, ± 10 % by the speed's 5 %.
    let (value, uncertainty, unit) = energy.unwrap();
    near(value, 0.576_775, 1e-6);
    near(uncertainty, 0.057_677, 1e-6);
    assert_eq!(unit, "MJ");
    // 65 % of it into 6.248 + 6.231 kg of 800 J/(kg·K): 37.553 K; √(0.10² + (0.07/0.65)² + 0.125²) of it is 7.245.
    let (value, uncertainty, unit) = front.unwrap();
    near(value, 37.553, 0.001);
    near(uncertainty, 7.245, 0.001);
    assert_eq!(unit, "K");
    // 35 % into 5.412 kg as new and 5.362 kg as weighed: 23.421 K; √(0.10² + (0.07/0.35)² + 0.125²) of it is 6.000.
    let (value, uncertainty, _) = rear.unwrap();
    near(value, 23.421, 0.001);
    near(uncertainty, 6.000, 0.001);
    // A stop with half the effort, or from a stand, tells nothing of it.
    assert_eq!(told(&[(from, json!(100.0))]), (None, None, None));
    assert_eq!(told(&[(kind, json!("full_effort")), (from, json!(0.0))]), (None, None, None));
}

#[test]
fn a_disc_s_shape_is_told_beside_its_limit_where_it_is_not_within_it() {
    let with = |runout_um: f64| reckon(&[(&reading("rear-right-runout", "/points/0/value"), json!(runout_um))]);
    let within = with(50.0);
    assert!(within.measured.iter().any(|one| one.what == "Runout of the rear right disc, inner face"));
    assert!(!says(&within, "of the rear right disc, inner face"), "the table has it");
    let beyond = with(95.0);
    let said = beyond.answer.why.iter().find(|one| one.text.starts_with("Runout of the rear right disc, inner face"));
    let text = &said.unwrap().text;
    assert!(text.contains("0.095 ± 0.005 mm") && text.ends_with("(0.08 mm)."), "{text}");
}
