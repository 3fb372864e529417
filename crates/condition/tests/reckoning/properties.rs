//! What holds for any findings.

use std::num::NonZeroUsize;

use condition::Draws;
use model::{
    Colour, CornerReckoning, FibrePattern, Figure, Inspection, Reckoning, Touch, canonical_json, parse_inspection,
    parse_record,
    sample::{inspection_document, record_document},
};
use proptest::{prelude::*, sample::Index};
use serde_json::{Value, json};

use crate::sample::{reading, reckon};

/// Enough for what does not depend on how finely a distance is read.
const FEW: Draws = Draws(NonZeroUsize::new(200).unwrap());

fn figures(corner: &CornerReckoning) -> impl Iterator<Item = &Figure> {
    [&corner.bulk, &corner.outer_face, &corner.inner_face, &corner.outer_pad, &corner.inner_pad].into_iter().flatten()
}

fn with_none<T: Copy>(all: &[T]) -> Vec<Option<T>> {
    all.iter().copied().map(Some).chain([None]).collect()
}

#[test]
fn no_sign_of_more_wear_ever_makes_a_face_less_worn() {
    let face = |touch: &Option<Touch>, pattern: &Option<FibrePattern>, colour: &Option<Colour>| {
        let reckoning = reckon(&[
            ("/corners/rear_right/seen/outer_face/seen/touch", json!(touch)),
            ("/corners/rear_right/seen/outer_face/seen/fibre_pattern", json!(pattern)),
            ("/corners/rear_right/seen/outer_face/seen/colour", json!(colour)),
        ]);
        reckoning.corners.rear_right.outer_face.map(|figure| figure.value)
    };
    let (touches, patterns, colours) = (with_none(Touch::ALL), with_none(FibrePattern::ALL), with_none(Colour::ALL));
    let mut compared = 0;
    let mut rises = |values: Vec<Option<f64>>| {
        assert!(values.windows(2).all(|pair| pair[0] < pair[1]), "{values:?}");
        compared += 1;
    };
    for one in 0..4 {
        for other in 0..4 {
            rises(touches[..3].iter().map(|touch| face(touch, &patterns[one], &colours[other])).collect());
            rises(patterns[..3].iter().map(|pattern| face(&touches[one], pattern, &colours[other])).collect());
            rises(colours[..3].iter().map(|colour| face(&touches[one], &patterns[other], colour)).collect());
        }
    }
    assert_eq!(compared, 48);
    assert_eq!(face(&None, &None, &None), None);
}

/// The sample with some of its parts not inspected, some of its readings gone and the rest of them changed.
fn thinned(document: &mut Value, gone: &[Index], scales: &[f64]) {
    let readings = document["readings"].as_array_mut().unwrap();
    for (reading, scale) in readings.iter_mut().zip(scales) {
        for point in reading["points"].as_array_mut().unwrap() {
            point["value"] = json!(point["value"].as_f64().unwrap() * scale);
        }
    }
    for index in gone {
        let readings = document["readings"].as_array_mut().unwrap();
        if !readings.is_empty() {
            readings.remove(index.index(readings.len()));
        }
        let corners = document["corners"].as_object_mut().unwrap();
        let name = corners.keys().nth(index.index(4)).unwrap().clone();
        if let Some(seen) = corners[&name].get_mut("seen") {
            let part = seen.as_object().unwrap().keys().nth(index.index(6)).unwrap().clone();
            seen[&part] = json!({"not_inspected": "out of reach"});
        }
        let disc = if index.index(2) == 0 { "left" } else { "right" };
        let disc = &mut document["car"]["brakes"]["rear"]["discs"][disc];
        let marks = ["minimum_mass_g", "new_mass_g", "minimum_thickness_mm", "new_thickness_mm"];
        disc[marks[index.index(4)]] = json!(null);
    }
}

fn holds(reckoning: &Reckoning, inspection: &Inspection) -> Result<(), TestCaseError> {
    for (_, corner) in reckoning.corners.iter() {
        for figure in figures(corner) {
            prop_assert!(figure.value.is_finite() && figure.uncertainty > 0.0 && figure.uncertainty.is_finite());
            prop_assert!(figure.low < figure.value && figure.value < figure.high);
        }
    }
    prop_assert!((1..=3).contains(&reckoning.answer.lead.len()));
    // It fits a record, whose door reads every text and figure.
    let mut record = record_document();
    record["inspection"] = serde_json::to_value(inspection).unwrap();
    record["reckoning"] = serde_json::to_value(reckoning).unwrap();
    let read = parse_record(record.to_string().as_bytes());
    prop_assert!(read.is_ok(), "{}", read.unwrap_err());
    prop_assert_eq!(&read.unwrap().reckoning, reckoning);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn whatever_is_missing_the_reckoning_is_whole_and_repeatable(
        gone in prop::collection::vec(any::<Index>(), 0..14),
        scales in prop::collection::vec(0.5..1.02_f64, 13),
    ) {
        let mut document = inspection_document();
        thinned(&mut document, &gone, &scales);
        let inspection = parse_inspection(document.to_string().as_bytes()).unwrap();
        let reckoning = condition::reckon_with(&inspection, FEW);
        holds(&reckoning, &inspection)?;
        let again = condition::reckon_with(&parse_inspection(&canonical_json(&inspection).unwrap()).unwrap(), FEW);
        prop_assert_eq!(canonical_json(&reckoning).unwrap(), canonical_json(&again).unwrap());
    }

    #[test]
    fn a_more_worn_reading_never_gives_a_smaller_wear(
        kind in prop::sample::select(vec!["mass", "thickness", "electrical", "inner-lining", "outer-lining"]),
        less in 0.0..0.4_f64,
        more in 0.0..0.4_f64,
    ) {
        let (less, more) = if less <= more { (less, more) } else { (more, less) };
        let worn = |by: f64| {
            // Every point of the reading falls by this share of its allowance, as all of them do with wear.
            let allowance = match kind { "mass" => 0.130, "thickness" => 0.8, "electrical" => 11.0, _ => 8.0 };
            let mut document = inspection_document();
            let points = document.pointer_mut(&reading(&format!("rear-right-{kind}"), "/points")).unwrap();
            for point in points.as_array_mut().unwrap() {
                point["value"] = json!(point["value"].as_f64().unwrap() - by * allowance);
            }
            let inspection = parse_inspection(document.to_string().as_bytes()).unwrap();
            let corner = condition::reckon_with(&inspection, FEW).corners.rear_right;
            match kind { "inner-lining" => corner.inner_pad, "outer-lining" => corner.outer_pad, _ => corner.bulk }.unwrap().value
        };
        prop_assert!(worn(less) <= worn(more) + 1e-12);
    }
}
