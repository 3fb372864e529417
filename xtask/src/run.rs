//! Running programs: said before, timed after, failed loudly.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context as _, Result, bail};

/// The checkout's top folder.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(PathBuf::new, Path::to_owned)
}

/// Where cargo builds.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| top().join("target"), PathBuf::from)
}

/// The Python in which the outside validators are installed.
pub fn venv_python() -> PathBuf {
    top().join(".tools/venv/bin/python")
}

/// A command in the checkout's top folder.
pub fn command(program: impl AsRef<std::ffi::OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(top());
    command
}

/// A cargo command with the toolchain of the checkout.
pub fn cargo() -> Command {
    command(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Runs it with its output shown; an error says what was run.
pub fn run(command: &mut Command) -> Result<()> {
    let shown = show(command);
    println!("  $ {shown}");
    let status = command.status().with_context(|| format!("{shown} could not be started"))?;
    if !status.success() {
        bail!("{shown} ended with {status}");
    }
    Ok(())
}

/// Whether it runs and ends well; prints nothing.
pub fn succeeds(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// What it prints; an error says what it said.
pub fn output(command: &mut Command) -> Result<String> {
    let shown = show(command);
    let output = command.output().with_context(|| format!("{shown} could not be started"))?;
    if !output.status.success() {
        bail!("{shown} ended with {}: {}", output.status, String::from_utf8_lossy(&output.stderr).trim());
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

fn show(command: &Command) -> String {
    let short = |part: &std::ffi::OsStr| {
        let text = part.to_string_lossy();
        text.strip_prefix(&format!("{}/", top().display())).unwrap_or(&text).to_owned()
    };
    let program = Path::new(command.get_program()).file_name().map_or_else(String::new, &short);
    std::iter::once(program).chain(command.get_args().map(short)).collect::<Vec<_>>().join(" ")
}

/// Steps with their times, so that a budget can be kept.
#[derive(Default)]
pub struct Steps(Vec<(&'static str, f64)>);

impl Steps {
    /// Does one step and notes how long it took.
    pub fn step(&mut self, name: &'static str, work: impl FnOnce() -> Result<()>) -> Result<()> {
        println!("\n== {name}");
        let start = Instant::now();
        work().with_context(|| name)?;
        self.0.push((name, start.elapsed().as_secs_f64()));
        Ok(())
    }

    /// Prints the times.
    pub fn print(&self) {
        println!("\n{:>8}  step", "seconds");
        for (name, seconds) in &self.0 {
            println!("{seconds:8.1}  {name}");
        }
        println!("{:8.1}  together", self.0.iter().map(|step| step.1).sum::<f64>());
    }
}
