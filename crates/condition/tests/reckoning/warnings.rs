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
