//! `cargo xtask bench`: ratios of CPU time, medians of interleaved runs in one go.

use anyhow::Result;

use crate::need;
use crate::run::{cargo, run};

/// Measures and prints one table.
pub fn run_bench() -> Result<()> {
    need::meet(need::FOR_BENCH)?;
    run(cargo().args(["run", "--release", "--locked", "--package", "rimside-tests", "--bin", "figures"]))
}
