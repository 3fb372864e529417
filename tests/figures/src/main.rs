//! The project's figures, in one run: ratios of CPU time (user and system), medians of interleaved rounds.
//!
//! Run by `cargo xtask bench`, which builds everything in release and passes the checkout's top folder.
#![allow(clippy::print_stdout, reason = "a command-line tool speaks on standard output")]

mod inside;
mod measured;
mod outside;
mod place;
mod reckoning;
mod table;

use anyhow::{Context as _, Result, bail};

/// Rounds; each measures everything once, so that a slow spell of the machine hits all alike.
const ROUNDS: usize = 5;

fn main() -> Result<()> {
    let top = std::env::args().nth(1).context("expected the checkout's top folder")?;
    if !std::path::Path::new(&top).join("Cargo.lock").is_file() {
        bail!("{top} is no checkout; run `cargo xtask bench`");
    }
    let place = place::prepare(top.as_ref())?;
    let files = measured::prepare(&place)?;
    let mut table = table::Table::default();
    for round in 1..=ROUNDS {
        println!("round {round} of {ROUNDS}");
        outside::measure(&place, &mut table)?;
        inside::measure(&place, &mut table)?;
        reckoning::measure(&place, &mut table)?;
        measured::measure(&place, &files, &mut table)?;
    }
    let many = outside::seal_many(&place)?;
    table.print(&many);
    Ok(())
}
