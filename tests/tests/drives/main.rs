//! Generated drives whose truth is known, recorded as devices would record them, and analysed.
//!
//! The generator (`demo::drive`) shares no code with `road_test` and adds what that does not assume: bias and drift of the
//! sensor, slopes and pitch, potholes, gear changes, a receiver's delay and its noise that stays, wind. No recording of
//! real brakes is to be had; what holds here is what holds for such drives.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

mod plan;
mod tally;

use demo::drive::{self, Chance, Generated, Hearing, Plan};
use model::TyreSize;
use road_test::{Drive, Position, Recordings, analyse, read_gpx, read_motion, read_nmea, read_position_table};
use tally::Tally;

/// Drives of four stops each.
const DRIVES: u64 = 500;
/// Pairs of drives with worn and with new discs.
const PAIRS: u64 = 120;

/// The tyres of the generated car's front axle: a circumference of 2.0725 m by the trade's factor.
const FRONT: TyreSize = TyreSize { width_mm: 245, aspect_percent: 35, rim_in: 20 };

fn record(generated: &Generated, number: u64) -> (road_test::Motion, Position) {
    let motion = read_motion(drive::motion_csv(generated).as_bytes()).unwrap();
    // The receivers write in three forms; two tell their own speed.
    let position = match number % 8 {
        0 => read_gpx(drive::gpx(generated).as_bytes()),
        1..=3 => read_nmea(drive::nmea(generated).as_bytes()),
        _ => read_position_table(drive::position_csv(generated).as_bytes()),
    };
    (motion, position.unwrap())
}

fn run(plan: &Plan, number: u64) -> (Generated, Drive) {
    let generated = drive::drive(plan);
    let (motion, position) = record(&generated, number);
    let wheels = [Some(FRONT), None];
    let seen =
        analyse(Recordings { motion: Some(&motion), position: Some(&position), wheels, ..Recordings::default() })
            .unwrap();
    (generated, seen)
}

/// Spreads work over the cores and brings what came of it together.
fn spread<T: Send>(count: u64, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) as u64;
    let work = &work;
    let mut done: Vec<(u64, T)> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads)
            .map(|thread| {
                scope.spawn(move || {
                    (thread..count).step_by(threads as usize).map(|number| (number, work(number))).collect::<Vec<_>>()
                })
            })
            .collect();
        running.into_iter().flat_map(|one| one.join().unwrap()).collect()
    });
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, one)| one).collect()
}

#[test]
fn stops_anti_lock_and_pulsation_are_found_as_they_were() {
    let mut tally = Tally::default();
    let driven = spread(DRIVES, |number| {
        let plan = plan::draw(number);
        let (generated, seen) = run(&plan, number);
        (plan, generated.truths, seen.seen)
    });
    for (number, (plan, truths, seen)) in driven.iter().enumerate() {
        tally.add(number as u64, plan, truths, seen);
    }
    rimside_tests::compare_golden("drives.md", &tally.to_markdown()).unwrap();
    assert!(tally.found() >= 0.99, "stops found: {}", tally.found());
    assert!(tally.within(0.03) >= 0.99, "mean fully developed deceleration within 3 %: {}", tally.within(0.03));
    assert!(tally.anti_lock_right() >= 0.99, "anti-lock: {}", tally.anti_lock_right());
    assert!(tally.pulsation_within(0.10) >= 1.0, "pulsation within 10 %: {}", tally.pulsation_within(0.10));
    assert!(tally.pulsation_covered() >= 0.93, "95 % intervals that hold the pulsation: {}", tally.pulsation_covered());
    assert!(tally.pulsation_imagined() <= 0.03, "pulsations that are none: {}", tally.pulsation_imagined());
    assert!(tally.pulsation_noticed() >= 0.99, "pulsations noticed: {}", tally.pulsation_noticed());
    assert!(tally.covered() >= 0.90, "95 % intervals of the deceleration that hold the truth: {}", tally.covered());
}

#[test]
fn worn_discs_sound_coarser_than_new_ones_also_in_wind() {
    let grain = |number: u64, worn: f64| {
        let plan = plan::draw_short(number);
        let generated = drive::drive(&plan);
        let (motion, position) = record(&generated, 4);
        let mut chance = Chance::new(number ^ 0xbeef);
        let hearing = Hearing {
            rate_hz: 16_000,
            worn,
            wind_db: 0.0,
            gain: chance.between(0.5, 2.0),
            early_s: chance.between(0.0, 2.0),
            seed: number * 2 + u64::from(worn > 0.5),
            circumference: plan.circumference,
        };
        let samples = drive::hear(&generated, &hearing);
        let sound = road_test::read_sound(&drive::wav(hearing.rate_hz, &[&samples])[..]).unwrap();
        let recordings = Recordings {
            motion: Some(&motion),
            position: Some(&position),
            sound: Some(&sound),
            ..Recordings::default()
        };
        analyse(recordings).unwrap().seen.sound.map(|sound| sound.grain_db)
    };
    let pairs = spread(PAIRS, |number| {
        let mut chance = Chance::new(number + 77);
        (grain(number, chance.between(0.0, 0.15)), grain(number, chance.between(0.6, 1.0)))
    });
    let ranked = pairs.iter().filter(|(new, worn)| worn.zip(*new).is_some_and(|(worn, new)| worn.value > new.value));
    let (ranked, all) = (ranked.count(), pairs.len());
    let wrong: Vec<_> =
        pairs.iter().filter(|(new, worn)| !worn.zip(*new).is_some_and(|(worn, new)| worn.value > new.value)).collect();
    assert!(ranked as f64 / all as f64 >= 0.99, "{ranked} of {all}: {wrong:?}");
}
