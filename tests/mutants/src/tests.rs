//! The tests, and which changes each reaches.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::Result;
use serde::{Deserialize, Serialize};

use crate::compile::{Program, prepare};

/// A test that passes while no change is in force.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Test {
    /// The program that holds it.
    pub program: Program,
    /// Its name there.
    pub name: String,
    /// How long it took.
    pub took: Duration,
    /// The changes that it reaches.
    pub reaches: BTreeSet<usize>,
}

/// What takes longer is left out.
const LONGEST: Duration = Duration::from_secs(60);

const KEPT: &str = "tests.json";

/// What an earlier run found.
pub fn read(results: &Path) -> Result<Option<Vec<Test>>> {
    match fs::read(results.join(KEPT)) {
        Ok(bytes) => Ok(Some(serde_json::from_slice(&bytes)?)),
        Err(_) => Ok(None),
    }
}

/// Runs every test alone; those that do not pass so are named and left out. What was found is kept for the next run.
pub fn watch(programs: &[Program], skip: &[String], results: &Path) -> Result<Vec<Test>> {
    let noted = results.join("reached");
    let mut tests = Vec::new();
    for program in programs {
        let output = prepare(program, &["--list", "--format", "terse"], ("RIMSIDE_CHANGE", "none"))?.output()?;
        let names = String::from_utf8(output.stdout)?;
        for name in names.lines().filter_map(|line| line.strip_suffix(": test")) {
            if skip.iter().any(|part| name.contains(part.as_str()) || program.name.contains(part.as_str())) {
                continue;
            }
            let _ = fs::remove_file(&noted);
            let begun = Instant::now();
            let mut run = prepare(program, &["--exact", name], ("RIMSIDE_WATCH", &noted.to_string_lossy()))?;
            let child = run.stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
            if !wait(child, LONGEST)? {
                eprintln!("left out, as it takes too long or fails without a change: {} {name}", program.name);
                continue;
            }
            let took = begun.elapsed();
            let reaches = fs::read_to_string(&noted).unwrap_or_default();
            let reaches = reaches.lines().filter_map(|line| line.parse().ok()).collect();
            tests.push(Test { program: program.clone(), name: name.to_owned(), took, reaches });
        }
        eprintln!("{}: {} tests so far", program.name, tests.len());
    }
    fs::write(results.join(KEPT), serde_json::to_vec(&tests)?)?;
    Ok(tests)
}

/// Whether a program ends well within this time; it is ended after it.
pub fn wait(mut child: Child, at_most: Duration) -> Result<bool> {
    let begun = Instant::now();
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(status.success());
        }
        if begun.elapsed() > at_most {
            child.kill()?;
            child.wait()?;
            return Ok(false);
        }
        thread::sleep(Duration::from_millis(2));
    }
}
