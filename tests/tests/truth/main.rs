//! Simulated truth: invented cars whose wear and cause are known, inspected by an invented inspector, and reckoned.
//!
//! The generator shares no code with `condition` and takes none of its numbers from there; only what the stages are
//! called from is the same. It adds what that does not assume: instruments with a
//! bias, heavy tails and blunders; looks that are careless; causes that come together; a shape of the signs of its own.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod car;
mod chance;
mod note;
mod said;
mod tally;

use std::num::NonZeroUsize;

use condition::Draws;
use tally::Tally;

/// How many cars.
const CARS: u64 = 10_000;
/// Wear and causes do not depend on how finely distances are read.
const FEW: Draws = Draws(NonZeroUsize::new(50).unwrap());
/// The least share of the intervals that must hold the truth, over all and in every stratum.
const LEAST_COVERAGE: f64 = 0.93;
/// A stratum of fewer figures says nothing.
const LEAST_COUNT: u32 = 200;

/// The car of this number, as it is and as it was noted.
fn draw(number: u64) -> (car::Car, note::Noted) {
    let mut chance = chance::Chance::of_car(number);
    let truth = car::Car::draw(&mut chance);
    let noted = note::inspect(&truth, &mut chance);
    (truth, noted)
}

fn reckon(number: u64, noted: &note::Noted) -> model::Reckoning {
    let inspection = model::parse_inspection(noted.document.to_string().as_bytes());
    condition::reckon_with(&inspection.unwrap_or_else(|error| panic!("car {number}: {error}")), FEW)
}

fn simulate() -> Tally {
    let threads = std::thread::available_parallelism().map_or(1, NonZeroUsize::get) as u64;
    let of_thread = |thread: u64| {
        let mut tally = Tally::default();
        for number in (thread..CARS).step_by(threads as usize) {
            let (truth, noted) = draw(number);
            tally.add(number, &truth, &noted, &reckon(number, &noted));
        }
        tally
    };
    std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads).map(|thread| scope.spawn(move || of_thread(thread))).collect();
        running.into_iter().map(|one| one.join().unwrap()).reduce(Tally::merge).unwrap()
    })
}

#[test]
fn the_intervals_hold_the_truth_and_no_warning_is_left_out() {
    let tally = simulate();
    rimside_tests::compare_golden("truth.md", &tally.to_markdown()).unwrap();
    let poor: Vec<_> = tally
        .coverages()
        .filter(|(_, stratum)| stratum.count >= LEAST_COUNT && stratum.coverage() < LEAST_COVERAGE)
        .map(|(name, stratum)| format!("{name}: {:.3} of {}", stratum.coverage(), stratum.count))
        .collect();
    assert!(poor.is_empty(), "intervals that hold the truth too seldom: {poor:#?}");
    assert!(tally.unwarned.is_empty(), "cars that must not be driven without a word: {:?}", tally.unwarned);
    assert!(tally.warned > 500, "too few cars that must not be driven to say anything: {}", tally.warned);
}
