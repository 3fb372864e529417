//! Letters of questions, and replies held against findings, arithmetic and rules.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use condition::letter::{CheckedAnswer, ContradictedBy, Letter, Outcome, ReplyCheck, check_reply, write_letter};
use model::{
    Cause, CornerReckoning, Inspection, LetterRequest, QuestionAbout, Reckoning, Reply, parse_inspection,
    parse_letter_request, parse_reply, sample::inspection_document,
};
use proptest::prelude::*;
use serde_json::{Value, json};

fn request(changes: &[(&str, Value)]) -> LetterRequest {
    let mut document = json!({"schema": "rimside.letter/1", "demonstration": true, "dated": "2026-11-16",
        "from": {"name": "Amara Quill", "contact": "amara@quill.example"},
        "to": {"name": "Saltmarsh Motor House", "contact": "sales@saltmarsh.example"},
        "car": {"description": "Corvane Tessel", "registration": null, "vin": null,
            "odometer": {"figure": 41380, "unit": "km"}, "first_registered": "2022-03-14", "front": "carbon_ceramic",
            "rear": "carbon_ceramic", "asking_price": null}});
    for (pointer, value) in changes {
        *document.pointer_mut(pointer).unwrap() = value.clone();
    }
    parse_letter_request(document.to_string().as_bytes()).unwrap()
}

fn reply(answers: &Value, besides: Option<&str>) -> Reply {
    let document = json!({"schema": "rimside.reply/1", "from": "Saltmarsh Motor House", "dated": "2026-11-18",
        "how": "by e-mail", "answers": answers, "besides": besides});
    parse_reply(document.to_string().as_bytes()).unwrap()
}

fn answer(about: &str, words: &str, claims: &Value) -> Value {
    json!({"about": about, "words": words, "claims": claims})
}

fn inspected() -> (Inspection, Reckoning) {
    let inspection = parse_inspection(inspection_document().to_string().as_bytes()).unwrap();
    let reckoning = condition::reckon(&inspection);
    (inspection, reckoning)
}

fn one(about: &str, words: &str, claims: &Value) -> CheckedAnswer {
    let (inspection, reckoning) = inspected();
    let check = check_reply(
        &request(&[]),
        &reply(&json!([answer(about, words, claims)]), None),
        Some((&inspection, &reckoning)),
    );
    check.answers.into_iter().find(|checked| checked.words.is_some()).unwrap()
}

fn misfits(answer: &CheckedAnswer) -> Vec<(ContradictedBy, &str)> {
    answer.contradictions.iter().map(|misfit| (misfit.by, misfit.text.as_str())).collect()
}

#[test]
fn the_questions_are_for_this_very_car() {
    let letter = write_letter(&request(&[]));
    let all: Vec<_> = letter.questions.iter().map(|question| question.about).collect();
    assert_eq!(all, QuestionAbout::ALL, "each once, in their order");
    // 41 380 km are 171 % of 24 140 km, 57 % of 72 420 km and 14 % of 300 000 km (computed).
    let why: String = letter.questions.iter().map(|question| question.why.clone()).collect();
    assert!(why.contains("171 %") && why.contains("57 % of the one and 14 % of the other"), "{why}");

    let rear_of_iron = write_letter(&request(&[("/car/rear", json!("iron"))]));
    let asks = |letter: &Letter, words: &str| letter.questions.iter().any(|question| question.text.contains(words));
    assert!(asks(&rear_of_iron, "the front discs") && !asks(&letter, "the front discs"));

    let iron = write_letter(&request(&[("/car/front", json!("iron")), ("/car/rear", json!("iron"))]));
    assert!(!iron.questions.iter().any(|question| question.about == QuestionAbout::Cleaner));
    assert!(iron.questions.iter().any(|question| question.about == QuestionAbout::PadSets));
    let miles = write_letter(&request(&[("/car/odometer", json!({"figure": 25000, "unit": "mi"}))]));
    assert!(miles.questions.iter().any(|question| question.why.contains("15\u{202F}000 mi (24\u{202F}000 km)")));
}

#[test]
fn answered_evaded_and_not_answered_are_told_apart() {
    let replied = reply(
        &json!([
            answer(
                "pad_sets",
                "One in front, one at the rear.",
                &json!([{"says": "pad_sets", "axle": "front", "count": 1}])
            ),
            answer("faces", "It was serviced every year.", &json!([])),
            answer("weighed", "Never.", &json!([{"says": "not_known"}])),
            answer("linings", "New pads soon.", &json!([{"says": "hard_use", "yes": false}])),
        ]),
        None,
    );
    let ReplyCheck { answers, summary, .. } = check_reply(&request(&[]), &replied, None);
    let outcome = |about| answers.iter().find(|answer| answer.about == about).unwrap().outcome;
    assert_eq!(outcome(QuestionAbout::PadSets), Outcome::Answered);
    assert_eq!(outcome(QuestionAbout::Faces), Outcome::Evaded);
    assert_eq!(outcome(QuestionAbout::Weighed), Outcome::Answered, "that it is not known is an answer");
    assert_eq!(outcome(QuestionAbout::Linings), Outcome::Evaded, "a claim about something else");
    assert_eq!(outcome(QuestionAbout::Cleaner), Outcome::NotAnswered);
    assert!(answers.iter().map(|answer| answer.number).eq(1..=11), "by the letter's own numbers");
    assert_eq!(
        summary,
        "Of 11 questions 2 were answered, 2 met words but not what was asked, 7 were not answered. Nothing was found that does not fit."
    );
}

#[test]
fn discs_that_last_for_ever_do_not_fit_with_their_own_mark_nor_with_a_spent_one() {
    let promised = one("life", "A lifetime item.", &json!([]));
    let found = misfits(&promised);
    assert_eq!(
        found.iter().map(|misfit| misfit.0).collect::<Vec<_>>(),
        [ContradictedBy::Rule, ContradictedBy::Finding]
    );
    assert!(found[1].1.contains("the rear left disc, which is at the end of its life"), "{found:?}");
    // Said once, though the words say it and the recorder took it down.
    assert_eq!(one("life", "They never wear.", &json!([{"says": "lasts_for_ever"}])).contradictions.len(), 2);
    let besides = reply(&json!([]), Some("And the brakes are good for the life of the car!"));
    let checked = check_reply(&request(&[]), &besides, None);
    assert_eq!(checked.besides.len(), 1);
    assert!(checked.summary.ends_with("11 were not answered. One thing does not fit."), "{}", checked.summary);
}

#[test]
fn discs_that_were_replaced_are_not_the_first_ones() {
    let first = |yes: bool| one("originals", "They are.", &json!([{"says": "discs_are_first", "yes": yes}]));
    assert_eq!(
        misfits(&first(true)),
        [(
            ContradictedBy::Finding,
            "That all discs are the first ones does not fit with the front left disc, which was replaced (the dealer's invoice)."
        )]
    );
    assert_eq!(misfits(&first(false)), []);
}

/// The sample with the rear right face and bell as a wheel cleaner leaves them.
fn attacked() -> (Inspection, Reckoning) {
    let mut document = inspection_document();
    document["readings"] = json!([]);
    let corner = &mut document["corners"]["rear_right"]["seen"];
    corner["outer_face"]["seen"]["defects"] = json!([{"kind": "stain", "extent": null, "size_mm": null,
        "place": {"hour": null, "zone": "full_width"}, "photographs": [], "note": null}]);
    corner["bell"] = json!({"seen": {"finish": "etched", "fixings": {"missing_or_loose": 0, "corroded": false},
        "note": null}});
    let inspection = parse_inspection(document.to_string().as_bytes()).unwrap();
    let reckoning = condition::reckon(&inspection);
    (inspection, reckoning)
}

#[test]
fn a_cause_that_is_likely_does_not_fit_with_its_denial_and_no_other_does() {
    let (inspection, reckoning) = attacked();
    let said = |claims: &Value| {
        let replied = reply(&json!([answer("cleaner", "As it should be.", claims)]), None);
        let checked = check_reply(&request(&[]), &replied, Some((&inspection, &reckoning)));
        checked.answers.into_iter().flat_map(|one| one.contradictions).map(|one| one.text).collect::<Vec<_>>()
    };
    let chances = |cause: Cause| {
        let likely = |corner: &CornerReckoning| {
            corner
                .cause
                .as_ref()
                .is_some_and(|found| found.causes.iter().any(|one| one.cause == cause && one.chance > 0.6))
        };
        reckoning.corners.iter().filter(|(_, corner)| likely(corner)).map(|(name, _)| name.words()).collect::<Vec<_>>()
    };
    // The rear left is tinted by heat, its pads and its face are worn by a calliper that drags.
    assert_eq!((chances(Cause::Cleaner), chances(Cause::Heat)), (vec!["rear right"], vec!["rear left"]));
    let water = said(&json!([{"says": "water_only"}]));
    assert_eq!(water.len(), 1, "{water:?}");
    assert!(
        water[0].starts_with(
            "That water alone was used on the wheels does not fit with attack by a wheel cleaner, which is likely at the rear right ("
        ) && water[0].contains("the bell is etched"),
        "{water:?}"
    );
    let gentle = said(&json!([{"says": "hard_use", "yes": false}]));
    assert_eq!(gentle.len(), 1, "{gentle:?}");
    assert!(gentle[0].contains("likely at the rear left"), "{gentle:?}");
    assert_eq!(said(&json!([{"says": "hard_use", "yes": true}])), Vec::<String>::new());
}

#[test]
fn measured_values_are_held_against_marks_and_readings() {
    let mass = |grams: f64| {
        one("weighed", "Weighed.", &json!([{"says": "disc_mass", "corner": "rear_right", "mass_g": grams}]))
    };
    // New 5426 g, mark 5296 g, weighed 5362 ± 3 g at the inspection.
    assert_eq!(misfits(&mass(5_365.0)), []);
    assert_eq!(misfits(&mass(5_370.0)), [], "8 g are within three standard uncertainties");
    assert!(misfits(&mass(5_372.0))[0].1.contains("does not fit with 5362 ± 3.0 g as measured"));
    assert!(misfits(&mass(5_430.0)).iter().any(|misfit| misfit.1.contains("nothing grows by wear")));
    assert!(misfits(&mass(5_296.0)).iter().any(|misfit| misfit.0 == ContradictedBy::Rule));
    // New 32.00 mm, mark 31.20 mm, measured 31.70 ± 0.03 mm.
    let thickness = |mm: f64| {
        one("weighed", "Measured.", &json!([{"says": "disc_thickness", "corner": "rear_right", "thickness_mm": mm}]))
    };
    assert_eq!(misfits(&thickness(31.72)), []);
    assert!(misfits(&thickness(31.9))[0].1.contains("31.90 mm for the rear right disc does not fit with 31.70 ±"));
    assert_eq!(misfits(&thickness(31.2))[0].0, ContradictedBy::Rule);
    let lining = |mm: f64| one("linings", "Enough.", &json!([{"says": "lining", "axle": "rear", "lining_mm": mm}]));
    assert_eq!(misfits(&lining(5.2)), []);
    assert!(misfits(&lining(6.0))[0].1.contains("At least 6.0 mm of lining on the rear axle does not fit with 5.0 mm"));
}

#[test]
fn days_and_distances_that_cannot_be_are_found_by_arithmetic() {
    let day = |day: &str| one("faces", "Looked at.", &json!([{"says": "faces_looked_at", "day": day}]));
    assert_eq!(misfits(&day("2026-01-10")), []);
    assert!(misfits(&day("2026-12-01"))[0].1.contains("lies after it"));
    assert!(misfits(&day("2021-12-01"))[0].1.contains("first registered on 2022-03-14"));
    let replaced =
        one("originals", "One.", &json!([{"says": "disc_replaced", "corner": "rear_left", "at_km": 50000.0}]));
    assert!(misfits(&replaced)[0].1.contains("does not fit with an odometer at 41\u{202F}380 km"));
    // 1 710 days from its first registration to the reply are 56.2 months of 30.44 days, and one month is left open.
    let stood = |months: u16| one("standing", "Long.", &json!([{"says": "stood_months", "months": months}]));
    assert_eq!(misfits(&stood(57)), []);
    assert_eq!(misfits(&stood(58))[0].1, "58 months of standing do not fit with a car that is 56 months old.");
}

#[test]
fn sets_of_pads_are_held_against_the_rule_and_the_inspection() {
    let sets = |count: u8| one("pad_sets", "Some.", &json!([{"says": "pad_sets", "axle": "front", "count": count}]));
    // 41 380 km over 20 sets and the one fitted are 1 970 km to a set, of about 24 140.
    assert!(
        misfits(&sets(20)).iter().any(|misfit| misfit.0 == ContradictedBy::Rule && misfit.1.contains("far less than"))
    );
    // None used, so the ones that are fitted went 41 380 km: less than three times the rule.
    assert_eq!(misfits(&sets(0)), []);
    // 90 000 km on the first set are more than three times it.
    let far = request(&[("/car/odometer", json!({"figure": 90000, "unit": "km"}))]);
    let first = json!([answer("pad_sets", "The first.", &json!([{"says": "pad_sets", "axle": "front", "count": 0}]))]);
    let checked = check_reply(&far, &reply(&first, None), None);
    let about = checked.answers.iter().find(|one| one.about == QuestionAbout::PadSets).unwrap();
    assert!(misfits(about)[0].1.contains("are 90\u{202F}000 km to a set"), "{:?}", misfits(about));
    assert!(misfits(about)[0].1.contains("far more than the rule of thumb"), "{:?}", misfits(about));
    let known = inspected().0.car.pad_sets_used.front.unwrap();
    assert!(!misfits(&sets(known)).iter().any(|misfit| misfit.0 == ContradictedBy::Finding));
    assert!(misfits(&sets(known + 1)).iter().any(|misfit| misfit.0 == ContradictedBy::Finding));
}

#[test]
fn a_reply_is_refused_where_it_cannot_be_read() {
    let twice = json!({"schema": "rimside.reply/1", "from": "x", "dated": "2026-11-18", "how": "x", "besides": null,
        "answers": [answer("faces", "a", &json!([])), answer("faces", "b", &json!([]))]});
    let error = parse_reply(twice.to_string().as_bytes()).unwrap_err().to_string();
    assert!(error.contains("answers[1].about") && error.contains("each once"), "{error}");
    let unknown = twice.to_string().replace("\"how\"", "\"when\"");
    assert!(parse_reply(unknown.as_bytes()).is_err());
    let late = json!({"schema": "rimside.letter/1", "demonstration": false, "dated": "2020-01-01",
        "from": {"name": "a", "contact": "b"}, "to": {"name": "c", "contact": "d"},
        "car": {"description": "x", "registration": null, "vin": null, "odometer": null,
            "first_registered": "2022-03-14", "front": null, "rear": null, "asking_price": null}});
    assert!(
        parse_letter_request(late.to_string().as_bytes()).unwrap_err().to_string().contains("car.first_registered")
    );
}

proptest! {
    #[test]
    fn any_words_are_checked_without_harm(words in "\\PC{1,200}", about in 0_usize..11) {
        let about = serde_json::to_value(QuestionAbout::ALL[about]).unwrap();
        let document = json!({"schema": "rimside.reply/1", "from": "x", "dated": "2026-11-18", "how": "x",
            "besides": words, "answers": [{"about": about, "words": words, "claims": []}]});
        if let Ok(reply) = parse_reply(document.to_string().as_bytes()) {
            let check = check_reply(&request(&[]), &reply, None);
            prop_assert!(check.answers.iter().all(|answer| answer.outcome != Outcome::Answered));
        }
    }
}
