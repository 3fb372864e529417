//! The project's figures, in one run: ratios of CPU time (user and system), medians of interleaved rounds.
//!
//! Run by `cargo xtask bench`, which builds everything in release and passes the checkout's top folder. With `office` behind
//! it, the office's figures alone are measured; with `log`, its log alone; with `stores`, those over PostgreSQL and a store of objects; with `measured`,
//! those of a drive and of a face.
#![allow(clippy::print_stdout, reason = "a command-line tool speaks on standard output")]

mod inside;
mod measured;
mod office;
mod outside;
mod place;
mod reckoning;
mod stores;
mod table;

use anyhow::{Context as _, Result, bail};

/// Rounds; each measures everything once, so that a slow spell of the machine hits all alike.
const ROUNDS: usize = 5;

fn main() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let top = arguments.next().context("expected the checkout's top folder")?;
    let what = arguments.next();
    // The bare program that the office is held against is this one, in a process of its own.
    if top == "--receive" {
        return office::receive(what.context("expected a folder")?.as_ref());
    }
    if !std::path::Path::new(&top).join("Cargo.lock").is_file() {
        bail!("{top} is no checkout; run `cargo xtask bench`");
    }
    match what.as_deref() {
        None => measure_all(&place::prepare(top.as_ref())?),
        Some("office") => measure_office(&place::prepare_office(top.as_ref())?),
        Some("log") => office::measure_log(&place::prepare_office(top.as_ref())?, ROUNDS),
        Some("stores") => stores::measure(&place::prepare_office(top.as_ref())?, ROUNDS),
        Some("measured") => measure_drive_and_face(&place::prepare_office(top.as_ref())?),
        Some(other) => bail!("{other:?} is no part of the figures; there are office, log, stores and measured"),
    }
}

fn measure_all(place: &place::Place) -> Result<()> {
    let files = measured::prepare(place)?;
    let mut office = office::prepare(place)?;
    let mut table = table::Table::default();
    for round in 1..=ROUNDS {
        println!("round {round} of {ROUNDS}");
        outside::measure(place, &mut table)?;
        inside::measure(place, &mut table)?;
        reckoning::measure(place, &mut table)?;
        measured::measure(place, &files, &mut table)?;
        office.measure(&mut table)?;
    }
    let peak = office::crowd(place, &mut table)?;
    let many = outside::seal_many(place)?;
    table.print(&many);
    table::print_rows(&office::rows(&table, peak));
    stores::measure(place, ROUNDS)
}

/// The office's figures alone.
fn measure_office(place: &place::Place) -> Result<()> {
    let (mut office, mut table) = (office::prepare(place)?, table::Table::default());
    for _ in 0..ROUNDS {
        office.measure(&mut table)?;
    }
    let peak = office::crowd(place, &mut table)?;
    table.print_times();
    table::print_rows(&office::rows(&table, peak));
    Ok(())
}

/// The figures of a drive and of a face alone.
fn measure_drive_and_face(place: &place::Place) -> Result<()> {
    let (files, mut table) = (measured::prepare(place)?, table::Table::default());
    for _ in 0..ROUNDS {
        measured::measure(place, &files, &mut table)?;
    }
    table.print_times();
    println!();
    table::print_rows(&measured::rows(&table));
    Ok(())
}
