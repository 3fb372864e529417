//! The answer in words.

use model::{Evidence, FaceName, Reckoning};
use serde_json::{Value, json};

use crate::sample::{reading, reckon};

fn lead(reckoning: &Reckoning) -> Vec<&str> {
    reckoning.answer.lead.iter().map(|sentence| sentence.text.as_str()).collect()
}

fn all(reckoning: &Reckoning) -> impl Iterator<Item = &model::Sentence> {
    let answer = &reckoning.answer;
    let readers = [&answer.to_buyer, &answer.to_seller, &answer.to_workshop];
    answer.lead.iter().chain(&answer.why).chain(&answer.limits).chain(readers.into_iter().flatten())
}

/// The sample without what must not be driven.
fn drivable() -> Vec<(&'static str, Value)> {
    vec![
        ("/corners/rear_left/seen/bell/seen/fixings/missing_or_loose", json!(0)),
        ("/corners/rear_left/seen/inner_pad/seen/lead", json!("intact")),
    ]
}

fn nothing_seen() -> Vec<(&'static str, Value)> {
    let corners = ["/corners/front_left", "/corners/front_right", "/corners/rear_left", "/corners/rear_right"];
    let mut changes: Vec<_> = corners.map(|corner| (corner, json!({"not_inspected": "rain"}))).into();
    changes.push(("/readings", json!([])));
    changes.push(("/road_test", json!({"not_inspected": "not insured to drive"})));
    changes
}

#[test]
fn it_begins_with_the_answer() {
    let reckoning = reckon(&drivable());
    assert_eq!(
        lead(&reckoning),
        [
            "The rear left disc is at the end of its life (inner face 93 ± 8 % worn), and the front left disc is not judged.",
            "No lining that was measured is at its renewal mark, the nearest to it being the rear right inner pad (75 ± 1 % worn), and 6 of the 8 linings were not measured.",
            "What is due now costs EUR 15\u{202F}635.02 with tax by the prices given; everything on the price list would cost EUR 29\u{202F}888.82.",
        ]
    );
    let face = Evidence::Face { corner: model::CornerName::RearLeft, face: FaceName::Inner };
    assert!(reckoning.answer.lead[0].evidence.contains(&face));
}

#[test]
fn where_the_car_must_not_be_driven_that_stands_first() {
    let reckoning = reckon(&[]);
    let lead = lead(&reckoning);
    assert_eq!(lead.len(), 3);
    assert_eq!(
        lead[0],
        "Do not drive the car as it is: 1 fixing between bell and ring of the rear left disc is missing or loose."
    );
    assert!(lead[1].contains("rear left") && lead[1].contains("renewal mark"), "{}", lead[1]);
    let two = reckon(&[(&reading("fluid", "/points/0/value"), json!(120.0))]);
    assert!(two.answer.lead[0].text.ends_with("and 1 more reason below."), "{}", two.answer.lead[0].text);
}

#[test]
fn where_nothing_was_seen_nothing_is_claimed() {
    let reckoning = reckon(&nothing_seen());
    let lead = lead(&reckoning);
    assert_eq!(lead[0], "How worn the discs are could not be told from what was seen and measured.");
    assert_eq!(lead[1], "The pads' linings were not measured.");
    assert!(lead[2].starts_with("By what was found, no disc and no pad is due for renewal now;"), "{}", lead[2]);
    let limits: Vec<_> = reckoning.answer.limits.iter().map(|sentence| sentence.text.as_str()).collect();
    assert!(limits.contains(&"No road test: not insured to drive."), "{limits:#?}");
    assert!(limits.contains(&"The rear right bell and calliper: not inspected, rain."), "{limits:#?}");
}

#[test]
fn the_absence_of_a_warning_is_no_clearance() {
    let reckoning = reckon(&nothing_seen());
    assert!(reckoning.drive_warnings.is_empty());
    assert!(reckoning.answer.limits.iter().any(|sentence| sentence.text.contains("that is no clearance to drive")));
    for sentence in all(&reckoning) {
        let text = sentence.text.to_lowercase();
        assert!(!["safe", "roadworthy", "fit to drive"].iter().any(|word| text.contains(word)), "{text}");
    }
}

#[test]
fn every_sentence_is_carried_by_something_and_ends() {
    for changes in [Vec::new(), drivable(), nothing_seen(), vec![("/prices", json!(null))]] {
        for sentence in all(&reckon(&changes)) {
            assert!(!sentence.evidence.is_empty(), "{} rests on nothing", sentence.text);
            assert!(sentence.text.ends_with('.'), "{}", sentence.text);
            assert!(!sentence.text.contains("  ") && !sentence.text.contains(".."), "{}", sentence.text);
        }
    }
}

#[test]
fn an_interval_that_reaches_the_mark_is_said() {
    // 3.15 mm: (11 − 3.15)/8 = 0.981 ± 0.0125, up to 1.006.
    let mut changes = drivable();
    let lining = reading("rear-right-inner-lining", "/points/1/value");
    changes.push((&lining, json!(3.15)));
    let reckoning = reckon(&changes);
    assert!(lead(&reckoning)[1].contains("which may be at it already"), "{}", lead(&reckoning)[1]);
    // The face: 0.928 ± 0.08, up to 1.085.
    let face =
        reckoning.answer.why.iter().find(|sentence| sentence.text.contains("may be at its mark already")).unwrap();
    assert!(face.text.contains("inner face") && face.text.contains("77 to 108 %"), "{}", face.text);
}

#[test]
fn what_was_not_inspected_is_said_with_its_reason() {
    let reckoning = reckon(&[]);
    let limits: Vec<_> = reckoning.answer.limits.iter().map(|sentence| sentence.text.as_str()).collect();
    for text in [
        "Not inspected: stored fault codes (not instructed).",
        "The front left disc's outer face: not inspected, locking wheel bolt, key not with the car.",
        "The front right bell: not inspected, hidden by the wheel.",
        "The front right inner pad: not inspected, hidden by the calliper.",
    ] {
        assert!(limits.contains(&text), "{text} is not among {limits:#?}");
    }
}

#[test]
fn what_was_felt_and_found_is_told() {
    let reckoning = reckon(&[]);
    let why: Vec<_> = reckoning.answer.why.iter().map(|sentence| sentence.text.as_str()).collect();
    for text in [
        "On the road (low-speed dab): weak bite and coarse noise.",
        "On the rear left inner face: heat tint, full width; crack of 12 mm in the surface, inner third at 4 o'clock.",
        "At the rear left, the bell is discoloured, its fixings are corroded and 1 fixing is missing or loose.",
        "The rear left inner pad: its wear lead is worn through, its lining differs by 1.4 mm between its ends, it is glazed and it crumbles.",
        "The rear left calliper: drags.",
    ] {
        assert!(why.contains(&text), "{text} is not among {why:#?}");
    }
    // Its taper of 0.1 mm is nothing to speak of.
    assert!(!why.iter().any(|text| text.starts_with("The rear left outer pad:")), "{why:#?}");
}

#[test]
fn how_it_is_known_that_a_lining_is_used_up_stands_beside_it() {
    let inner = reading("rear-right-inner-lining", "/points/1/value");
    let mark = "/car/brakes/rear/pads/renewal_mark_mm";
    let second = |changes: &[(&str, Value)]| lead(&reckon(changes))[1].to_owned();
    let by_lead = second(&[]);
    assert!(by_lead.contains("past its renewal mark (by its worn-through wear lead)"), "{by_lead}");
    // One by its lead, the other measured against the maker's mark.
    let both = second(&[(&inner, json!(2.0))]);
    assert!(both.contains("(the rear left inner by a worn-through wear lead)"), "{both}");
    // The same where the maker's mark is not known.
    let thumb = second(&[(&inner, json!(1.9)), (mark, json!(null))]);
    assert!(thumb.contains("(the rear left inner by a worn-through wear lead; by a rule of thumb)"), "{thumb}");
    // The maker's mark alone needs no words.
    let lead_intact = ("/corners/rear_left/seen/inner_pad/seen/lead", json!("intact"));
    let alone = second(&[lead_intact.clone(), (&inner, json!(2.0))]);
    assert!(alone.contains("the rear right inner pad is at or past its renewal mark, and"), "{alone}");
    let none = second(&[lead_intact, (mark, json!(null))]);
    assert!(none.contains("by a rule of thumb)"), "{none}");
}

#[test]
fn what_a_face_s_signs_stand_for_is_said_of_the_faces_that_were_judged() {
    let limit = |reckoning: &Reckoning| {
        reckoning.answer.limits.iter().find(|limit| limit.text.starts_with("What a face's signs stand for")).cloned()
    };
    assert_eq!(limit(&reckon(&nothing_seen())), None);
    let judged = limit(&reckon(&[])).unwrap().evidence;
    let is_of = |corner| judged.iter().any(|one| matches!(one, Evidence::Face { corner: of, .. } if *of == corner));
    assert!(is_of(model::CornerName::RearLeft) && !is_of(model::CornerName::FrontLeft), "{judged:?}");
}
