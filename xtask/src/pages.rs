//! The pages: their tools, their types, their build, and the journeys through them in a real browser.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::run::{cargo, command, output, run, target, top};

/// The types and words that come from the core.
const GENERATED: [&str; 2] = ["types.ts", "words.ts"];

fn ui() -> PathBuf {
    top().join("ui")
}

fn in_ui(program: &str) -> Command {
    let mut command = command(program);
    command.current_dir(ui());
    command
}

fn tool(name: &str) -> Command {
    in_ui(&ui().join("node_modules/.bin").join(name).to_string_lossy())
}

/// Whether the locked packages are there.
pub fn has_tools() -> bool {
    let lock = std::fs::read(ui().join("package-lock.json"));
    lock.is_ok_and(|lock| std::fs::read(ui().join("node_modules/installed.lock")).is_ok_and(|have| have == lock))
}

/// Installs the locked packages.
pub fn install_tools() -> Result<()> {
    run(in_ui("npm").args(["ci", "--no-audit", "--no-fund"]))?;
    std::fs::copy(ui().join("package-lock.json"), ui().join("node_modules/installed.lock"))?;
    Ok(())
}

/// Writes the types and words anew.
pub fn write_types() -> Result<()> {
    make_types(&ui().join("src/contract"))
}

/// Fails where the types in the checkout are not what the core says of itself.
pub fn check_types() -> Result<()> {
    let folder = target().join("contract");
    std::fs::create_dir_all(&folder)?;
    make_types(&folder)?;
    for name in GENERATED {
        if std::fs::read(folder.join(name))? != std::fs::read(ui().join("src/contract").join(name))? {
            bail!("ui/src/contract/{name} is stale; run `cargo xtask types`");
        }
    }
    Ok(())
}

fn make_types(folder: &Path) -> Result<()> {
    let schema = target().join("contract.json");
    let said =
        output(cargo().args(["run", "--quiet", "--locked", "--package", "rimside-api", "--example", "contract"]))?;
    std::fs::write(&schema, said)?;
    let schema = std::fs::File::open(&schema)?;
    run(in_ui("node").arg("types.mjs").arg(folder).stdin(schema))
}

/// Checks and builds the pages, and lays the demonstration visits beside them. The module must have been built.
pub fn build() -> Result<()> {
    run(tool("svelte-check").args(["--fail-on-warnings", "--output", "human"]))?;
    run(tool("vitest").args(["run", "--dir", "src", "--reporter", "dot"]))?;
    run(tool("vite").args(["build", "--logLevel", "warn"]))?;
    run(tool("vite").args(["build", "--mode", "window", "--logLevel", "warn"]))?;
    lay_demonstration()
}

/// Builds the desktop's pages and opens its window.
pub fn open_window() -> Result<()> {
    run(tool("vite").args(["build", "--mode", "window", "--logLevel", "warn"]))?;
    run(cargo().args(["run", "--locked", "--package", "rimside-window"]))
}

/// The demonstration visits, as a notebook gives them out, and a sealed report of the last.
fn lay_demonstration() -> Result<()> {
    let folder = ui().join("dist/demonstration");
    std::fs::create_dir_all(&folder)?;
    run(cargo()
        .args(["run", "--quiet", "--locked", "--package", "rimside-api", "--example", "demonstration"])
        .arg(folder))
}

/// The journeys in a real browser, judged by the command line and by the outside validators.
pub fn journeys() -> Result<()> {
    // The command line and the window come with the tests: built by themselves they would be built with other features.
    run(cargo().args(["test", "--workspace", "--locked", "--no-run"]))?;
    let mut files = Vec::new();
    for entry in std::fs::read_dir(ui().join("journeys"))? {
        let path = entry?.path();
        if path.to_string_lossy().ends_with(".test.mjs") {
            files.push(path);
        }
    }
    files.sort();
    // One after the other: two browsers on two cores make each other slow.
    run(in_ui("node")
        .args(["--test", "--test-concurrency=1", "--test-timeout=300000", "--test-reporter=spec"])
        .args(files))
}

/// Notebooks to measure with: their name, how many inspections, how wide their photographs.
const NOTEBOOKS: [(&str, &str, &str); 2] = [("large.zip", "200", "96"), ("forty.zip", "1", "4000")];

/// Prints the figures of the pages.
pub fn measure() -> Result<()> {
    let figures = ui().join("figures");
    let mut npm = command("npm");
    run(npm.current_dir(&figures).args(["ci", "--no-audit", "--no-fund"]))?;
    let mut measure = in_ui("node");
    measure.arg("figures/pages.mjs");
    for (name, inspections, width) in NOTEBOOKS {
        let file = target().join(name);
        run(cargo()
            .args(["run", "--release", "--locked", "--package", "rimside-api", "--example", "large", "--"])
            .arg(&file)
            .args([inspections, width]))?;
        measure.arg(file);
    }
    run(&mut measure)
}

/// Serves the built pages on loopback until it is ended.
pub fn serve() -> Result<()> {
    println!("\nThe field app with the demonstration visits:  http://127.0.0.1:4717/index.html#/demonstration");
    println!(
        "A sealed report, checked:                     http://127.0.0.1:4717/verify.html#report=demonstration/report.pdf"
    );
    println!("It is served on this machine alone, until Ctrl-C.");
    let status =
        tool("vite").args(["preview", "--logLevel", "error"]).status().context("the pages could not be served")?;
    if !status.success() && status.code().is_some() {
        bail!("the pages could not be served; is port 4717 in use?");
    }
    Ok(())
}
