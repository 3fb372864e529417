//! Wear and stages, worked by hand.

use model::{Evidence, Explanation, Figure, Source, Stage};
use serde_json::json;

use crate::sample::{find_warning, near, reading, reckon};

fn sources(step: &Explanation) -> Vec<&Source> {
    std::iter::once(&step.source).chain(step.parts.iter().flat_map(sources)).collect()
}

fn worked(figure: Option<&Figure>, value: f64, uncertainty: f64) {
    let figure = figure.expect("there is a figure");
    near(figure.value, value, 5e-6);
    near(figure.uncertainty, uncertainty, 5e-6);
    near(figure.low, value - 1.96 * uncertainty, 2e-5);
    near(figure.high, value + 1.96 * uncertainty, 2e-5);
}

#[test]
fn three_readings_of_one_disc_that_disagree() {
    // By hand. Mass (5426 − 5362)/130 ± 3/130, and its half gram when new; thickness 31.70 ± √(0.02² + (2.195 · 0.01)²/3)
    // against 32.0 ± 0.05/√3 and 31.2; electrical 4.2/11 and 4.3/11, ± 0.4/11, their scatter (Student's 12.706) and how
    // far the way may be bent. The mean whose pulls end at 1.96 deviations is 0.45584; χ² 8.30 with 2 degrees of freedom
    // is beyond 5.991, so ± 0.01883 is widened 2.037 times.
    let reckoning = reckon(&[]);
    let bulk = reckoning.corners.rear_right.bulk.as_ref();
    worked(bulk, 0.455_836, 0.038_353);
    assert_eq!(bulk.unwrap().because.parts.len(), 3);
    assert!(bulk.unwrap().because.text.contains("χ² 8.3"), "{}", bulk.unwrap().because.text);
    let said = reckoning.answer.why.iter().find(|sentence| sentence.text.contains("disagree")).unwrap();
    assert!(said.text.contains("farthest off, by 2.9 standard deviations, is this: mass 5362"), "{}", said.text);
    assert_eq!(reckoning.corners.rear_right.disc_stage, Stage::PartWorn);
}

#[test]
fn readings_that_agree_are_not_widened() {
    // Mass 5380 g: (5426 − 5380)/130 = 0.35385 ± 0.02310; the three give 0.36187 ± 0.01884, χ² 0.38.
    let reckoning = reckon(&[(&reading("rear-right-mass", "/points/0/value"), json!(5.380))]);
    worked(reckoning.corners.rear_right.bulk.as_ref(), 0.361_867, 0.018_838);
    assert!(!reckoning.answer.why.iter().any(|sentence| sentence.text.contains("disagree")));
}

#[test]
fn readings_by_one_instrument_share_its_error() {
    // The micrometer reads the disc twice: its 0.02 mm do not shrink by √2.
    let mut again = model::sample::inspection_document()["readings"][1].clone();
    again["id"] = json!("rear-right-thickness-again");
    let twice = json!([model::sample::inspection_document()["readings"][1], again]);
    let reckoning = reckon(&[("/readings", twice)]);
    let bulk = reckoning.corners.rear_right.bulk.unwrap();
    // Six points, four of them ± 0.01 from the mean: 4·1e-4 / (6·5) = 1.3333e-5, widened by (2.571/1.96)²; the
    // instrument's 0.02² = 4e-4; of the new 32.0, (1 − 0.375) · 0.05/√3.
    worked(Some(&bulk), 0.375, 0.034_198);
    assert_eq!(bulk.because.parts.len(), 1);
    assert_eq!(bulk.because.parts[0].evidence.len(), 2);
}

#[test]
fn readings_by_two_instruments_of_one_name_are_two() {
    let document = model::sample::inspection_document();
    let mut again = document["readings"][1].clone();
    again["id"] = json!("rear-right-thickness-again");
    again["instrument"]["serial"] = json!("DM-23");
    let reckoning = reckon(&[("/readings", json!([document["readings"][1], again]))]);
    assert_eq!(reckoning.corners.rear_right.bulk.unwrap().because.parts.len(), 2);
}

#[test]
fn a_face_by_its_signs() {
    // Abrasive 0.95 ± 0.10, crowded 0.92 ± 0.12, greyed 0.88 ± 0.17: mean 0.92792; ± 0.07001 is raised to the least 0.08.
    let reckoning = reckon(&[]);
    worked(reckoning.corners.rear_left.inner_face.as_ref(), 0.927_919, 0.08);
    // Seen through the wheel: slick 0.30 ± 0.34, clear 0.50 ± 0.289, dark grey 0.50 ± 0.34.
    worked(reckoning.corners.front_right.outer_face.as_ref(), 0.440_900, 0.184_824);
    let face = reckoning.corners.rear_left.inner_face.unwrap();
    assert!(sources(&face.because).contains(&&Source::CommonPractice));
    assert!(sources(&face.because).contains(&&Source::ProjectAssumption));
    assert_eq!(reckoning.corners.rear_left.disc_stage, Stage::EndOfLife);
}

#[test]
fn signs_that_disagree_are_widened_and_said() {
    // Slick 0.30 ± 0.20 against crowded 0.92 ± 0.12 and greyed 0.88 ± 0.17: χ² 7.5, beyond 5.991 (2 degrees of freedom).
    let touch = "/corners/rear_left/seen/inner_face/seen/touch";
    let reckoning = reckon(&[(touch, json!("slick"))]);
    let figure = reckoning.corners.rear_left.inner_face.unwrap();
    // The mean whose pulls end at 1.96 deviations is 0.8125; ± 0.0880 is widened 1.94 times.
    worked(Some(&figure), 0.812_509, 0.170_770);
    let said = reckoning.answer.why.iter().find(|sentence| sentence.text.contains("signs disagree")).unwrap();
    assert!(said.text.contains("is its touch"), "{}", said.text);
}

#[test]
fn no_face_grows_less_worn() {
    // Two years before, by mirror: abrasive 0.95 ± 0.15 and crowded 0.92 ± 0.18, together 0.93770 ± 0.11523. Today slick,
    // clear and dark grey, wheel off: 0.44090 ± 0.10872. Together 0.67487; χ² 9.83 is beyond 3.841: ± 0.07908 is widened
    // 3.136 times.
    let faces = "/car/prior_visits/0/faces/0";
    let today = "/corners/rear_left/seen/inner_face/seen";
    let reckoning = reckon(&[
        (&format!("{faces}/touch"), json!("abrasive")),
        (&format!("{faces}/fibre_pattern"), json!("crowded")),
        (&format!("{today}/touch"), json!("slick")),
        (&format!("{today}/fibre_pattern"), json!("clear")),
        (&format!("{today}/colour"), json!("dark_grey")),
    ]);
    worked(reckoning.corners.rear_left.inner_face.as_ref(), 0.674_866, 0.247_983);
    let said = reckoning.answer.why.iter().find(|sentence| sentence.text.contains("looks less worn than before"));
    assert!(said.unwrap().evidence.contains(&Evidence::EarlierVisit { index: 0 }));
    // A look from before the disc was replaced says nothing of it.
    let replaced = json!([{"corner": "rear_left", "serial": null, "at_km": 30000.0, "origin": "the dealer"}]);
    let other = reckon(&[
        (&format!("{faces}/touch"), json!("abrasive")),
        (&format!("{today}/touch"), json!("slick")),
        (&format!("{today}/fibre_pattern"), json!("clear")),
        (&format!("{today}/colour"), json!("dark_grey")),
        ("/car/discs_replaced", replaced),
    ]);
    near(other.corners.rear_left.inner_face.unwrap().value, 0.440_900, 1e-6);
}

#[test]
fn the_worse_face_governs() {
    let reckoning = reckon(&[("/corners/rear_left/seen/inner_face", json!({"not_inspected": "no mirror"}))]);
    // Slightly rough, clear, dark grey: neither new nor spent.
    assert_eq!(reckoning.corners.rear_left.disc_stage, Stage::PartWorn);
    let missing = reckoning.corners.rear_left.missing.join("\n");
    assert!(missing.contains("inner face: not inspected, no mirror"), "{missing}");
}

#[test]
fn a_lining_counts_at_its_thinnest() {
    // (11 − 6.2)/8 = 0.6 and (11 − 5.0)/8 = 0.75; ± 0.1/8, more for the least of three and of two points near together
    // (√(1 + 0.6²) and √(1 + 0.4²)), and the share of the new 11.0 ± 0.05/√3.
    let reckoning = reckon(&[]);
    worked(reckoning.corners.rear_right.outer_pad.as_ref(), 0.6, 0.014_649);
    worked(reckoning.corners.rear_right.inner_pad.as_ref(), 0.75, 0.013_493);
    assert_eq!(reckoning.corners.rear_right.inner_pad.unwrap().because.source, Source::PartMark);
}

#[test]
fn without_the_maker_s_mark_a_rule_of_thumb_stands_and_says_so() {
    let reckoning = reckon(&[("/car/brakes/rear/pads/renewal_mark_mm", json!(null))]);
    let pad = reckoning.corners.rear_right.outer_pad.as_ref().unwrap();
    assert_eq!(pad.because.source, Source::CommonPractice);
    assert!(pad.because.text.contains("rule of thumb"), "{}", pad.because.text);
    assert!(reckoning.answer.limits.iter().any(|sentence| sentence.text.contains("rule of thumb")));
}

#[test]
fn without_its_value_when_new_a_disc_is_still_held_against_its_mark() {
    let discs = "/car/brakes/rear/discs/right";
    let only_mass = json!([model::sample::inspection_document()["readings"][0]]);
    let mut changes = vec![
        (format!("{discs}/new_mass_g"), json!(null)),
        ("/readings".to_owned(), only_mass),
        ("/corners/rear_right".to_owned(), json!({"not_inspected": "no time"})),
    ];
    let reckon_changed = |changes: &[(String, serde_json::Value)]| {
        reckon(&changes.iter().map(|(pointer, value)| (pointer.as_str(), value.clone())).collect::<Vec<_>>())
    };
    let within = reckon_changed(&changes).corners.rear_right;
    assert_eq!((within.bulk, within.disc_stage), (None, Stage::Unknown));
    assert!(within.missing.join("\n").contains("mass was measured, but its value when new is not known"));

    changes.push(("/readings/0/points/0/value".to_owned(), json!(5.290)));
    let reckoning = reckon_changed(&changes);
    let beyond = &reckoning.corners.rear_right;
    assert_eq!((&beyond.bulk, beyond.disc_stage), (&None, Stage::EndOfLife));
    assert!(find_warning(&reckoning, "5290 g, under its own mark of 5296 g").unwrap().do_not_drive);
}

#[test]
fn a_reading_beyond_the_mark_is_not_averaged_away() {
    // Mass 5294 g is 2 g under the mark, 1.015; with thickness and electrical reading at 0.38 the mean stays under it.
    let reckoning = reckon(&[(&reading("rear-right-mass", "/points/0/value"), json!(5.294))]);
    let corner = &reckoning.corners.rear_right;
    assert!(corner.bulk.as_ref().unwrap().value < 1.0);
    assert_eq!(corner.disc_stage, Stage::EndOfLife);
}

#[test]
fn a_lining_without_its_value_when_new_is_still_held_against_its_mark() {
    let new = "/car/brakes/rear/pads/lining_new_mm";
    let reckoning = reckon(&[(new, json!(null))]);
    let corner = &reckoning.corners.rear_right;
    assert_eq!((&corner.outer_pad, corner.pad_stage), (&None, Stage::Unknown));
    let reckoning = reckon(&[(new, json!(null)), (&reading("rear-right-inner-lining", "/points/1/value"), json!(2.9))]);
    assert_eq!(reckoning.corners.rear_right.pad_stage, Stage::EndOfLife);
}

#[test]
fn the_signs_of_carbon_ceramic_do_not_judge_iron() {
    let reckoning = reckon(&[("/car/brakes/rear/material", json!("iron"))]);
    let corner = reckoning.corners.rear_left;
    assert_eq!((corner.outer_face, corner.inner_face, corner.disc_stage), (None, None, Stage::Unknown));
    assert!(corner.missing.iter().any(|missing| missing.contains("iron")));
    assert!(reckoning.corners.rear_right.bulk.is_some());
}

#[test]
fn an_electrical_reading_where_the_disc_has_no_mark_is_said() {
    let reckoning = reckon(&[(&reading("rear-right-electrical", "/points/0/at"), json!("Z"))]);
    let corner = reckoning.corners.rear_right;
    let said = |corner: &model::CornerReckoning| {
        corner.missing.iter().find(|missing| missing.contains("no mark at")).cloned().unwrap()
    };
    assert_eq!(said(&corner), "The rear right disc's electrical reading: the disc has no mark at Z in div.");
    assert!(corner.bulk.is_some());
    // Each place once, the first eight by name.
    let places: Vec<_> = (1..=9).chain([1]).map(|nth| json!({"at": format!("Z{nth}"), "value": 40.0})).collect();
    let mut twice = model::sample::inspection_document()["readings"][2].clone();
    twice["points"] = json!(places[..9]);
    let mut again = twice.clone();
    again["id"] = json!("the-same-again");
    again["points"] = json!(places[8..]);
    let many = reckon(&[("/readings", json!([twice, again]))]).corners.rear_right;
    assert!(
        said(&many).ends_with(
            "at Z1 in div, Z2 in div, Z3 in div, Z4 in div, Z5 in div, Z6 in div, Z7 in div, Z8 in div and 1 more."
        ),
        "{}",
        said(&many)
    );
}

#[test]
fn electrical_marks_may_be_in_another_unit_than_the_reading() {
    // Read in milliohms, marked in ohms: new 0.020, limit 0.040, now 30 mΩ: half of the way.
    let rising = json!([{"at": "A", "unit": "ohm", "new": 0.020, "limit": 0.040}]);
    let marked = |marks: &serde_json::Value, value: f64| {
        let mut reading = model::sample::inspection_document()["readings"][2].clone();
        reading["unit"] = json!("mohm");
        reading["points"] = json!([{"at": "A", "value": value}]);
        let electrical = "/car/brakes/rear/discs/right/electrical";
        reckon(&[(electrical, marks.clone()), ("/readings", json!([reading]))])
    };
    near(marked(&rising, 30.0).corners.rear_right.bulk.unwrap().value, 0.5, 1e-9);
    assert!(find_warning(&marked(&rising, 39.0), "beyond its own limit").is_none());
    let beyond = marked(&rising, 42.0);
    let warning = find_warning(&beyond, "beyond its own limit").unwrap();
    assert!(warning.text.contains("is 42.0 mΩ, beyond its own limit of 40.0 mΩ"), "{}", warning.text);
    // The other way round, as some discs are marked.
    let falling = json!([{"at": "A", "unit": "ohm", "new": 0.040, "limit": 0.020}]);
    assert!(find_warning(&marked(&falling, 30.0), "beyond its own limit").is_none());
    assert!(find_warning(&marked(&falling, 19.0), "beyond its own limit").is_some());
}

#[test]
fn heavier_than_new_is_said() {
    let reckoning = reckon(&[(&reading("rear-right-mass", "/points/0/value"), json!(5.480))]);
    let said = reckoning.answer.why.iter().find(|sentence| sentence.text.contains("above its value when new")).unwrap();
    assert!(said.evidence.contains(&Evidence::Reading { id: "rear-right-mass".parse().unwrap() }));
    // New 5426 g, read to 3 g: 8 g more may be the reading's own.
    let slightly = reckon(&[(&reading("rear-right-mass", "/points/0/value"), json!(5.434))]);
    assert!(!slightly.answer.why.iter().any(|sentence| sentence.text.contains("above its value when new")));
}

#[test]
fn without_its_least_value_a_disc_has_no_share() {
    let discs = "/car/brakes/rear/discs/right";
    let missing = |new: serde_json::Value, least: serde_json::Value| {
        let changed = reckon(&[(&format!("{discs}/new_mass_g"), new), (&format!("{discs}/minimum_mass_g"), least)]);
        changed.corners.rear_right.missing.into_iter().find(|one| one.contains("mass was measured")).unwrap()
    };
    let words = "The rear right disc's mass was measured, but";
    assert_eq!(missing(json!(5426.0), json!(null)), format!("{words} its least value is not known."));
    assert_eq!(
        missing(json!(null), json!(null)),
        format!("{words} neither its value when new nor its least value is known.")
    );
}
