//! Each change tried on the tests that reach it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::Write as _;
use std::path::Path;
use std::process::Stdio;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

use anyhow::{Result, anyhow};

use crate::change::Change;
use crate::compile::{Program, prepare};
use crate::tests::{Test, wait};

/// What changes are tried on.
pub struct Trial {
    /// The changes that were not woven in.
    pub left_out: BTreeSet<usize>,
    /// All of them.
    pub tests: Vec<Test>,
    /// So much of them for one change: what all tests reach would otherwise take minutes where none notices.
    pub at_most: Duration,
}

impl Trial {
    /// Tries every change that is not in the file of outcomes yet, and prints how many came to what.
    pub fn run(&self, changes: &[Change], jobs: usize, results: &Path) -> Result<()> {
        let path = results.join("outcomes.tsv");
        let known = read_known(&path);
        let file = Mutex::new(OpenOptions::new().create(true).append(true).open(&path)?);
        let next = AtomicUsize::new(0);
        let work = || -> Result<()> {
            while let Some(change) = changes.get(next.fetch_add(1, Ordering::Relaxed)) {
                if !known.contains_key(&change.name) {
                    write(&file, &self.attempt(change)?, &change.name)?;
                }
            }
            Ok(())
        };
        thread::scope(|scope| {
            let workers: Vec<_> = (0..jobs.max(1)).map(|_| scope.spawn(work)).collect();
            workers.into_iter().try_for_each(|worker| worker.join().map_err(|_| anyhow!("a worker stopped"))?)
        })?;
        report(changes, &read_known(&path));
        Ok(())
    }

    /// What a change came to: noticed by a test, or unnoticed by so many.
    fn attempt(&self, change: &Change) -> Result<String> {
        if self.left_out.contains(&change.id) {
            return Ok("not woven".to_owned());
        }
        let mut reaching: Vec<&Test> = self.tests.iter().filter(|test| test.reaches.contains(&change.id)).collect();
        if reaching.is_empty() {
            return Ok("reached by no test".to_owned());
        }
        // What reaches little else is about this change, most likely.
        reaching.sort_by_key(|test| test.took * test.reaches.len() as u32);
        let all = reaching.len();
        let mut sum = Duration::ZERO;
        reaching.retain(|test| {
            sum += test.took;
            sum <= self.at_most
        });
        let mut rest = &reaching[..];
        for size in (0..).map(|nth| 1_usize << (nth / 2)) {
            let (now, later) = rest.split_at(size.min(rest.len()));
            rest = later;
            if let Some(program) = find_noticing(now, change.id)? {
                return Ok(format!("noticed: {program}"));
            }
            if rest.is_empty() {
                break;
            }
        }
        Ok(format!("unnoticed: by {} of {all}", reaching.len()))
    }
}

fn write(file: &Mutex<File>, outcome: &str, name: &str) -> Result<()> {
    let mut file = file.lock().map_err(|_| anyhow!("a worker stopped"))?;
    Ok(writeln!(file, "{outcome}\t{name}")?)
}

fn read_known(path: &Path) -> BTreeMap<String, String> {
    let text = fs::read_to_string(path).unwrap_or_default();
    let lines = text.lines().filter_map(|line| line.split_once('\t'));
    lines.map(|(outcome, name)| (name.to_owned(), outcome.to_owned())).collect()
}

fn report(changes: &[Change], known: &BTreeMap<String, String>) {
    let mut counts: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for change in changes {
        let outcome = known.get(&change.name).map_or("not tried", String::as_str);
        let outcome = outcome.split(':').next().unwrap_or(outcome);
        *counts.entry((&change.package, outcome)).or_default() += 1;
    }
    for ((package, outcome), count) in counts {
        println!("{package}\t{outcome}\t{count}");
    }
}

/// The program, and where it is one alone the test, that fails with the change in force.
fn find_noticing(tests: &[&Test], change: usize) -> Result<Option<String>> {
    let mut by_program: BTreeMap<&Path, Vec<&Test>> = BTreeMap::new();
    for test in tests {
        by_program.entry(&test.program.path).or_default().push(test);
    }
    for tests in by_program.into_values() {
        let names: Vec<&str> = tests.iter().map(|test| test.name.as_str()).collect();
        let took = tests.iter().map(|test| test.took).sum();
        if !passes(&tests[0].program, &names, took, change)? {
            return Ok(Some(format!("{} {}", tests[0].program.name, names.join(" or "))));
        }
    }
    Ok(None)
}

/// Whether these tests pass with the change in force; what takes ten times as long as it did, and a while, does not.
fn passes(program: &Program, names: &[&str], took: Duration, change: usize) -> Result<bool> {
    let mut arguments = vec!["--exact", "--test-threads=1"];
    arguments.extend(names);
    let mut command = prepare(program, &arguments, ("RIMSIDE_CHANGE", &change.to_string()))?;
    let child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
    wait(child, took * 10 + Duration::from_secs(10))
}
