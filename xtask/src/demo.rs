//! `cargo xtask demo`: the main job on the invented scenario, with the real command line.

use std::path::Path;

use anyhow::{Context as _, Result, bail};

use crate::need;
use crate::run::{Steps, cargo, command, output, run, target};

const PASSPHRASE: &str = "demonstration only";

/// Draws the visits, seals the last, verifies it, breaks a copy and shows the refusal; then, if asked, serves the field
/// app with the visits in it.
pub fn run_demo(serves: bool) -> Result<()> {
    let folder = target().join("demo");
    let rimside = target().join("debug/rimside");
    let mut steps = Steps::default();
    steps.step("set-up", || need::meet(if serves { need::FOR_PAGES } else { need::FOR_DEMO }))?;
    steps.step("build", || {
        run(cargo().args(["build", "--locked", "--package", "rimside-cli", "--package", "rimside-demo"]))
    })?;
    steps.step("draw the three visits and their photographs", || {
        if folder.exists() {
            std::fs::remove_dir_all(&folder).context("the folder of an earlier demo could not be cleared")?;
        }
        run(command(target().join("debug/rimside-demo")).arg("write").arg(&folder))
    })?;
    steps.step("the buyer's letter, and the dealer's reply held against the last visit", || ask(&rimside, &folder))?;
    let passphrase = folder.join("passphrase.txt");
    std::fs::write(&passphrase, PASSPHRASE)?;
    steps.step("set up the firm and its inspector", || set_up_firm(&rimside, &folder))?;
    steps.step("the ring of both faces of the rear left disc, against references", || read_faces(&rimside, &folder))?;
    steps.step("the recordings of the last road test", || read_recordings(&rimside, &folder))?;
    steps.step("seal the third visit", || seal(&rimside, &folder))?;
    let report = folder.join("report.pdf");
    let root = folder.join("root.pem");
    steps.step("verify it", || run(command(&rimside).arg("verify").arg(&report).arg("--root").arg(&root)))?;
    steps.step("change one byte and verify again", || refuse_changed(&rimside, &report, &root))?;
    steps.step("the dealer's condition statement, resting on the report", || state(&rimside, &folder))?;
    std::fs::write(folder.join("record.json"), output(command(&rimside).args(["show", "--record"]).arg(&report))?)?;
    if serves {
        steps.step("build the field app", || crate::wasm::build().and_then(|()| crate::pages::build()))?;
    }
    steps.print();
    println!("\nFor you to look at, in {}:", folder.display());
    println!("  letter.pdf   the buyer's questions\n  reply.pdf    the dealer's reply, checked");
    println!("  statement.pdf  the dealer's statement, with the report inside (root: dealer-root.pem)");
    println!("  report.pdf   the sealed report\n  changed.pdf  the same with one byte changed");
    println!("  plots/       the road test's recordings and the rings of the faces, drawn");
    println!("  root.pem     the firm's root, which a reader brings\n  record.json  the record inside the report");
    println!("\nCheck it yourself:\n  {} verify {} --root {}", rimside.display(), report.display(), root.display());
    if serves { crate::pages::serve() } else { Ok(()) }
}

fn read_faces(rimside: &Path, folder: &Path) -> Result<()> {
    let visit = find_last_visit(folder)?;
    let faces = ["outer", "inner"].map(|face| visit.join(format!("photographs/rear-left-{face}-face-straight.jpg")));
    let mut read = command(rimside);
    read.arg("photo").args(faces).arg("--into").arg(visit.join("inspection.json"));
    read.arg("--references").arg(folder.join("references/references.json"));
    run(read.arg("--plots").arg(folder.join("plots")))
}

fn read_recordings(rimside: &Path, folder: &Path) -> Result<()> {
    let visit = find_last_visit(folder)?;
    let recordings = visit.join("recordings");
    let mut read = command(rimside);
    read.arg("recording").args(["motion.csv", "position.nmea", "sound.wav"].map(|name| recordings.join(name)));
    run(read.arg("--into").arg(visit.join("inspection.json")).arg("--plots").arg(folder.join("plots")))
}

fn ask(rimside: &Path, folder: &Path) -> Result<()> {
    let letter = folder.join("letter.json");
    let quietly = |command: &mut std::process::Command| output(command).map(drop);
    quietly(command(rimside).arg("ask").arg(&letter).arg("--out").arg(folder.join("letter.pdf")))?;
    quietly(
        command(rimside)
            .arg("reply")
            .arg(&letter)
            .arg(folder.join("reply.json"))
            .arg("--inspection")
            .arg(find_last_visit(folder)?.join("inspection.json"))
            .arg("--out")
            .arg(folder.join("reply.pdf")),
    )
}

fn set_up_firm(rimside: &Path, folder: &Path) -> Result<()> {
    let firm = folder.join("firm");
    let passphrase = folder.join("passphrase.txt");
    run(command(rimside)
        .args(["firm", "found"])
        .arg(&firm)
        .args(["--name", "Harbour & Vale Inspections", "--passphrase-file"])
        .arg(&passphrase))?;
    run(command(rimside)
        .args(["certify", "--name", "Ines Okafor-Lind", "--role", "inspector", "--id", "ines", "--firm"])
        .arg(&firm)
        .arg("--passphrase-file")
        .arg(&passphrase))?;
    std::fs::copy(firm.join("root.pem"), folder.join("root.pem"))?;
    Ok(())
}

fn state(rimside: &Path, folder: &Path) -> Result<()> {
    let (dealer, passphrase) = (folder.join("dealer"), folder.join("passphrase.txt"));
    run(command(rimside)
        .args(["firm", "found"])
        .arg(&dealer)
        .args(["--name", "Saltmarsh Motor House", "--passphrase-file"])
        .arg(&passphrase))?;
    run(command(rimside)
        .args(["certify", "--name", "Owen Tarrow", "--role", "dealer", "--id", "owen", "--firm"])
        .arg(&dealer)
        .arg("--passphrase-file")
        .arg(&passphrase))?;
    std::fs::copy(dealer.join("root.pem"), folder.join("dealer-root.pem"))?;
    run(command(rimside)
        .arg("state")
        .arg(folder.join("statement.json"))
        .arg("--report")
        .arg(folder.join("report.pdf"))
        .arg("--root")
        .arg(folder.join("root.pem"))
        .arg("--firm")
        .arg(&dealer)
        .args(["--as", "owen", "--out"])
        .arg(folder.join("statement.pdf"))
        .arg("--passphrase-file")
        .arg(&passphrase))?;
    run(command(rimside)
        .arg("verify")
        .arg(folder.join("statement.pdf"))
        .arg("--root")
        .arg(folder.join("root.pem"))
        .arg("--root")
        .arg(folder.join("dealer-root.pem")))
}

fn seal(rimside: &Path, folder: &Path) -> Result<()> {
    let visit = find_last_visit(folder)?;
    run(command(rimside)
        .arg("seal")
        .arg(visit.join("inspection.json"))
        .arg("--photographs")
        .arg(visit.join("photographs"))
        .arg("--firm")
        .arg(folder.join("firm"))
        .args(["--as", "ines", "--out"])
        .arg(folder.join("report.pdf"))
        .arg("--passphrase-file")
        .arg(folder.join("passphrase.txt")))
}

/// The visits' folders begin with their number.
fn find_last_visit(folder: &Path) -> Result<std::path::PathBuf> {
    let mut visits = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.join("inspection.json").is_file() {
            visits.push(path);
        }
    }
    visits.sort();
    visits.pop().context("the demo has written no visit")
}

/// Flips one bit in the middle of the first page's part and expects exit code 1.
fn refuse_changed(rimside: &Path, report: &Path, root: &Path) -> Result<()> {
    let mut bytes = std::fs::read(report)?;
    let place = bytes.len() / 2;
    bytes[place] ^= 1;
    let changed = report.with_file_name("changed.pdf");
    std::fs::write(&changed, bytes)?;
    println!("  byte {place} changed");
    let status = command(rimside).arg("verify").arg(&changed).arg("--root").arg(root).status()?;
    match status.code() {
        Some(1) => Ok(()),
        _ => bail!("a changed file was not refused: {status}"),
    }
}
