//! Reasons not to drive, at the borders of the published figures.

use model::{DriveWarning, Source};
use serde_json::json;

use crate::sample::{find_warning, reading, reckon};

fn lining(mm: f64) -> Option<DriveWarning> {
    let reckoning = reckon(&[(&reading("rear-right-inner-lining", "/points/1/value"), json!(mm))]);
    find_warning(&reckoning, "rear right inner pad").cloned()
}

#[test]
fn linings_at_the_legal_borders() {
    // UK MOT inspection manual 2012 §3.5: under 1.5 mm fails (second-hand).
    let warning = lining(1.49).unwrap();
    assert!(
        warning.do_not_drive && warning.text.contains("is 1.49 mm at its thinnest, under 1.5 mm"),
        "{}",
        warning.text
    );
    assert!(matches!(&warning.source, Source::Published { document } if document.contains("§3.5")));
    // At 1.5 mm only the maker's mark of 3 mm speaks.
    let warning = lining(1.5).unwrap();
    assert!(!warning.do_not_drive && warning.source == Source::PartMark, "{}", warning.text);
    // 49 CFR 570.5: 1/32 in = 0.794 mm (from memory).
    let warning = lining(0.79).unwrap();
    assert!(warning.do_not_drive && warning.text.contains("1/32 in"), "{}", warning.text);
    assert!(lining(0.80).unwrap().text.contains("under 1.5 mm"));
    assert_eq!(lining(3.0), None);
}

#[test]
fn a_lining_under_the_rule_of_thumb_says_whose_rule_it_is() {
    let reckoning = reckon(&[
        ("/car/brakes/rear/pads/renewal_mark_mm", json!(null)),
        (&reading("rear-right-inner-lining", "/points/1/value"), json!(2.5)),
    ]);
    let warning = find_warning(&reckoning, "rear right inner pad").unwrap();
    assert_eq!((warning.do_not_drive, &warning.source), (false, &Source::CommonPractice));
    assert!(warning.text.contains("rule of thumb"), "{}", warning.text);
}

#[test]
fn cracks_by_how_far_they_go() {
    let extent = "/corners/rear_left/seen/inner_face/seen/defects/1/extent";
    for (how_far, is_warned) in [("surface", false), ("from_hole", false), ("hole_to_edge", true), ("through", true)] {
        let reckoning = reckon(&[(extent, json!(how_far))]);
        let warning = find_warning(&reckoning, "is cracked");
        assert_eq!(warning.is_some_and(|warning| warning.do_not_drive), is_warned, "{how_far}");
    }
}

#[test]
fn fluid_at_the_lowest_wet_figure() {
    // FMVSS 116: DOT 3 wet 140 °C, the lowest of any class (second-hand).
    let fluid = reading("fluid", "/points/0/value");
    assert!(find_warning(&reckon(&[(&fluid, json!(139.9))]), "brake fluid").unwrap().do_not_drive);
    assert!(find_warning(&reckon(&[(&fluid, json!(139.9))]), "boils at 139.9 °C").is_some());
    assert_eq!(find_warning(&reckon(&[(&fluid, json!(140.0))]), "brake fluid"), None);
}

#[test]
fn an_axle_that_pulls_unevenly() {
    // Directive 2010/48/EU: under 70 % of the axle's other wheel fails. UK MOT manual 2012 §3.8: 2400 and 1800 N, 25 %.
    let rear = |left: f64, right: f64| {
        reckon(&[
            (&reading("rear_left-force".replace('_', "-").as_str(), "/points/0/value"), json!(left)),
            (&reading("rear-right-force", "/points/0/value"), json!(right)),
        ])
    };
    assert_eq!(find_warning(&rear(2_400.0, 1_800.0), "uneven"), None);
    let reckoning = rear(2_400.0, 1_679.0);
    let warning = find_warning(&reckoning, "uneven").unwrap();
    assert!(warning.text.contains("30.04 %") && warning.text.contains("rear right wheel"), "{}", warning.text);
    assert_eq!(warning.evidence.len(), 2);
}

#[test]
fn efficiency_at_its_least() {
    // Directive 2014/45/EU Annex I (from memory): 58 % from 2012, else 50 %. 10 200 N at 1700 kg is 61.16 % (UK MOT
    // inspection manual 2012 §3.8); at 1800 kg 57.76 %.
    let of = |mass_kg: f64, registered: &str| {
        let force =
            |corner: &str, newtons: f64| (reading(&format!("{corner}-force"), "/points/0/value"), json!(newtons));
        let mut changes: Vec<_> =
            [("front-left", 2_800.0), ("front-right", 2_800.0), ("rear-left", 2_300.0), ("rear-right", 2_300.0)]
                .map(|(corner, newtons)| force(corner, newtons))
                .into();
        changes.push(("/car/mass_kg".to_owned(), json!(mass_kg)));
        changes.push(("/car/first_registered".to_owned(), json!(registered)));
        let changes: Vec<_> = changes.iter().map(|(pointer, value)| (pointer.as_str(), value.clone())).collect();
        find_warning(&reckon(&changes), "efficiency").cloned()
    };
    assert_eq!(of(1_700.0, "2023-03-14"), None);
    let text = of(1_800.0, "2012-01-01").unwrap().text;
    assert!(text.contains("57.8 % braking efficiency at 1800 kg, under the 58 %"), "{text}");
    assert_eq!(of(1_800.0, "2011-12-31"), None);
    assert!(of(2_100.0, "2011-12-31").unwrap().text.contains("50 %"));
}

#[test]
fn runout_and_variation_are_seen_to_first() {
    let reckoning = reckon(&[(&reading("rear-right-runout", "/points/0/value"), json!(90.0))]);
    let warning = find_warning(&reckoning, "runout").unwrap();
    assert!(!warning.do_not_drive && warning.text.contains("0.090 mm, beyond the 0.080 mm"), "{}", warning.text);
    assert_eq!(find_warning(&reckon(&[]), "runout"), None);
}

#[test]
fn a_reading_under_its_mark_by_less_than_it_is_sure_says_so() {
    let mass = reading("rear-right-mass", "/points/0/value");
    let sure = reckon(&[(&mass, json!(5.280))]);
    assert!(!find_warning(&sure, "mass").unwrap().text.contains("less than the reading is sure"));
    let unsure = reckon(&[(&mass, json!(5.294))]);
    let warning = find_warning(&unsure, "mass").unwrap();
    assert!(warning.do_not_drive && warning.text.contains("by less than the reading is sure"), "{}", warning.text);
}

#[test]
fn no_bite_loose_fixings_and_a_seized_calliper() {
    let reckoning = reckon(&[
        ("/road_test/seen/steps/0/felt/0", json!("no_bite")),
        ("/corners/rear_left/seen/calliper/seen/state", json!("seized")),
    ]);
    for words in
        ["did not bite", "is seized", "1 fixing between bell and ring of the rear left disc is missing or loose"]
    {
        assert!(find_warning(&reckoning, words).unwrap().do_not_drive, "{words}");
    }
}

#[test]
fn the_gravest_stand_first() {
    let reckoning = reckon(&[]);
    let graveness: Vec<_> = reckoning.drive_warnings.iter().map(|warning| !warning.do_not_drive).collect();
    assert!(graveness.is_sorted() && graveness.contains(&true) && graveness.contains(&false), "{graveness:?}");
}

#[test]
fn fluid_is_held_against_the_class_that_the_car_asks_for() {
    // FMVSS 116 (second-hand): wet figures DOT 3 140, DOT 4 155, DOT 5.1 180 °C. ISO 4925 class 6: 165 °C (from memory).
    let fluid = reading("fluid", "/points/0/value");
    for (class, wet) in [("dot3", 140.0), ("dot4", 155.0), ("dot51", 180.0), ("iso6", 165.0)] {
        let at = |celsius: f64| {
            let reckoning = reckon(&[("/car/fluid_class", json!(class)), (&fluid, json!(celsius))]);
            find_warning(&reckoning, "brake fluid").cloned()
        };
        assert!(at(wet - 1.0).unwrap().do_not_drive, "{class}");
        assert_eq!(at(wet), None, "{class}");
    }
}

#[test]
fn a_crack_from_a_hole_and_flaked_material_are_seen_to_first() {
    let defects = "/corners/rear_left/seen/inner_face/seen/defects/1";
    let reckoning = reckon(&[(&format!("{defects}/extent"), json!("from_hole"))]);
    let warning = find_warning(&reckoning, "is cracked from a hole").unwrap();
    assert!(!warning.do_not_drive && warning.source == Source::CommonPractice);
    let reckoning =
        reckon(&[(&format!("{defects}/kind"), json!("spalling")), (&format!("{defects}/extent"), json!(null))]);
    assert!(!find_warning(&reckoning, "Material has flaked off the rear left disc's inner face").unwrap().do_not_drive);
}

#[test]
fn a_tapered_lining_counts_at_its_thin_end_where_one_place_was_measured() {
    let points = reading("rear-right-inner-lining", "/points");
    let taper = "/corners/rear_right/seen/inner_pad/seen/taper_mm";
    let one = |mm: f64, tapered: f64| {
        let reckoning = reckon(&[(&points, json!([{"at": "middle", "value": mm}])), (taper, json!(tapered))]);
        find_warning(&reckoning, "its thin end may be").cloned()
    };
    // UK MOT inspection manual 2012 §3.5 (second-hand): 2.4 mm less 1.0 mm are 1.4 mm, under 1.5.
    let warning = one(2.4, 1.0).unwrap();
    assert!(warning.do_not_drive && warning.text.contains("1.4 mm"), "{}", warning.text);
    assert_eq!(one(2.6, 1.0), None);
    // Where both ends were measured, the readings speak.
    let both = json!([{"at": "leading end", "value": 2.4}, {"at": "trailing end", "value": 3.4}]);
    assert_eq!(find_warning(&reckon(&[(&points, both), (taper, json!(1.0))]), "its thin end may be"), None);
}

#[test]
fn what_was_measured_stands_beside_its_limit() {
    use model::Outcome;
    let outcome = |changes: &[(&str, serde_json::Value)], what: &str| {
        let reckoning = reckon(changes);
        let found =
            reckoning.measured.iter().find(|one| one.what.contains(what)).unwrap_or_else(|| panic!("no {what}"));
        (found.outcome, found.value.value)
    };
    // Runout of 0.07 ± 0.005 mm against 0.08 lies within twice its uncertainty of it; of 0.05 it does not.
    let runout = reading("rear-right-runout", "/points/0/value");
    assert_eq!(outcome(&[(&runout, json!(50.0))], "Runout of the rear right").0, Outcome::Within);
    assert_eq!(outcome(&[(&runout, json!(95.0))], "Runout of the rear right").0, Outcome::Beyond);
    // ΔT = E·p / (m·c) and E = m v² / 2 are held against published figures in the crate itself; here, that a stop is found.
    let (kind, speed) = ("/road_test/seen/steps/0/kind", "/road_test/seen/steps/0/from_km_h");
    let stop = [(kind, json!("full_effort")), (speed, json!(100.0)), ("/car/mass_kg", json!(1500.0))];
    // 1500 kg at 100 km/h: 0.5787 MJ (computed).
    let (outcome_of_stop, energy) = outcome(&stop, "Energy of the stop from 100 km/h");
    assert_eq!(outcome_of_stop, Outcome::NoLimit);
    assert!((energy - 0.5787).abs() < 1e-4, "{energy}");
}

#[test]
fn a_wear_lead_that_is_worn_through_counts_until_the_lining_is_measured() {
    let lead = "/corners/rear_left/seen/inner_pad/seen/lead";
    let words = "rear left inner pad's wear lead is worn through";
    let warning = find_warning(&reckon(&[]), words).cloned().unwrap();
    assert!(warning.text.contains("counts as used up until it is"), "{}", warning.text);
    assert!(find_warning(&reckon(&[(lead, json!("intact"))]), words).is_none());
    // Beside a lining that was measured above its mark it is said and decides nothing.
    let of = reading("rear-right-inner-lining", "/of/corner");
    let measured = reckon(&[(&of, json!("rear_left"))]);
    let warning = find_warning(&measured, words).unwrap();
    assert!(!warning.text.contains("counts as used up"), "{}", warning.text);
    assert!(!measured.answer.lead[1].text.contains("worn-through wear lead"), "{}", measured.answer.lead[1].text);
}

#[test]
fn an_electrical_reading_beyond_its_own_point_s_limit_ends_the_disc() {
    let words = "rear right disc's electrical reading at A";
    let first = reading("rear-right-electrical", "/points/0/value");
    let marks = |new: f64, limit: f64| json!([{"at": "A", "unit": "division", "new": new, "limit": limit}]);
    let place = "/car/brakes/rear/discs/right/electrical";
    // A value that falls with wear, 44 when new and 33 at its limit: the limit itself is not beyond it.
    for (value, is_beyond) in [(32.9, true), (33.0, false), (33.1, false)] {
        let reckoning = reckon(&[(&first, json!(value))]);
        assert_eq!(find_warning(&reckoning, words).is_some(), is_beyond, "{value}");
    }
    // One that rises with it, 33 when new and 44 at its limit.
    for (value, is_beyond) in [(44.1, true), (44.0, false), (43.9, false)] {
        let reckoning = reckon(&[(place, marks(33.0, 44.0)), (&first, json!(value))]);
        assert_eq!(find_warning(&reckoning, words).is_some(), is_beyond, "{value}");
    }
    // The mark of another point says nothing of this one.
    let elsewhere = json!([{"at": "C", "unit": "division", "new": 44.0, "limit": 33.0}]);
    assert!(find_warning(&reckon(&[(place, elsewhere), (&first, json!(20.0))]), "electrical reading").is_none());
}

#[test]
fn runout_is_allowed_up_to_its_limit() {
    let runout = reading("rear-right-runout", "/points/0/value");
    for (micrometres, is_beyond) in [(81.0, true), (80.0, false)] {
        let reckoning = reckon(&[(&runout, json!(micrometres))]);
        assert_eq!(find_warning(&reckoning, "runout").is_some(), is_beyond, "{micrometres}");
    }
}

#[test]
fn a_lining_that_crumbles_is_warned_of() {
    let warning = |crumbling: serde_json::Value| {
        let reckoning = reckon(&[("/corners/rear_left/seen/inner_pad/seen/crumbling", crumbling)]);
        find_warning(&reckoning, "The rear left inner pad's lining crumbles").cloned()
    };
    assert!(!warning(json!(true)).unwrap().do_not_drive);
    assert_eq!((warning(json!(false)), warning(json!(null))), (None, None));
}
