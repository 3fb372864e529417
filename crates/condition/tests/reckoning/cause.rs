//! Why a disc wore.

use model::{Cause, CauseReckoning, CornerName, Reckoning};
use serde_json::{Value, json};

use crate::sample::{near, reckon};

fn chance(cause: &CauseReckoning, of: Cause) -> f64 {
    cause.causes.iter().find(|one| one.cause == of).unwrap().chance
}

/// The rear right corner with nothing wrong, and then this.
fn rear_right(changes: &[(&str, Value)]) -> Reckoning {
    let mut all = vec![
        ("/corners/rear_right/seen/outer_face/seen/defects", json!([])),
        ("/readings", json!([])),
        ("/corners/rear_right/seen/inner_face", json!({"not_inspected": "no mirror"})),
        ("/corners/rear_right/seen/bell", json!({"not_inspected": "hidden"})),
        ("/corners/rear_right/seen/outer_pad", json!({"not_inspected": "hidden"})),
        ("/corners/rear_right/seen/inner_pad", json!({"not_inspected": "hidden"})),
        ("/corners/rear_right/seen/calliper", json!({"not_inspected": "hidden"})),
    ];
    all.extend(changes.iter().cloned());
    reckon(&all)
}

fn defect(kind: &str) -> Value {
    json!([{"kind": kind, "extent": null, "size_mm": null, "place": {"hour": null, "zone": "full_width"},
        "photographs": [], "note": null}])
}

#[test]
fn a_stained_face_beside_a_stained_bell_speaks_for_a_cleaner() {
    let stained = [
        ("/corners/rear_right/seen/outer_face/seen/defects", defect("stain")),
        (
            "/corners/rear_right/seen/bell",
            json!({"seen": {"finish": "etched",
            "fixings": {"missing_or_loose": 0, "corroded": false}, "note": null}}),
        ),
    ];
    let reckoning = rear_right(&stained);
    let cause = reckoning.corners.rear_right.cause.as_ref().unwrap();
    assert!(chance(cause, Cause::Cleaner) > 0.9, "{cause:#?}");
    assert!(cause.wear_only < 0.1);
    let cleaner = &cause.causes[0];
    assert!(cleaner.speaks_for[0].factor > cleaner.speaks_for[1].factor, "the strongest first");
    assert!(cleaner.speaks_for.iter().any(|sign| sign.text == "the bell is etched"));
    let said =
        reckoning.answer.why.iter().any(|said| said.text.starts_with("At the rear right, attack by a wheel cleaner"));
    assert!(said, "{:#?}", reckoning.answer.why);
    // And so no distance is told, with the reason.
    let not_told =
        reckoning.answer.why.iter().find(|said| said.text.contains("the rear right disc and pads go is not told"));
    assert!(not_told.unwrap().text.contains("under the 80 %"));
}

#[test]
fn what_was_looked_for_and_is_not_there_speaks_for_ordinary_wear() {
    let open = rear_right(&[]);
    let closed = rear_right(&[
        (
            "/corners/rear_right/seen/bell",
            json!({"seen": {"finish": "even",
            "fixings": {"missing_or_loose": 0, "corroded": false}, "note": null}}),
        ),
        ("/corners/rear_right/seen/calliper", json!({"seen": {"state": "free", "note": null}})),
    ]);
    let wear_only = |reckoning: &Reckoning| reckoning.corners.rear_right.cause.as_ref().unwrap().wear_only;
    assert!(wear_only(&closed) > wear_only(&open) + 0.02);
    let seen = |reckoning: &Reckoning| reckoning.corners.rear_right.cause.as_ref().unwrap().signs_seen;
    assert_eq!(seen(&closed) - seen(&open), 6, "three finishes, two of the fixings, the calliper");
}

#[test]
fn a_calliper_that_drags_explains_itself_and_leaves_the_rest_as_it_was() {
    let reckoning =
        rear_right(&[("/corners/rear_right/seen/calliper", json!({"seen": {"state": "drags", "note": null}}))]);
    let before = rear_right(&[]);
    let of = |reckoning: &Reckoning, cause| chance(reckoning.corners.rear_right.cause.as_ref().unwrap(), cause);
    // Bayes' rule by hand: odds before × 90, less what heat and standing explain of it.
    let prior = of(&before, Cause::PadOrCalliper);
    let alone = prior / (1.0 - prior) * 90.0;
    let after = of(&reckoning, Cause::PadOrCalliper);
    assert!(after > 0.6 && after < alone / (1.0 + alone), "{prior} becomes {after}");
    near(of(&reckoning, Cause::Cleaner), of(&before, Cause::Cleaner), 0.005);
}

#[test]
fn the_next_look_is_where_most_is_not_known() {
    let reckoning = rear_right(&[
        ("/corners/front_left", json!({"not_inspected": "locked"})),
        ("/corners/front_right", json!({"not_inspected": "locked"})),
        ("/corners/rear_left", json!({"not_inspected": "locked"})),
        ("/corners/rear_right/seen/outer_face/seen/defects", defect("stain")),
    ]);
    let look = reckoning.next_look.clone().unwrap();
    assert_eq!(
        (look.corner, look.text.as_str()),
        (CornerName::RearRight, "Look at the bell of the rear right disc and its fixings.")
    );
    assert!(look.gain_bits > 0.05 && look.gain_bits < 5.0);
    assert!(reckoning.answer.limits.iter().any(|said| said.text.contains(&look.text)));
}

#[test]
fn iron_and_what_was_not_seen_have_no_cause() {
    let reckoning =
        reckon(&[("/car/brakes/rear/material", json!("iron")), ("/corners/front_left", json!({"not_inspected": "x"}))]);
    assert_eq!(reckoning.corners.rear_left.cause, None);
    assert_eq!(reckoning.corners.front_left.cause, None);
}

#[test]
fn wear_runs_ahead_of_the_distance_that_the_disc_itself_has_run() {
    let mut mass = model::sample::inspection_document()["readings"][0].clone();
    assert_eq!(mass["id"], "rear-right-mass");
    mass["points"][0]["value"] = json!(5.361);
    let at = |km: f64, replaced: Value| {
        let changes = [
            ("/readings", json!([mass])),
            ("/car/prior_visits", json!([])),
            ("/car/discs_replaced", replaced),
            ("/car/odometer/figure", json!(km.round() as u32)),
        ];
        rear_right(&changes).corners.rear_right
    };
    let is_ahead = |km: f64, replaced: Value| {
        let cause = at(km, replaced).cause.unwrap();
        let signs = cause.causes.iter().flat_map(|one| one.speaks_for.iter().chain(&one.speaks_against));
        let said: Vec<_> = signs.filter(|sign| sign.text.contains("ahead of the distance")).collect();
        assert!(!said.is_empty(), "{cause:#?}");
        said.iter().any(|sign| sign.text == "the wear runs ahead of the distance")
    };
    // Half worn, and surely 0.45: beyond 1.5 times the share of 45 000 miles (72 420 km) and 0.2 more (own assumption).
    let corner = at(10_000.0, json!([]));
    let lows = [&corner.bulk, &corner.outer_face, &corner.inner_face].map(|one| one.as_ref().map(|figure| figure.low));
    let surely = lows.into_iter().flatten().fold(0.0, f64::max);
    near(surely, 0.45, 0.01);
    let border = (surely - 0.2) / 1.5 * 72_420.5;
    assert!(is_ahead(border - 100.0, json!([])));
    assert!(!is_ahead(border + 100.0, json!([])));
    // What the car ran before this disc was fitted does not count; what another disc's age is neither.
    let fitted = |corner: &str| json!([{"corner": corner, "serial": null, "at_km": 30_000.0, "origin": "an invoice"}]);
    assert!(is_ahead(30_000.0 + border - 100.0, fitted("rear_right")));
    assert!(!is_ahead(30_000.0 + border + 100.0, fitted("rear_right")));
    assert!(!is_ahead(30_000.0 + border - 100.0, fitted("front_left")));
}

#[test]
fn which_of_two_faces_is_the_worse_one_is_a_sign() {
    let face = |touch: &str, pattern: &str, colour: &str| {
        json!({"seen": {"seen": "wheel_off", "touch": touch, "fibre_pattern": pattern, "colour": colour, "defects": [],
            "note": null}})
    };
    let (spent, sound) = (face("abrasive", "crowded", "greyed"), face("slick", "faint", "near_black"));
    let signs = |outer: &Value, inner: &Value| {
        let reckoning = rear_right(&[
            ("/corners/rear_right/seen/outer_face", outer.clone()),
            ("/corners/rear_right/seen/inner_face", inner.clone()),
        ]);
        let cause = reckoning.corners.rear_right.cause.unwrap();
        let signs = cause.causes.into_iter().flat_map(|one| one.speaks_for.into_iter().chain(one.speaks_against));
        signs.map(|sign| sign.text).collect::<std::collections::BTreeSet<_>>()
    };
    let (outer, inner) =
        ("the outer face is more worn than the inner one", "the inner face is more worn than the outer one");
    let worse_outside = signs(&spent, &sound);
    assert!(worse_outside.contains(outer) && !worse_outside.contains(inner), "{worse_outside:?}");
    let worse_inside = signs(&sound, &spent);
    assert!(worse_inside.contains(inner) && !worse_inside.contains(outer), "{worse_inside:?}");
}
