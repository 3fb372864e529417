//! What a reader of the scenario relies on: it passes the door and the schema, it holds together, it tells its story.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use demo::{
    large::{LargeError, inspect_at_length},
    scenario::{DrawnPhotograph, car, inspect, visits},
};
use model::{
    CalliperState, CornerName, DefectKind, FaceName, HowSeen, Inspection, Measurand, PadName, PhotographSubject,
    PhotographTaken, Sha256, Touch,
};

/// Small, so that the tests are quick; every other number of a visit is independent of it.
const SIZE: (u32, u32) = (96, 72);

fn drawn() -> Vec<(Inspection, Vec<DrawnPhotograph>)> {
    visits().iter().map(|visit| inspect(visit, SIZE).unwrap()).collect()
}

fn last() -> Inspection {
    let [.., visit] = visits();
    inspect(&visit, SIZE).unwrap().0
}

/// `jsonschema`: a validator of draft 2020-12 that is not ours.
#[test]
fn every_visit_is_valid_by_the_published_schema_and_a_spoilt_one_is_not() {
    let validator = jsonschema::draft202012::new(&model::inspection_schema()).unwrap();
    for (inspection, _) in drawn() {
        let document = serde_json::to_value(&inspection).unwrap();
        let faults: Vec<_> =
            validator.iter_errors(&document).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
        assert!(faults.is_empty(), "{}: {faults:#?}", inspection.id);

        let mut spoilt = document;
        spoilt["car"]["mass_kg"] = (-1.0).into();
        assert!(!validator.is_valid(&spoilt));
    }
}

#[test]
fn the_letter_and_its_reply_are_valid_by_their_schemas() {
    let letter = serde_json::to_value(demo::scenario::letter().unwrap()).unwrap();
    let reply = serde_json::to_value(demo::scenario::reply().unwrap()).unwrap();
    for (schema, mut document) in [(model::letter_schema(), letter), (model::reply_schema(), reply)] {
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        assert!(validator.is_valid(&document));
        document["unheard_of"] = 1.into();
        assert!(!validator.is_valid(&document));
    }
}

#[test]
fn what_is_written_to_disk_comes_back_through_the_door_unchanged() {
    for (inspection, _) in drawn() {
        let written = serde_json::to_vec_pretty(&inspection).unwrap();
        assert_eq!(model::parse_inspection(&written).unwrap(), inspection);
    }
}

#[test]
fn all_of_it_is_marked_as_invented() {
    for (inspection, photographs) in drawn() {
        assert!(inspection.demonstration);
        assert!(inspection.inspector.contact.as_str().contains(".example"));
        assert!(inspection.car.vin.as_str().starts_with("00"), "00 is given to no maker");
        for photograph in photographs {
            let words = b"demonstration data";
            assert!(photograph.bytes.windows(words.len()).any(|bytes| bytes == words), "{}", photograph.id());
        }
    }
}

/// 49 CFR 565.15 (c): values of the letters, weights of the places, remainder of the sum by 11. Written here apart from
/// the model's own, and first tried on the number of NHTSA's outline, whose ninth character is 6.
#[test]
fn the_identification_number_has_a_valid_check_digit() {
    fn check_digit(vin: &str) -> char {
        const LETTERS: &str = "ABCDEFGH JKLMN P R  STUVWXYZ";
        let weights = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
        let sum: usize = vin
            .chars()
            .zip(weights)
            .map(|(c, weight)| {
                let value = c.to_digit(10).map_or_else(
                    || match LETTERS.find(c).unwrap() {
                        at @ 0..9 => at + 1,
                        at @ 9..19 => at - 8,
                        at => at - 18,
                    },
                    |digit| digit as usize,
                );
                value * weight
            })
            .sum();
        if sum % 11 == 10 { 'X' } else { char::from_digit((sum % 11) as u32, 10).unwrap() }
    }
    assert_eq!(check_digit("1J9RP1A36A1644345"), '6');
    assert_eq!(car::VIN.chars().nth(8), Some(check_digit(car::VIN)));
}

#[test]
fn the_same_visit_is_drawn_to_the_same_bytes() {
    let digests = || {
        drawn()
            .into_iter()
            .flat_map(|(inspection, photographs)| {
                let document = model::canonical_json(&inspection).unwrap();
                std::iter::once(Sha256::of(&document))
                    .chain(photographs.into_iter().map(|drawn| Sha256::of(&drawn.bytes)))
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(digests(), digests());
}

#[test]
fn every_listed_photograph_is_there_with_its_digest_and_no_two_are_alike() {
    for (inspection, photographs) in drawn() {
        let listed: Vec<_> = inspection.photographs.iter().map(|listed| (listed.id.as_str(), listed.sha256)).collect();
        let there: Vec<_> = photographs.iter().map(|drawn| (drawn.id(), Sha256::of(&drawn.bytes))).collect();
        assert_eq!(listed, there);
        let mut digests: Vec<_> = there.iter().map(|(_, digest)| digest).collect();
        digests.sort();
        digests.dedup();
        assert_eq!(digests.len(), there.len());
    }
}

#[test]
fn each_corner_and_each_paper_was_photographed_on_each_visit() {
    for (inspection, _) in drawn() {
        let shows = |subject| inspection.photographs.iter().any(|photograph| photograph.subject == subject);
        for subject in [PhotographSubject::Vin, PhotographSubject::Registration, PhotographSubject::Odometer] {
            assert!(shows(subject), "{}: {subject:?}", inspection.id);
        }
        for &corner in CornerName::ALL {
            for &face in FaceName::ALL {
                assert!(shows(PhotographSubject::Face { corner, face }), "{}: {corner:?} {face:?}", inspection.id);
            }
        }
    }
}

/// Nobody weighs a disc whose wheel never came off.
#[test]
fn what_was_measured_could_be_reached() {
    for (inspection, _) in drawn() {
        for &corner in CornerName::ALL {
            let seen = inspection.corners.at(corner).seen().unwrap();
            let wheel_off = seen.outer_face.seen().unwrap().seen == HowSeen::WheelOff;
            for reading in inspection.readings.iter().filter(|reading| reading.of.corner() == Some(corner)) {
                let needs_wheel_off = !matches!(reading.of, Measurand::Lining { .. } | Measurand::BrakeForce { .. });
                assert!(wheel_off || !needs_wheel_off, "{}: {}", inspection.id, reading.id);
            }
            for &name in PadName::ALL {
                let pad = match name {
                    PadName::Outer => &seen.outer_pad,
                    PadName::Inner => &seen.inner_pad,
                };
                let measured = inspection.readings_of(Measurand::Lining { corner, pad: name }).next().is_some();
                assert_eq!(pad.seen().is_some(), measured, "{}: {corner:?} {name:?} pad", inspection.id);
            }
            assert!(wheel_off || seen.inner_face.seen().is_none_or(|face| face.touch.is_none()));
        }
    }
}

#[test]
fn all_times_lie_in_the_visit_and_no_instrument_was_calibrated_after_it() {
    for (inspection, _) in drawn() {
        let (begin, day) = (inspection.visited_at, inspection.visited_at.date_naive());
        for reading in &inspection.readings {
            assert!(reading.taken_at >= begin && reading.taken_at.date_naive() == day, "{}", reading.id);
            assert!(reading.instrument.calibrated_on.unwrap() < day, "{}: {}", inspection.id, reading.id);
        }
        for photograph in inspection.photographs.iter().filter(|photo| photo.taken == PhotographTaken::InApp) {
            let at = photograph.taken_at.unwrap();
            assert!(at >= begin && at.date_naive() == day, "{}", photograph.id);
        }
    }
}

#[test]
fn the_car_grows_older_and_each_visit_names_the_ones_before() {
    let visits: Vec<_> = drawn().into_iter().map(|(inspection, _)| inspection).collect();
    assert_eq!(visits[0].car.odometer.figure, 19_460);
    for (at, visit) in visits.iter().enumerate() {
        let named: Vec<_> = visit.car.prior_visits.iter().map(|prior| (prior.on, prior.odometer.figure)).collect();
        let before: Vec<_> =
            visits[..at].iter().map(|prior| (prior.visited_at.date_naive(), prior.car.odometer.figure)).collect();
        assert_eq!(named, before);
        assert!(before.iter().all(|&(_, figure)| figure < visit.car.odometer.figure));
    }
}

#[test]
fn the_last_visit_finds_what_the_scenario_is_about() {
    let visit = last();
    let rear_left = visit.corners.at(CornerName::RearLeft).seen().unwrap();
    assert_eq!(rear_left.calliper.seen().unwrap().state, CalliperState::Drags);
    assert_eq!(rear_left.inner_face.seen().unwrap().touch, Some(Touch::Abrasive));
    let has = |corner, kind| {
        let seen = visit.corners.at(corner).seen().unwrap();
        [&seen.outer_face, &seen.inner_face]
            .into_iter()
            .filter_map(|face| face.seen())
            .flat_map(|face| &face.defects)
            .any(|defect| defect.kind == kind)
    };
    for &corner in CornerName::ALL {
        let rear = matches!(corner, CornerName::RearLeft | CornerName::RearRight);
        assert_eq!(has(corner, DefectKind::HeatTint), rear, "{corner:?}");
        assert_eq!(has(corner, DefectKind::Stain), corner == CornerName::FrontRight, "{corner:?}");
    }
    let mirror = visit.corners.at(CornerName::FrontLeft).seen().unwrap();
    assert_eq!(mirror.inner_face.seen().unwrap().seen, HowSeen::Mirror);
    assert!(mirror.bell.reason().is_some());

    // UK MOT inspection manual 2012 §3.8: (higher − lower) / higher; above 30 % fails (Directive 2010/48/EU).
    let force = |corner| {
        let brake = model::WhichBrake::Service;
        visit.readings_of(Measurand::BrakeForce { corner, brake }).next().unwrap().points[0].value
    };
    let (left, right) = (force(CornerName::RearLeft), force(CornerName::RearRight));
    assert!((right - left) / right > 0.30, "{left} N and {right} N");
}

#[test]
fn names_and_notes_go_beyond_latin_1() {
    let text = serde_json::to_string(&last()).unwrap();
    assert!(text.contains("Łukasz Đặng"));
    assert!(text.chars().filter(|c| ('\u{370}'..='\u{3FF}').contains(c)).count() > 30, "a note in Greek");
}

#[test]
fn a_large_visit_has_as_many_photographs_as_asked_no_two_alike_and_passes_the_door() {
    let (inspection, photographs) = inspect_at_length(41, 0.02).unwrap();
    assert_eq!((inspection.photographs.len(), photographs.len()), (41, 41));
    let mut digests: Vec<_> = inspection.photographs.iter().map(|photograph| photograph.sha256).collect();
    digests.sort();
    digests.dedup();
    assert_eq!(digests.len(), 41);

    let least = last().photographs.len();
    assert!(matches!(inspect_at_length(least - 1, 0.02), Err(LargeError::TooFew { least: told, .. }) if told == least));
    assert!(matches!(inspect_at_length(41, f64::NAN), Err(LargeError::Megapixels { .. })));
}
