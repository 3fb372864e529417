//! Set-up and commands: `cargo xtask demo`, `test`, `bench` and their single steps.
//!
//! Each command does its own set-up, prints what it does, and says what to install where it may not.
#![allow(clippy::print_stdout, reason = "a command-line tool speaks on standard output")]

mod bench;
mod coverage;
mod demo;
mod licences;
mod need;
mod openssl;
mod package;
mod pages;
mod run;
mod test;
mod wasm;

use std::process::ExitCode;

const HELP: &str = "\
cargo xtask demo     seal an invented inspection, verify it, break a copy; then serve the field app (--leave: do not)
cargo xtask app      open the desktop app
cargo xtask test     every check: format, lints, licences, WebAssembly, pages, tests, outside programs, journeys
cargo xtask bench    ratios of CPU time, medians of interleaved runs
cargo xtask coverage which lines of each crate the tests run, as a report
cargo xtask setup    only install what the tests need
cargo xtask lint     only format, lints and licences
cargo xtask wasm     only the WebAssembly build
cargo xtask pages    only the pages, checked and built
cargo xtask types    write the pages' types and words anew from the core
cargo xtask journeys only the journeys through the built pages
cargo xtask package  build the office's Debian package (--check: install it in a clean root, run its service, live its guide)
cargo xtask golden   write the golden files anew; look at them before you commit them";

fn main() -> ExitCode {
    if let Some(compiled) = coverage::wrapped() {
        return compiled;
    }
    let command = std::env::args().nth(1).unwrap_or_default();
    let done = match command.as_str() {
        "demo" => demo::run_demo(std::env::args().nth(2).as_deref() != Some("--leave")),
        "test" => test::run_tests(),
        "bench" => bench::run_bench(),
        "coverage" => coverage::run_coverage(),
        "setup" => need::meet(need::FOR_TESTS),
        "lint" => need::meet(need::FOR_TESTS).and_then(|()| test::run_lints()),
        "wasm" => need::meet(need::FOR_WASM).and_then(|()| wasm::build()),
        "app" => need::meet(need::FOR_APP).and_then(|()| pages::open_window()),
        "pages" => need::meet(need::FOR_PAGES).and_then(|()| wasm::build()).and_then(|()| pages::build()),
        "types" => need::meet(need::FOR_PAGES).and_then(|()| pages::write_types()),
        "journeys" => need::meet(need::FOR_TESTS).and_then(|()| pages::journeys()),
        "package" => package::run_package(std::env::args().nth(2).as_deref() == Some("--check")),
        "golden" => test::write_golden(),
        "help" | "--help" | "-h" => {
            println!("{HELP}");
            return ExitCode::SUCCESS;
        }
        other => {
            println!("there is no command {other:?}\n\n{HELP}");
            return ExitCode::from(64);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            println!("\nfailed: {error:#}");
            ExitCode::FAILURE
        }
    }
}
