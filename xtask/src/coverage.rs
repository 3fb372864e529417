//! `cargo xtask coverage`: which lines of each crate the tests run, as a report. It judges nothing: a line that ran was not
//! therefore looked at.

use std::{
    collections::{BTreeMap, BTreeSet},
    ffi::OsString,
    fs,
    path::{Path, PathBuf},
    process::{Command, ExitCode},
};

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

use crate::{
    need,
    run::{cargo, command, output, run, succeeds, target, top},
};

/// Tests that take minutes and run nothing that the others do not.
const LEFT_OUT: [&str; 5] = [
    "whatever_happens_everybody_ends_with_the_same",
    "so_they_do_where_the_office_keeps_all_of_it_elsewhere",
    "the_stage_is_right_over_light_angle_and_blur",
    "stops_anti_lock_and_pulsation_are_found_as_they_were",
    "the_intervals_hold_the_truth_and_no_warning_is_left_out",
];
/// Set where this program stands before the compiler.
const WRAPS: &str = "RIMSIDE_COVERAGE";

/// The compiler's command line, where cargo calls this program in its place: our own crates count their lines, those of
/// others are the ones that every other command has built.
pub fn wrapped() -> Option<ExitCode> {
    std::env::var_os(WRAPS)?;
    let mut arguments = std::env::args_os().skip(1);
    let compiler = arguments.next().filter(|first| Path::new(first).file_stem().is_some_and(|stem| stem == "rustc"))?;
    let status = Command::new(compiler).args(arguments).args(["-C", "instrument-coverage"]).status();
    Some(match status {
        Ok(status) if status.success() => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    })
}

/// The readers of what was counted, in any version that reads this compiler's.
fn tool(name: &str) -> Option<OsString> {
    let versions = (19..=30).rev().map(|version| format!("{name}-{version}"));
    versions.map(OsString::from).find(|program| succeeds(command(program).arg("--version")))
}

/// Whether they are there.
pub fn has_tools() -> bool {
    tool("llvm-profdata").is_some() && tool("llvm-cov").is_some()
}

/// Runs the tests with their lines counted, and prints a table.
pub fn run_coverage() -> Result<()> {
    need::meet(need::FOR_TESTS)?;
    need::meet(need::FOR_COVERAGE)?;
    let folder = target().join("coverage");
    let counts = folder.join("counts");
    if folder.exists() {
        fs::remove_dir_all(&folder)?;
    }
    fs::create_dir_all(&counts)?;
    // This program is built anew among the others, and is not to count its own lines for each of them.
    let compiler = folder.join("compiler");
    fs::copy(std::env::current_exe()?, &compiler)?;
    let tests = |arguments: &[&str]| {
        let mut tests = cargo();
        tests
            .args(["test", "--workspace", "--lib", "--bins", "--tests", "--locked"])
            .args(arguments)
            .env("RUSTC_WORKSPACE_WRAPPER", &compiler)
            .env(WRAPS, "1")
            // Nothing here is looked at in a debugger, and each test is a program of its own on the disk.
            .env("CARGO_PROFILE_DEV_DEBUG", "0")
            .env("CARGO_INCREMENTAL", "0")
            .env("LLVM_PROFILE_FILE", counts.join("%4m.profraw"));
        tests
    };
    let built = output(&mut tests(&["--no-run", "--message-format=json-render-diagnostics"]))?;
    let mut after = vec!["--no-fail-fast", "--quiet", "--"];
    after.extend(LEFT_OUT.iter().flat_map(|name| ["--skip", name]));
    run(&mut tests(&after))?;
    let merged = folder.join("merged.profdata");
    let mut merge = command(tool("llvm-profdata").context("llvm-profdata is missing")?);
    merge.args(["merge", "--sparse", "--failure-mode=all", "-o"]).arg(&merged);
    merge.args(files_in(&counts)?);
    output(&mut merge)?;
    report(&programs(&built), &merged, &folder)
}

fn files_in(folder: &Path) -> Result<Vec<PathBuf>> {
    Ok(fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect::<std::io::Result<_>>()?)
}

/// The programs that cargo has built, by what it says of them.
fn programs(said: &str) -> BTreeSet<String> {
    let lines = said.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    lines.filter_map(|line| Some(line["executable"].as_str()?.to_owned())).collect()
}

/// A table of our crates, and the same file by file beside it.
fn report(programs: &BTreeSet<String>, merged: &Path, folder: &Path) -> Result<()> {
    let mut export = command(tool("llvm-cov").context("llvm-cov is missing")?);
    export.args(["export", "--summary-only", "--format=text", "--instr-profile"]).arg(merged);
    for program in programs {
        export.args(["--object", program]);
    }
    let read: Value = serde_json::from_str(&output(&mut export)?).context("what llvm-cov says")?;
    let files = read["data"][0]["files"].as_array().context("llvm-cov names no files")?;
    let mut crates: BTreeMap<String, [u64; 2]> = BTreeMap::new();
    let mut list = String::new();
    for file in files {
        let lines = &file["summary"]["lines"];
        let (Some(path), Some(all), Some(ran)) =
            (file["filename"].as_str(), lines["count"].as_u64(), lines["covered"].as_u64())
        else {
            continue;
        };
        let Some((of, path)) = place(path) else { continue };
        list.push_str(&format!("{:5.1} %  {ran:5} of {all:5}  {path}\n", share(ran, all)));
        let [ran_there, all_there] = crates.entry(of).or_default();
        *ran_there += ran;
        *all_there += all;
    }
    if crates.is_empty() {
        bail!("no line of this project was counted");
    }
    println!("\n  lines that the tests run, without the journeys and the simulated truth");
    for (name, [ran, all]) in &crates {
        println!("{:7.1} %  {ran:6} of {all:6}  {name}", share(*ran, *all));
    }
    let files = folder.join("files.txt");
    fs::write(&files, list)?;
    println!("  each file: {}", files.strip_prefix(top()).unwrap_or(&files).display());
    Ok(())
}

/// The folder of the crate that a file belongs to, and the file's path in the checkout; none for files of tests and of others.
fn place(path: &str) -> Option<(String, String)> {
    let path = Path::new(path).strip_prefix(top()).ok()?.to_str()?;
    let (of, inside) = path.split_once("/src/")?;
    let is_ours = of.starts_with("crates/") || matches!(of, "src-tauri" | "demo");
    let is_test = inside.ends_with("tests.rs") || inside.contains("/tests/") || inside.contains("fixture");
    (is_ours && !is_test).then(|| (of.to_owned(), path.to_owned()))
}

fn share(ran: u64, all: u64) -> f64 {
    if all == 0 { 100.0 } else { ran as f64 / all as f64 * 100.0 }
}
