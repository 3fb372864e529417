//! `cargo xtask bench`: ratios of CPU time, medians of interleaved runs in one go; then the figures of the pages.

use anyhow::Result;

use crate::need;
use crate::run::{cargo, command, run, target, top};

/// Builds in release, then measures and prints one table; the figures themselves are in `tests/figures`.
pub fn run_bench() -> Result<()> {
    need::meet(need::FOR_BENCH)?;
    crate::wasm::build()?;
    let build = ["build", "--release", "--locked", "--package", "rimside-cli", "--package", "rimside-demo"];
    run(cargo().args(build).args(["--package", "rimside-figures"]))?;
    run(command(target().join("release/rimside-figures")).arg(top()))?;
    crate::pages::build()?;
    crate::pages::measure()
}
