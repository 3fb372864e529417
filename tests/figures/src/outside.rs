//! Whole processes: sealing against the scaling alone, verifying against another program.

use std::process::{Child, Command, Stdio};
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use nix::sys::resource::{UsageWho, getrusage};
use nix::sys::time::TimeValLike as _;

use crate::place::Place;
use crate::table::Table;

/// Measures each whole process once.
pub fn measure(place: &Place, table: &mut Table) -> Result<()> {
    let (cpu, peak) = cpu_and_peak(seal(place, &place.large, "large.pdf"))?;
    table.add("seal: 40 photographs of 12 megapixels", cpu);
    table.peak(peak);
    table.add("scaling alone, vipsthumbnail", cpu_and_peak(scale(place)?)?.0);
    let mut verify = Command::new(&place.rimside);
    verify.args(["verify", "--signature-only", "--root"]).arg(place.root()).arg(place.report());
    // Without the pages drawn again the verdict is "cannot be fully confirmed".
    table.add("rimside verify --signature-only, process", cpu_of_any(verify)?);
    let mut other = Command::new(&place.pyhanko);
    other.args(["sign", "validate", "--trust"]).arg(place.root()).arg("--trust-replace").arg(place.report());
    table.add("pyHanko's command line, process", cpu_of_any(other)?);
    table.add("pyHanko's library call", pyhanko_call(place)?);
    Ok(())
}

/// A report with many photographs: sealed and verified, once. Says how it went.
pub fn seal_many(place: &Place) -> Result<String> {
    let (cpu, peak) = cpu_and_peak(seal(place, &place.many, "many.pdf"))?;
    let report = place.scratch.join("many.pdf");
    let bytes = std::fs::metadata(&report)?.len();
    let mut verify = Command::new(&place.rimside);
    verify.args(["verify", "--root"]).arg(place.root()).arg(&report);
    let output = verify.output()?;
    let said = String::from_utf8_lossy(&output.stdout).lines().next().unwrap_or_default().to_owned();
    if !output.status.success() {
        bail!("a report with many photographs does not verify: {said}");
    }
    let (megabytes, peak) = (bytes as f64 / 1e6, peak as f64 / 1e6);
    Ok(format!(
        "500 photographs: {megabytes:.0} MB, sealed in {cpu:.2} s of CPU, peak {peak:.0} MB; verify says {said:?}"
    ))
}

fn seal(place: &Place, visit: &std::path::Path, name: &str) -> Command {
    let mut command = Command::new(&place.rimside);
    command
        .arg("seal")
        .arg(visit.join("inspection.json"))
        .arg("--photographs")
        .arg(visit.join("photographs"))
        .arg("--firm")
        .arg(&place.firm)
        .args(["--as", "bench", "--replace", "--out"])
        .arg(place.scratch.join(name))
        .arg("--passphrase-file")
        .arg(&place.passphrase);
    command
}

fn scale(place: &Place) -> Result<Command> {
    let out = place.scratch.join("vips");
    std::fs::create_dir_all(&out)?;
    let mut command = Command::new("vipsthumbnail");
    command.args(["--size", "1600x1600>", "-o"]).arg(out.join("%s.jpg[Q=85]"));
    for entry in std::fs::read_dir(place.large.join("photographs"))? {
        let file = entry?.path();
        // Marks of rings lie beside the photographs.
        if file.extension().is_some_and(|end| end == "jpg") {
            command.arg(file);
        }
    }
    Ok(command)
}

/// CPU seconds of the library call alone, as Python's own clock of the process says.
fn pyhanko_call(place: &Place) -> Result<f64> {
    const SCRIPT: &str = r"
import sys, time
from datetime import datetime, timezone
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.keys import load_cert_from_pemder
from pyhanko_certvalidator import ValidationContext
root = load_cert_from_pemder(sys.argv[2])
with open(sys.argv[1], 'rb') as file:
    start = time.process_time()
    [signature] = PdfFileReader(file).embedded_signatures
    status = validate_pdf_signature(signature, ValidationContext(trust_roots=[root], allow_fetching=False),
        key_usage_settings=KeyUsageConstraints(key_usage={'non_repudiation'}, extd_key_usage=None))
    assert status.bottom_line, status.summary()
    print(time.process_time() - start)
";
    let output = Command::new(&place.python).args(["-c", SCRIPT]).arg(place.report()).arg(place.root()).output()?;
    let said = String::from_utf8_lossy(&output.stdout);
    said.trim().parse().with_context(|| format!("pyHanko said {said} {}", String::from_utf8_lossy(&output.stderr)))
}

fn children_cpu() -> Result<f64> {
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN)?;
    Ok((usage.user_time().num_microseconds() + usage.system_time().num_microseconds()) as f64 / 1e6)
}

/// CPU seconds, whatever the exit code says.
fn cpu_of_any(mut command: Command) -> Result<f64> {
    let before = children_cpu()?;
    command.stdout(Stdio::null()).stderr(Stdio::null()).status()?;
    Ok(children_cpu()? - before)
}

/// CPU seconds and the peak of resident memory in bytes, of a command that must end well.
fn cpu_and_peak(mut command: Command) -> Result<(f64, u64)> {
    let before = children_cpu()?;
    let program = command.get_program().to_owned();
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .with_context(|| format!("{} could not be started", program.display()))?;
    let peak = watch(&mut child)?;
    let status = child.wait()?;
    if !status.success() {
        bail!("{} ended with {status}", command.get_program().display());
    }
    Ok((children_cpu()? - before, peak))
}

/// The high-water mark that the kernel keeps, read until the process ends.
fn watch(child: &mut Child) -> Result<u64> {
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    while child.try_wait()?.is_none() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kibibytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<u64>().ok());
        peak = peak.max(kibibytes.unwrap_or(0) * 1_024);
        std::thread::sleep(Duration::from_millis(2));
    }
    Ok(peak)
}
