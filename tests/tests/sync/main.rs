//! Devices and an office with all the bad luck that there is: at the end everybody has the same.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod drill;
mod firm;
mod holding;
mod kept;
mod reports;

use std::panic::{AssertUnwindSafe, catch_unwind};

use firm::{Firm, Link};
use kept::Kept;
use rimside_tests::elsewhere::{ObjectStore, PostgreSql};

/// So many histories; each is its seed, so that one that fails can be looked at alone.
const HISTORIES: u64 = 10_000;
/// So many of them over stores that answer in milliseconds and not at once.
const ELSEWHERE: u64 = 40;

/// How many devices a history has.
const fn devices(seed: u64) -> usize {
    2 + (seed % 3) as usize
}

fn live(mut firm: Firm, seed: u64) -> usize {
    let chance = firm.chance.clone();
    let link = Link {
        lost_before: chance.below(40),
        lost_after: chance.below(40),
        twice: chance.below(30),
        late: chance.below(30),
        spoilt: chance.below(20),
        stranger: chance.below(15),
    };
    let mut copies = Vec::new();
    for _ in 0..20 + chance.below(20) {
        let at = chance.below(firm.devices.len() as u64) as usize;
        match chance.below(20) {
            0 => firm.restart_office(),
            1 => firm.reopen(at),
            2 if copies.len() < 2 => copies.push((at, firm.back_up(at))),
            3 if chance.of_hundred(40) && !copies.is_empty() => {
                let (at, copy) = copies.pop().unwrap();
                firm.put_back(at, &copy);
            }
            4..=11 => firm.write(at),
            // Reports are large beside all else: one history of eight seals some.
            12 if seed.is_multiple_of(8) => firm.seal(at),
            _ => drop(firm.carry(at, 1 + chance.below(8) as usize, link)),
        }
    }
    firm.settle();
    firm.hold_together();
    firm.forks()
}

#[test]
fn whatever_happens_everybody_ends_with_the_same() {
    let threads = std::thread::available_parallelism().map_or(1, usize::from) as u64;
    let only = std::env::var("RIMSIDE_HISTORY").ok().map(|seed| seed.parse::<u64>().unwrap());
    let (forks, failed) = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|worker| {
                scope.spawn(move || {
                    let (mut forks, mut failed) = (0, Vec::new());
                    for seed in (worker..HISTORIES).step_by(threads as usize) {
                        if only.is_some_and(|only| only != seed) {
                            continue;
                        }
                        match catch_unwind(AssertUnwindSafe(|| live(Firm::begin(seed, devices(seed)), seed))) {
                            Ok(found) => forks += usize::from(found > 0),
                            Err(_) => failed.push(seed),
                        }
                        if failed.len() > 3 {
                            break;
                        }
                    }
                    (forks, failed)
                })
            })
            .collect();
        workers.into_iter().fold((0, Vec::new()), |(forks, mut failed), worker| {
            let (more, also) = worker.join().unwrap();
            failed.extend(also);
            (forks + more, failed)
        })
    });
    assert!(failed.is_empty(), "histories {failed:?} failed: RIMSIDE_HISTORY=<number> looks at one");
    // What is never tried is not shown to work.
    assert!(only.is_some() || forks > 200, "only {forks} histories had a fork");
}

/// The same histories over a PostgreSQL and a store of objects that speaks S3, both real, with two processes between which a
/// device's requests go to and fro.
#[test]
fn so_they_do_where_the_office_keeps_all_of_it_elsewhere() {
    let (postgresql, objects) = (PostgreSql::start().unwrap(), ObjectStore::start().unwrap());
    let mut forks = 0;
    for seed in 0..ELSEWHERE {
        let place = format!("history{seed}");
        let database = postgresql.make_database(&place).unwrap();
        let kept = Kept::Elsewhere { database, endpoint: objects.endpoint(), place };
        forks += live(Firm::begin_elsewhere(seed, devices(seed), kept), seed);
    }
    assert!(forks > 0, "no history had a fork");
}

/// What a sync costs on a link that is paid by the byte. Bodies are counted; headers come besides.
#[test]
fn an_idle_sync_and_a_small_one_cost_little() {
    let mut firm = Firm::begin(7, 2);
    firm.write_many(0, 10_000);
    firm.sync(0);
    firm.sync(1);
    let idle = firm.sync(0);
    let changed = firm.remark(0, &[3, 1_414, 5_000, 7_777, 9_999]);
    let told = firm.sync(0);
    let heard = firm.sync(1);
    println!("idle: {} requests, {} bytes", idle.0, idle.1);
    println!("five of 10 000 changed, {changed} bytes of entries: told in {} requests, {} bytes", told.0, told.1);
    println!("heard in {} requests, {} bytes", heard.0, heard.1);
    assert!(idle.0 == 1 && idle.1 <= 1024);
    for (requests, bytes) in [told, heard] {
        assert!(requests <= 2 && bytes as f64 <= 1.3 * changed as f64, "{requests} requests, {bytes} bytes");
    }
}
