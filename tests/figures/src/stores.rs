//! The office over PostgreSQL and a store of objects, by the clock: entries against pgbench, two processes against one, a
//! photograph's way through the office against the store's own. All of them are real and on this machine.

mod bench;
mod pushed;
mod put;

use anyhow::Result;
use rimside_tests::elsewhere::{ObjectStore, PostgreSql, name_stores};

use crate::{office::Served, place::Place, table::Table};

const PUSHED: &str = "office on PostgreSQL: 4 000 entries of one device, in forties of 100, by the clock";
const BENCHED: &str = "pgbench: the same rows in the same batches, by its own clock";
const ONE: &str = "one process on PostgreSQL: 8 devices, 9 600 entries, by the clock";
const TWO: &str = "two processes on it: the same, by the clock";
const THROUGH: &str = "office on a store of objects: ten photographs of 5 MB, by the clock";
const STRAIGHT: &str = "the store itself: the same put, by the clock";

/// Devices that push at once.
const DEVICES: usize = 8;

/// Measures each so many times and prints it.
pub fn measure(place: &Place, rounds: usize) -> Result<()> {
    let (postgresql, objects) = (PostgreSql::start()?, ObjectStore::start()?);
    let folder = tempfile::tempdir_in(&place.scratch)?;
    let stores = name_stores(&postgresql.address(), &objects.endpoint(), "figures");
    let office = folder.path().join("office");
    let one = Served::start_over(place, &office, DEVICES, &stores)?;
    let two = Served::open(place, &office, &stores)?;
    let mut table = Table::default();
    let (mut pushed, mut put) = (pushed::Pushed::new(), put::Put::new(&one.address, &objects.endpoint())?);
    let mut bench = bench::Bench::new(&postgresql);
    for round in 1..=rounds {
        println!("round {round} of {rounds}");
        table.add(PUSHED, pushed.push(&[&one.address], 1, 40, 100)?);
        table.add(BENCHED, bench.insert(40, 100)?);
        // The table grows meanwhile, and whoever is second finds it warmer: each is first once.
        let (alone, both) = ([&*one.address], [&*one.address, &*two.address]);
        // One push takes a third of a second, and the next one may differ by a tenth: many are needed.
        for (name, addresses) in [(ONE, &alone[..]), (TWO, &both), (TWO, &both), (ONE, &alone)].repeat(4) {
            table.add(name, pushed.push(addresses, DEVICES, 24, 50)?);
        }
        let (through, straight) = put.measure()?;
        table.add(THROUGH, through);
        table.add(STRAIGHT, straight);
    }
    table.print_times();
    crate::table::print_rows(&[
        (
            table.median(BENCHED) / table.median(PUSHED),
            "≥ 0.5",
            "rate of entries to the office on PostgreSQL / of pgbench",
        ),
        (table.median(ONE) / table.median(TWO), "≥ 1", "rate of two processes on one PostgreSQL / of one"),
        (
            table.median(STRAIGHT) / table.median(THROUGH),
            "≥ 0.6",
            "rate of photographs through the office / to the store itself",
        ),
    ]);
    Ok(())
}
