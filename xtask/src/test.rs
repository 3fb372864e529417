//! `cargo xtask test` and its single steps.

use anyhow::Result;

use crate::need;
use crate::run::{Steps, cargo, run};

/// Set-up, lints, WebAssembly, pages, every test, every journey.
pub fn run_tests() -> Result<()> {
    let mut steps = Steps::default();
    steps.step("set-up", || need::meet(need::FOR_TESTS))?;
    lint(&mut steps)?;
    steps.step("WebAssembly", crate::wasm::build)?;
    steps.step("pages", || crate::pages::check_types().and_then(|()| crate::pages::build()))?;
    steps.step("tests", || run(cargo().args(["test", "--workspace", "--locked", "--no-fail-fast"])))?;
    steps.step("journeys", crate::pages::journeys)?;
    steps.print();
    Ok(())
}

/// Format, lints, licences.
pub fn run_lints() -> Result<()> {
    let mut steps = Steps::default();
    lint(&mut steps)?;
    steps.print();
    Ok(())
}

fn lint(steps: &mut Steps) -> Result<()> {
    steps.step("format", || run(cargo().args(["fmt", "--all", "--check"])))?;
    steps.step("licences", crate::licences::check)?;
    steps.step("lints", || run(cargo().args(["clippy", "--workspace", "--all-targets", "--locked"])))
}

/// The tests that write golden files: the command line's sessions, the pages' pictures, the corpus's seeds, the tables of
/// the simulated truth.
const WRITES_GOLDEN: [&[&str]; 7] = [
    &["--test", "sessions"],
    &["--test", "outside", "pages"],
    &["--test", "corpus"],
    &["--test", "truth"],
    &["--test", "drives", "stops"],
    &["--test", "faces", "the_stage"],
    &["--test", "vectors", "golden"],
];

/// Runs the golden tests in the mode that writes.
pub fn write_golden() -> Result<()> {
    need::meet(need::FOR_TESTS)?;
    for arguments in WRITES_GOLDEN {
        // One package alone would be built with other features of what it rests on, and all of that anew.
        run(cargo().env("RIMSIDE_GOLDEN", "write").args(["test", "--workspace", "--locked"]).args(arguments))?;
    }
    println!("\nThe golden files were written. Look at them before you commit them.");
    Ok(())
}
