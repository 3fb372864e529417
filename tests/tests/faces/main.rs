//! Drawn faces whose stage of wear is known, photographed from angles in uneven light, marked a little wrong, and read.
//!
//! The drawing (`demo::face`) shares no code with `photo`. No photographs of brake discs are to be had.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::fmt::Write as _;

use condition::compare_faces;
use demo::{
    drive::Chance,
    face::{self, DIAMETER_MM, Face},
};
use model::{FaceSeen, ReferenceStage as Stage};
use photo::disc::{Ellipse, FaceError, Reference, ReferenceSet, RingMark, read_face};

const FACES: u64 = 120;
const SIZE: (u32, u32) = (1300, 1000);

/// Marks as a person does: each point up to half a percent of the disc beside its place.
fn mark(drawn: &face::Drawn, chance: &mut Chance) -> RingMark {
    let reach = (drawn.outer[0].0 - drawn.outer[2].0).abs() * 0.005;
    let mut shake = |points: [(f64, f64); 4]| {
        points.map(|(x, y)| (x + chance.between(-reach, reach), y + chance.between(-reach, reach)))
    };
    RingMark {
        outer: Ellipse::through(shake(drawn.outer)),
        inner: Ellipse::through(shake(drawn.inner)),
        outer_diameter_mm: DIAMETER_MM,
    }
}

fn read(face: &Face) -> Result<FaceSeen, FaceError> {
    let drawn = face::draw(face);
    read_face(&drawn.picture, &mark(&drawn, &mut Chance::new(face.seed ^ 0xabc)), None)
}

fn wear_of(stage: Stage, chance: &mut Chance) -> f64 {
    match stage {
        Stage::Start => chance.between(0.0, 0.15),
        Stage::Middle => chance.between(0.42, 0.58),
        Stage::End => chance.between(0.85, 1.0),
    }
}

/// A face as chance has it.
fn drawn_by_chance(seed: u64, stage: Stage) -> Face {
    let mut chance = Chance::new(seed);
    Face {
        seed,
        wear: wear_of(stage, &mut chance),
        tilt_deg: chance.between(0.0, 30.0),
        lean: chance.between(0.0, std::f64::consts::TAU),
        uneven: chance.between(0.0, 0.6),
        exposure: chance.between(0.75, 1.4),
        blur_px: chance.between(0.3, 1.6),
        noise: chance.between(1.0, 4.0),
        stain: 0.0,
        size: SIZE,
    }
}

/// What an inspector gathers: some of each stage, on different days and in different light.
fn references() -> ReferenceSet {
    let all = Stage::ALL.iter().flat_map(|&stage| (0..7).map(move |number| (number, stage)));
    let references = all.filter_map(|(number, stage)| {
        let seen = read(&drawn_by_chance(9000 + 10 * stage as u64 + number, stage)).ok()?;
        Some(Reference::of(stage, &seen.pattern))
    });
    ReferenceSet::new(references.collect()).unwrap()
}

#[test]
fn the_stage_is_right_over_light_angle_and_blur() {
    let set = references();
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) as u64;
    let judged: Vec<(Stage, bool, Option<Option<Stage>>)> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads)
            .map(|thread| {
                let set = &set;
                scope.spawn(move || {
                    (thread..FACES)
                        .step_by(threads as usize)
                        .map(|number| {
                            let stage = Stage::ALL[(number % 3) as usize];
                            let seen = read(&drawn_by_chance(100 + number, stage)).ok();
                            let passes = seen.as_ref().is_some_and(|seen| seen.quality.passes);
                            (stage, passes, seen.map(|seen| set.propose(&seen.pattern).stage))
                        })
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        running.into_iter().flat_map(|one| one.join().unwrap()).collect()
    });
    let mut table = String::from(
        "# Drawn faces\n\n| true stage | faces | pass the look | start | middle | end | unlike any |\n|---|---|---|---|---|---|---|\n",
    );
    let (mut right, mut all) = (0, 0);
    for &stage in Stage::ALL {
        let own: Vec<_> = judged.iter().filter(|one| one.0 == stage).collect();
        let passing: Vec<_> = own.iter().filter(|one| one.1).filter_map(|one| one.2).collect();
        let count = |wanted: Option<Stage>| passing.iter().filter(|&&one| one == wanted).count();
        let _ = writeln!(
            table,
            "| {stage:?} | {} | {} | {} | {} | {} | {} |",
            own.len(),
            passing.len(),
            count(Some(Stage::Start)),
            count(Some(Stage::Middle)),
            count(Some(Stage::End)),
            count(None)
        );
        right += count(Some(stage));
        all += passing.len();
    }
    rimside_tests::compare_golden("faces.md", &table).unwrap();
    assert!(all as u64 > FACES / 2, "{all} of {FACES} pass the look");
    assert!(right as f64 / all as f64 >= 0.95, "{right} of {all}");
}

#[test]
fn two_faces_of_one_stage_are_told_alike_and_a_spent_one_from_a_sound_one() {
    let seen = |seed, stage| read(&Face { blur_px: 0.6, uneven: 0.2, ..drawn_by_chance(seed, stage) }).unwrap().pattern;
    let outer = seen(501, Stage::End);
    let inner = seen(502, Stage::Start);
    let apart = compare_faces(&outer, &inner);
    assert!(apart.chance < 0.005, "{apart:?}");
    assert!(apart.differences[1] > 0.0, "the spent face is the more crowded one");
    let same = compare_faces(&inner, &inner);
    assert!(same.chance > 0.5, "{same:?}");
}

#[test]
fn what_is_no_disc_is_refused() {
    let mark = RingMark {
        outer: Ellipse { centre: (650.0, 500.0), axes: (440.0, 440.0), turn: 0.0 },
        inner: Ellipse { centre: (650.0, 500.0), axes: (276.0, 276.0), turn: 0.0 },
        outer_diameter_mm: DIAMETER_MM,
    };
    let sky = image::RgbImage::from_fn(SIZE.0, SIZE.1, |_, y| image::Rgb([120 + (y / 16) as u8, 150, 220]));
    assert!(matches!(read_face(&sky, &mark, None), Err(FaceError::NoDisc { .. })));
    let mut chance = Chance::new(5);
    let gravel = image::RgbImage::from_fn(SIZE.0, SIZE.1, |_, _| image::Rgb([(chance.unit() * 255.0) as u8; 3]));
    assert!(matches!(read_face(&gravel, &mark, None), Err(FaceError::NoDisc { .. })));
    // A disc, and a mark beside it.
    let drawn = face::draw(&Face { size: SIZE, tilt_deg: 0.0, ..Face::default() });
    let beside =
        RingMark { outer: mark.outer.scaled(0.7), inner: mark.inner.scaled(0.7), outer_diameter_mm: 0.7 * DIAMETER_MM };
    assert!(matches!(read_face(&drawn.picture, &beside, None), Err(FaceError::NoDisc { .. })));
}

/// A tyre on its wheel: rubber with ribs and letters around it. It has the edges of a ring, and no fibres.
#[test]
fn a_tyre_is_refused() {
    let mut chance = Chance::new(77);
    let tyre = image::RgbImage::from_fn(SIZE.0, SIZE.1, |x, y| {
        let (x, y) = (f64::from(x) - 650.0, f64::from(y) - 500.0);
        let (radius, angle) = (libm::hypot(x, y), libm::atan2(y, x));
        let noise = 3.0 * chance.unit();
        let value = if radius > 440.0 {
            150.0
        } else if radius < 276.0 {
            190.0 + 30.0 * libm::sin(5.0 * angle)
        } else {
            let rib = if (radius / 9.0) as i64 % 2 == 0 { 34.0 } else { 27.0 };
            let letter = (330.0..352.0).contains(&radius) && (angle * 14.0) as i64 % 3 == 0;
            let light = 1.0 + 0.3 * x / 440.0;
            (if letter { 44.0 } else { rib }) * light
        };
        image::Rgb([(value + noise) as u8; 3])
    });
    let ring = |radius: f64| Ellipse { centre: (650.0, 500.0), axes: (radius, radius), turn: 0.0 };
    let mark = RingMark { outer: ring(440.0), inner: ring(276.0), outer_diameter_mm: DIAMETER_MM };
    let refused = read_face(&tyre, &mark, None);
    assert!(matches!(refused, Err(FaceError::Ribbed { .. })), "{refused:?}");
}

#[test]
fn a_stained_bell_is_less_even_than_a_clean_one() {
    let mut drawn = face::draw(&Face { size: SIZE, tilt_deg: 5.0, ..Face::default() });
    let bell = Ellipse::through(drawn.inner);
    let clean = photo::disc::read_bell(&drawn.picture, &bell, None).unwrap();
    for (x, _, pixel) in drawn.picture.enumerate_pixels_mut() {
        if f64::from(x) < bell.centre.0 {
            pixel.0[2] /= 2;
        }
    }
    let stained = photo::disc::read_bell(&drawn.picture, &bell, None).unwrap();
    assert!(stained.value > clean.value + 5.0, "{stained:?} against {clean:?}");
}
