//! What cargo-mutants would change.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, ensure};
use serde::{Deserialize, Serialize};

/// One change to one place.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Change {
    /// Its number, from 0.
    #[serde(default)]
    pub id: usize,
    /// What it does and where, as cargo-mutants says it.
    pub name: String,
    /// The package whose line it is.
    pub package: String,
    /// From the root of the work tree.
    pub file: PathBuf,
    /// What is replaced.
    pub span: Span,
    /// By what; empty for what is deleted.
    pub replacement: String,
    /// Its kind.
    pub genre: Genre,
}

/// From a place up to another.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub struct Span {
    /// The first character.
    pub start: Place,
}

/// Lines and columns from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// From 1.
    pub line: usize,
    /// From 1.
    pub column: usize,
}

/// The kinds of changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Genre {
    /// The body of a function gives a fixed value.
    FnValue,
    /// Another operator between two operands.
    BinaryOperator,
    /// No operator before an operand.
    UnaryOperator,
    /// An arm of a match is missing.
    MatchArm,
    /// The guard of an arm is always or never fulfilled.
    MatchArmGuard,
    /// A field is taken from the base of its struct expression.
    StructField,
}

/// Asks cargo-mutants for what it would change in these packages.
pub fn list(tree: &Path, packages: &[String]) -> Result<Vec<Change>> {
    let mut command = Command::new("cargo-mutants");
    command.current_dir(tree).args(["mutants", "--list", "--json"]);
    for package in packages {
        command.args(["--package", package]);
    }
    let output = command.output()?;
    ensure!(output.status.success(), "cargo mutants: {}", String::from_utf8_lossy(&output.stderr));
    let mut changes: Vec<Change> = serde_json::from_slice(&output.stdout)?;
    for (id, change) in changes.iter_mut().enumerate() {
        change.id = id;
    }
    Ok(changes)
}
