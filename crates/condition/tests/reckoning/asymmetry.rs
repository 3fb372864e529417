//! Like against like: what differs, by how much, and whether chance explains it.

use model::{Asymmetry, Axle, CornerName, Evidence, FaceName, Pairing};
use serde_json::json;

use crate::sample::{also_at, near, reading, reckon};

fn told(asymmetries: &[Asymmetry]) -> Vec<(Pairing, Option<CornerName>, Option<Axle>)> {
    asymmetries.iter().map(|one| (one.between, one.corner, one.axle)).collect()
}

#[test]
fn faces_pads_axles_and_sides_are_each_held_against_each_other() {
    let reckoning = reckon(&[]);
    // Nobody weighed the rear left disc and nobody saw the front left one: of the discs the outer faces are left.
    assert_eq!(
        told(&reckoning.asymmetries),
        [
            (Pairing::Faces, Some(CornerName::FrontRight), None),
            (Pairing::Faces, Some(CornerName::RearLeft), None),
            (Pairing::Faces, Some(CornerName::RearRight), None),
            (Pairing::Pads, Some(CornerName::RearRight), None),
            (Pairing::DiscsAcross, None, Some(Axle::Rear)),
            (Pairing::DiscsAlong, None, None),
        ]
    );
    let across = &reckoning.asymmetries[4];
    let outer = |corner| reckoning.corners.at(corner).outer_face.as_ref().unwrap();
    let (left, right) = (outer(CornerName::RearLeft), outer(CornerName::RearRight));
    near(across.difference, left.value - right.value, 1e-12);
    near(across.uncertainty, (left.uncertainty.powi(2) + right.uncertainty.powi(2)).sqrt(), 1e-12);
    near(across.deviations, across.difference / across.uncertainty, 1e-12);
    // 0.400773 / 0.132633 = 3.02, more than the 1.96 that chance explains once in twenty times.
    assert!(across.is_significant);
    assert_eq!(
        across.text,
        "The rear left disc's outer face is more worn than the rear right disc's outer face, by 40 ± 13 % of the way to \
         the mark (3.0 standard deviations)."
    );
    let face = |corner| Evidence::Face { corner, face: FaceName::Outer };
    assert_eq!(across.evidence, [face(CornerName::RearLeft), face(CornerName::RearRight)]);
}

#[test]
fn what_chance_explains_is_said_to_be_no_difference() {
    let along = &reckon(&[]).asymmetries[5];
    // 0.277599 / 0.205281 = 1.35.
    assert!(!along.is_significant);
    assert_eq!(
        along.text,
        "The front right disc's outer face and the rear right disc's outer face do not differ by more than chance \
         explains (28 ± 21 %)."
    );
}

#[test]
fn the_more_worn_pad_of_each_side_stands_for_its_side() {
    // The outer lining was the rear left corner's: then each rear corner has one.
    let of = reading("rear-right-outer-lining", "/of/corner");
    let reckoning = reckon(&[(&of, json!("rear_left"))]);
    let pads = reckoning.asymmetries.iter().find(|one| one.between == Pairing::PadsAcross).unwrap();
    assert_eq!((pads.corner, pads.axle), (None, Some(Axle::Rear)));
    // Left 15 % less worn than right.
    near(pads.difference, -0.15, 1e-9);
    assert!(pads.text.starts_with("The rear right inner pad is more worn than the rear left outer pad, by 15"));
    // With both of the right side's measured, the one that is worn more is taken.
    let reckoning = reckon(&[("/readings", also_at("rear-right-outer-lining", "rear_left", |_| ()))]);
    let pads = reckoning.asymmetries.iter().find(|one| one.between == Pairing::PadsAcross).unwrap();
    assert!(
        pads.text.starts_with("The rear right inner pad is more worn than the rear left outer pad"),
        "{}",
        pads.text
    );
}

#[test]
fn discs_that_were_both_weighed_are_compared_as_a_whole() {
    let reckoning = reckon(&[("/readings", also_at("rear-right-mass", "rear_left", |_| ()))]);
    let across = reckoning.asymmetries.iter().find(|one| one.between == Pairing::DiscsAcross).unwrap();
    assert!(across.text.contains("rear left disc as a whole"), "{}", across.text);
    assert!(across.text.contains("rear right disc as a whole"), "{}", across.text);
}
