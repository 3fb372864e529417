//! What is measured: a large inspection, a firm, and one sealed report of it.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use demo::scenario::people;

/// Files and programs.
pub struct Place {
    pub top: PathBuf,
    pub rimside: PathBuf,
    pub python: PathBuf,
    pub pyhanko: PathBuf,
    pub large: PathBuf,
    pub many: PathBuf,
    pub firm: PathBuf,
    pub passphrase: PathBuf,
    pub scratch: PathBuf,
}

/// Photographs of the measured report.
pub const PHOTOGRAPHS: usize = 40;
/// Photographs of the report that only has to work.
pub const MANY: usize = 500;

impl Place {
    pub fn root(&self) -> PathBuf {
        self.firm.join("root.pem")
    }

    /// Where the measured report is sealed to.
    pub fn report(&self) -> PathBuf {
        self.scratch.join("large.pdf")
    }
}

/// What the office's figures need: the program that lies beside this one, and a folder.
pub fn prepare_office(top: &Path) -> Result<Place> {
    let program = std::env::current_exe()?;
    lay_out(top, program.parent().context("a folder")?)
}

fn lay_out(top: &Path, release: &Path) -> Result<Place> {
    let bench = top.join("target/bench");
    let tools = top.join(".tools/venv/bin");
    let place = Place {
        top: top.to_owned(),
        rimside: release.join("rimside"),
        python: tools.join("python"),
        pyhanko: tools.join("pyhanko"),
        large: bench.join("large"),
        many: bench.join("many"),
        firm: bench.join("firm"),
        passphrase: bench.join("passphrase.txt"),
        scratch: bench.join("scratch"),
    };
    std::fs::create_dir_all(&place.scratch)?;
    std::fs::write(&place.passphrase, "only to measure with")?;
    Ok(place)
}

/// Draws what is missing and founds a firm.
pub fn prepare(top: &Path) -> Result<Place> {
    let release = top.join("target/release");
    let place = lay_out(top, &release)?;
    let demo = release.join("rimside-demo");
    for (folder, photographs, megapixels) in [(&place.large, PHOTOGRAPHS, "12"), (&place.many, MANY, "1")] {
        if !folder.join("inspection.json").exists() {
            println!("drawing {photographs} photographs of {megapixels} megapixels");
            run(Command::new(&demo).arg("write-large").arg(folder).args([
                "--photographs",
                &photographs.to_string(),
                "--megapixels",
                megapixels,
            ]))?;
        }
    }
    if !place.root().exists() {
        run(Command::new(&place.rimside)
            .args(["firm", "found"])
            .arg(&place.firm)
            .args(["--name", people::FIRM, "--passphrase-file"])
            .arg(&place.passphrase))?;
        run(Command::new(&place.rimside)
            .args(["certify", "--name", people::INSPECTOR, "--role", "inspector", "--id", "bench", "--firm"])
            .arg(&place.firm)
            .arg("--passphrase-file")
            .arg(&place.passphrase))?;
    }
    Ok(place)
}

/// Runs a command that must end well; its words are shown when it does not.
pub fn run(command: &mut Command) -> Result<()> {
    let output =
        command.output().with_context(|| format!("{} could not be started", command.get_program().display()))?;
    if !output.status.success() {
        bail!(
            "{} ended with {}: {}",
            command.get_program().display(),
            output.status,
            String::from_utf8_lossy(&output.stderr)
        );
    }
    Ok(())
}
