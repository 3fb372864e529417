//! The build, and what the compiler says against it.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A program of tests.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Program {
    /// The package's name and the target's.
    pub name: String,
    /// What to run.
    pub path: PathBuf,
    /// Where `cargo test` would run it.
    pub folder: PathBuf,
}

/// An error of the compiler.
#[derive(Debug)]
pub struct Complaint {
    /// The bytes that it is about, by their file from the root of the work tree; what it names in passing comes last.
    pub at: Vec<(PathBuf, usize, usize)>,
    /// In full.
    pub text: String,
}

/// How a build ended.
pub enum Built {
    /// Well.
    Programs(Vec<Program>),
    /// With errors.
    Complaints(Vec<Complaint>),
}

/// Builds the tests without running them.
pub fn build(tree: &Path, cargo_test: &[String]) -> Result<Built> {
    let output = Command::new("cargo")
        .current_dir(tree)
        .args(["test", "--no-run", "--message-format", "json"])
        .args(cargo_test)
        .stderr(Stdio::piped())
        .output()?;
    let text = String::from_utf8(output.stdout)?;
    let messages: Vec<Value> = text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
    if output.status.success() {
        return Ok(Built::Programs(messages.iter().filter_map(program).collect()));
    }
    let complaints: Vec<Complaint> = messages.iter().filter_map(complaint).collect();
    ensure!(!complaints.is_empty(), "cargo test: {}", String::from_utf8_lossy(&output.stderr));
    Ok(Built::Complaints(complaints))
}

fn program(message: &Value) -> Option<Program> {
    let is_test = message["profile"]["test"].as_bool()?;
    let path = message["executable"].as_str().filter(|_| is_test)?;
    let manifest = Path::new(message["manifest_path"].as_str()?);
    let folder = manifest.parent()?.to_owned();
    let package = folder.file_name()?.to_string_lossy().into_owned();
    let name = format!("{package}/{}", message["target"]["name"].as_str()?);
    Some(Program { name, path: path.into(), folder })
}

fn complaint(message: &Value) -> Option<Complaint> {
    let said = &message["message"];
    if said["level"] != "error" {
        return None;
    }
    let mut spans: Vec<&Value> = said["spans"].as_array()?.iter().collect();
    spans.sort_by_key(|span| span["is_primary"] != true);
    let place = |span: &Value, key: &str| span[key].as_u64().map(|at| at as usize);
    let at = |span: &&Value| {
        Some((span["file_name"].as_str()?.into(), place(span, "byte_start")?, place(span, "byte_end")?))
    };
    let at: Vec<_> = spans.iter().filter_map(at).collect();
    let text = said["rendered"].as_str().unwrap_or_default().to_owned();
    (!at.is_empty()).then_some(Complaint { at, text })
}

/// Runs a program of tests with these arguments and this one variable.
pub fn prepare(program: &Program, arguments: &[&str], variable: (&str, &str)) -> Result<Command> {
    let mut command = Command::new(&program.path);
    command.current_dir(&program.folder).args(arguments).env(variable.0, variable.1).stdin(Stdio::null());
    command.env("CARGO_MANIFEST_DIR", program.folder.to_str().context("a folder's name in UTF-8")?);
    Ok(command)
}
