//! What must hold whatever is found: more wear never lasts longer, agreement never widens, order and units change nothing.

use std::num::NonZeroUsize;

use condition::Draws;
use model::{Inspection, Life, Reckoning, parse_inspection, sample::inspection_document};
use proptest::prelude::*;
use serde_json::{Value, json};

const SOME: Draws = Draws(NonZeroUsize::new(2_000).unwrap());

fn read(document: &Value) -> Inspection {
    parse_inspection(document.to_string().as_bytes()).unwrap()
}

fn reckon(document: &Value) -> Reckoning {
    condition::reckon_with(&read(document), SOME)
}

/// The sample with a rear right corner in order, whose disc was weighed and whose pads were measured.
fn weighed(grams: f64, lining: f64) -> Value {
    let mut document = inspection_document();
    let instrument = json!({"name": "scale", "serial": null, "calibrated_on": null});
    let reading = |id: &str, of: Value, unit: &str, value: f64, uncertainty: f64| {
        json!({"id": id, "of": of, "unit": unit, "points": [{"at": "a", "value": value}], "uncertainty": uncertainty,
            "instrument": instrument, "taken_at": "2026-11-24T10:00:00+01:00"})
    };
    document["readings"] = json!([
        reading("mass", json!({"kind": "disc_mass", "corner": "rear_right"}), "g", grams, 3.0),
        reading("pad", json!({"kind": "lining", "corner": "rear_right", "pad": "outer"}), "mm", lining, 0.1),
    ]);
    document["car"]["prior_visits"] = json!([]);
    document["car"]["discs_replaced"] = json!([]);
    let pad = json!({"seen": {"lead": "intact", "taper_mm": 0.1, "glazed": false, "crumbling": false, "note": null}});
    let face = json!({"seen": {"seen": "wheel_off", "touch": null, "fibre_pattern": null, "colour": null, "defects": [],
        "note": null}});
    document["corners"]["rear_right"] = json!({"seen": {"outer_face": face, "inner_face": face,
        "bell": {"seen": {"finish": "even", "fixings": {"missing_or_loose": 0, "corroded": false}, "note": null}},
        "outer_pad": pad, "inner_pad": pad, "calliper": {"seen": {"state": "free", "note": null}}}});
    document
}

fn medians(life: &Life) -> Vec<f64> {
    match life {
        Life::Reckoned(bases) => bases.iter().map(|left| left.km[2]).collect(),
        Life::NotReckoned(why) => panic!("{why}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn more_wear_never_lasts_longer(one in 5_290.0..5_426.0_f64, other in 5_290.0..5_426.0_f64,
        thick in 3.0..11.0_f64, thin in 3.0..11.0_f64) {
        let (heavy, light) = (one.max(other), one.min(other));
        let (thick, thin) = (thick.max(thin), thick.min(thin));
        let less = reckon(&weighed(heavy, thick)).corners.rear_right.life;
        let more = reckon(&weighed(light, thin)).corners.rear_right.life;
        for (less, more) in [(&less.disc, &more.disc), (&less.pads, &more.pads)] {
            for (less, more) in medians(less).into_iter().zip(medians(more)) {
                prop_assert!(more <= less + 1e-9, "{more} km where it is more worn, {less} km where less");
            }
        }
    }

    #[test]
    fn a_reading_that_agrees_never_widens(grams in 5_300.0..5_420.0_f64, uncertainty in 0.5..20.0_f64) {
        let one = weighed(grams, 6.0);
        let mut two = one.clone();
        let mut again = two["readings"][0].clone();
        again["id"] = json!("mass-again");
        again["instrument"]["name"] = json!("another scale");
        again["uncertainty"] = json!(uncertainty);
        two["readings"].as_array_mut().unwrap().push(again);
        let width = |document: &Value| {
            let bulk = reckon(document).corners.rear_right.bulk.unwrap();
            bulk.high - bulk.low
        };
        prop_assert!(width(&two) <= width(&one) * (1.0 + 1e-12));
    }

    #[test]
    fn the_order_of_the_evidence_changes_no_figure(turn in 1_usize..12) {
        let document = inspection_document();
        let mut turned = document.clone();
        let readings = turned["readings"].as_array_mut().unwrap();
        let by = turn % readings.len();
        readings.rotate_left(by);
        let (one, other) = (reckon(&document), reckon(&turned));
        for ((_, one), (_, other)) in one.corners.iter().zip(other.corners.iter()) {
            let figures = |corner: &model::CornerReckoning| {
                [&corner.bulk, &corner.outer_face, &corner.inner_face, &corner.outer_pad, &corner.inner_pad]
                    .map(|figure| figure.as_ref().map(|figure| (figure.value.to_bits(), figure.uncertainty.to_bits())))
            };
            prop_assert_eq!(figures(one), figures(other));
            let chances = |corner: &model::CornerReckoning| {
                corner.cause.as_ref().map(|cause| {
                    cause.causes.iter().map(|one| one.chance.to_bits()).chain([cause.wear_only.to_bits()]).collect::<Vec<_>>()
                })
            };
            prop_assert_eq!(chances(one), chances(other));
            prop_assert_eq!(&one.life, &other.life);
        }
    }

    #[test]
    fn miles_and_kilometres_come_to_the_same(miles in 1_000_u32..150_000) {
        let mut in_miles = weighed(5_361.0, 6.0);
        in_miles["car"]["odometer"] = json!({"figure": miles, "unit": "mi"});
        let mut in_km = in_miles.clone();
        in_km["car"]["odometer"] = json!({"figure": (f64::from(miles) * 1.609_344).round() as u32, "unit": "km"});
        let (one, other) = (reckon(&in_miles), reckon(&in_km));
        let of = |reckoning: &Reckoning| {
            let corner = &reckoning.corners.rear_right;
            (medians(&corner.life.disc), medians(&corner.life.pads), corner.cause.as_ref().unwrap().wear_only)
        };
        prop_assert_eq!(of(&one), of(&other));
        // The distances run differ by the half kilometre that a whole figure leaves out.
        for (one, other) in one.distance.iter().zip(&other.distance) {
            prop_assert!((one.share - other.share).abs() < 1e-5);
        }
    }
}
