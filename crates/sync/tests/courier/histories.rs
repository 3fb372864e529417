//! Histories of a firm in which all goes wrong: when faults cease, everybody has the same.

use std::cell::Cell;

use proptest::{
    prelude::*,
    sample::Index,
    test_runner::{Config, RngSeed, TestRunner},
};
use sync::PIECE_BYTES;

use crate::firm::{Firm, Luck, Step, Tried};

const PIECE: usize = PIECE_BYTES as usize;
/// So many of each kind; always the same ones.
const HISTORIES: u32 = 120;

fn luck() -> impl Strategy<Value = Luck> {
    prop_oneof![
        12 => Just(Luck::Good),
        1 => Just(Luck::LostOnTheWay),
        1 => Just(Luck::Late),
        1 => any::<Index>().prop_map(Luck::LateArrives),
        2 => Just(Luck::AnswerLost),
        1 => Just(Luck::AnswerCut),
        2 => Just(Luck::Twice),
        1 => Just(Luck::WrittenMeanwhile),
        1 => any::<Index>().prop_map(Luck::Spoilt),
        1 => Just(Luck::Stranger),
        1 => prop::sample::select(vec![401_u16, 408, 429, 500, 502, 503]).prop_map(Luck::Status),
        1 => (prop::sample::select(vec![429_u16, 503]), 0..9_000_000_u64)
            .prop_map(|(status, ms)| Luck::Later(status, ms)),
    ]
}

fn length() -> impl Strategy<Value = usize> {
    prop_oneof![
        6 => 0..2_000_usize,
        1 => prop::sample::select(vec![PIECE - 1, PIECE, PIECE + 77, 2 * PIECE]),
    ]
}

/// What happens to any firm.
fn usual() -> impl Strategy<Value = Step> {
    let at = || 0..3_usize;
    prop_oneof![
        5 => at().prop_map(Step::Write),
        3 => (at(), length()).prop_map(|(at, length)| Step::Photograph(at, length)),
        1 => (at(), length()).prop_map(|(at, length)| Step::Seal(at, length)),
        1 => (at(), any::<Index>()).prop_map(|(at, which)| Step::Withdraw(at, which)),
        9 => (at(), prop::collection::vec(luck(), 1..16)).prop_map(|(at, lucks)| Step::Carry(at, lucks)),
        1 => at().prop_map(Step::Reopen),
        1 => at().prop_map(Step::FetchNothing),
        1 => Just(Step::LosePieces),
    ]
}

fn live(unusual: impl Strategy<Value = Step> + 'static, has_copies: bool) -> Tried {
    let tried = Cell::new(Tried::default());
    let config = Config {
        cases: HISTORIES,
        rng_seed: RngSeed::Fixed(1_906),
        failure_persistence: None,
        max_shrink_iters: 4_000,
        ..Config::default()
    };
    let steps = prop::collection::vec(prop_oneof![5 => usual(), 1 => unusual], 1..50);
    TestRunner::new(config)
        .run(&(2..=3_usize, steps), |(count, steps)| {
            let mut firm = Firm::begin(count);
            for step in steps {
                firm.live(step);
            }
            firm.settle();
            firm.hold_together(has_copies);
            let (now, before) = (firm.tried, tried.get());
            tried.set(Tried {
                forks: before.forks + now.forks,
                lost_offices: before.lost_offices + now.lost_offices,
                lost_pieces: before.lost_pieces + now.lost_pieces,
                halts: before.halts + now.halts,
                reports: before.reports + now.reports,
            });
            Ok(())
        })
        .unwrap();
    tried.get()
}

#[test]
fn everybody_ends_with_the_same_where_copies_of_notebooks_are_put_back() {
    let unusual = prop_oneof![(0..3_usize).prop_map(Step::BackUp), any::<Index>().prop_map(Step::PutBack)];
    let tried = live(unusual, true);
    // What is never tried is not shown to work.
    assert!(tried.forks > 10 && tried.lost_pieces > 5 && tried.halts > 3 && tried.reports > 50, "{tried:?}");
}

#[test]
fn everybody_ends_with_the_same_where_the_office_is_lost_and_begins_again() {
    let unusual =
        prop_oneof![Just(Step::CopyOffice), any::<bool>().prop_map(|is_copied| Step::LoseOffice { is_copied })];
    let tried = live(unusual, false);
    assert!(tried.lost_offices > 100 && tried.reports > 50, "{tried:?}");
    assert_eq!(tried.forks, 0, "a lost office is nobody's fork");
}
