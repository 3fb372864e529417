//! Mutation tests of whole crates in one build.
//!
//! cargo-mutants lists the changes; building each alone takes longer than trying it. Here all of them are woven into a copy of
//! the sources, each behind a switch that an environment variable turns, and built once. Every test is run once to see which
//! changes it reaches; each change is then tried on the tests that reach it until one fails.
//!
//! It rewrites the folder that it is given, so that must be a work tree of its own:
//!
//! ```sh
//! git worktree add --detach ../tried
//! cargo run --release --manifest-path tests/mutants/Cargo.toml -- ../tried results \
//!     --package rimside-condition --package rimside-seal -- --workspace --lib --test outside
//! ```

mod change;
mod compile;
mod tests;
mod trial;
mod weave;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use clap::Parser;

use crate::change::Change;
use crate::weave::Woven;

/// Tries changes to the named packages on the tests that the last arguments name to `cargo test`.
#[derive(Parser)]
struct Arguments {
    /// A work tree of its own; its sources are rewritten.
    tree: PathBuf,
    /// Where the results go; a run that was cut off goes on from what is there.
    results: PathBuf,
    /// A package whose lines are changed; may be given more than once.
    #[arg(long, required = true)]
    package: Vec<String>,
    /// Leaves out every test with this in its name; may be given more than once.
    #[arg(long)]
    skip: Vec<String>,
    /// How many seconds of tests each change is tried on; first on those that are quick and reach little else.
    #[arg(long, default_value_t = 20)]
    seconds: u64,
    /// How many changes are tried at once.
    #[arg(long, default_value_t = 2)]
    jobs: usize,
    /// What `cargo test` is told, such as `--workspace --lib --test outside`.
    #[arg(last = true, required = true)]
    cargo_test: Vec<String>,
}

fn main() -> Result<()> {
    let asked = Arguments::parse();
    fs::create_dir_all(&asked.results)?;
    let tree = asked.tree.canonicalize().context("the work tree")?;
    let changes = list(&tree, &asked)?;
    // Once the tests were watched, their programs stand.
    let (tests, left_out) = match tests::read(&asked.results)? {
        Some(tests) => (tests, read_left_out(&asked)?),
        None => {
            let (programs, left_out) = weave_and_build(&tree, &asked, &changes)?;
            (tests::watch(&programs, &asked.skip, &asked.results)?, left_out)
        }
    };
    let trial = trial::Trial { left_out, tests, at_most: Duration::from_secs(asked.seconds) };
    trial.run(&changes, asked.jobs, &asked.results)
}

/// What cargo-mutants would change, kept from the first run on: the work tree does not hold its own sources any more.
fn list(tree: &Path, asked: &Arguments) -> Result<Vec<Change>> {
    let kept = asked.results.join("changes.json");
    if !kept.exists() {
        let changes = change::list(tree, &asked.package)?;
        fs::write(&kept, serde_json::to_vec_pretty(&changes)?)?;
    }
    Ok(serde_json::from_slice(&fs::read(&kept)?)?)
}

/// Weaves and builds until the compiler has nothing to say against what is left; gives the test programs and the changes
/// that it did not take.
fn weave_and_build(
    tree: &Path,
    asked: &Arguments,
    changes: &[Change],
) -> Result<(Vec<compile::Program>, BTreeSet<usize>)> {
    let kept = asked.results.join("left-out.json");
    let mut left_out = read_left_out(asked)?;
    let originals = read_originals(tree, asked, changes)?;
    loop {
        let mut woven: BTreeMap<PathBuf, Woven> = BTreeMap::new();
        for (file, source) in &originals {
            let here: Vec<&Change> =
                changes.iter().filter(|one| one.file == *file && !left_out.contains(&one.id)).collect();
            let result = weave::weave(source, &here).with_context(|| file.display().to_string())?;
            left_out.extend(here.iter().map(|one| one.id).filter(|id| !result.holds(*id)));
            weave::write_source(tree, file, &result.text)?;
            woven.insert(file.clone(), result);
        }
        weave::write_switches(tree, changes)?;
        match compile::build(tree, &asked.cargo_test)? {
            compile::Built::Programs(programs) => {
                fs::write(&kept, serde_json::to_vec(&left_out)?)?;
                eprintln!("{} of {} changes are woven in", changes.len() - left_out.len(), changes.len());
                return Ok((programs, left_out));
            }
            compile::Built::Complaints(complaints) => {
                let before = left_out.len();
                for complaint in &complaints {
                    let blamed = complaint.at.iter().filter_map(|(file, from, to)| {
                        Some(woven.get(file)?.blame((*from, *to)))
                            .filter(|ids| ids.iter().any(|id| !left_out.contains(id)))
                    });
                    left_out.extend(blamed.take(1).flatten().collect::<Vec<_>>());
                }
                fs::write(&kept, serde_json::to_vec(&left_out)?)?;
                eprintln!("{} complaints: {} changes left out so far", complaints.len(), left_out.len());
                ensure!(left_out.len() > before, "no change explains this: {}", complaints[0].text);
            }
        }
    }
}

/// The changes that the compiler did not take so far.
fn read_left_out(asked: &Arguments) -> Result<BTreeSet<usize>> {
    match fs::read(asked.results.join("left-out.json")) {
        Ok(bytes) => Ok(serde_json::from_slice(&bytes)?),
        Err(_) => Ok(BTreeSet::new()),
    }
}

/// The sources as they were, kept beside the results.
fn read_originals(tree: &Path, asked: &Arguments, changes: &[Change]) -> Result<BTreeMap<PathBuf, String>> {
    let files: BTreeSet<&PathBuf> = changes.iter().map(|one| &one.file).collect();
    let mut originals = BTreeMap::new();
    for file in files {
        let kept = asked.results.join("originals").join(file);
        if !kept.exists() {
            fs::create_dir_all(kept.parent().context("a folder")?)?;
            fs::copy(tree.join(file), &kept)?;
        }
        originals.insert(file.clone(), fs::read_to_string(&kept)?);
    }
    Ok(originals)
}
