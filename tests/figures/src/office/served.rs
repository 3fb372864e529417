//! An office in a folder of its own, served by the program as it is run.

use std::{
    io::{BufRead as _, BufReader, Read as _},
    path::Path,
    process::{Child, Command, Stdio},
};

use anyhow::{Context as _, Result};
use server::{LogFolder, digest_token};

use crate::place::{Place, run};

/// The program, and where it listens.
pub struct Served {
    child: Child,
    pub address: String,
}

/// The name of a device, which is its token as well.
pub fn device(nth: usize) -> String {
    format!("device-{nth:04}")
}

impl Served {
    /// Founds an office with so many devices, and serves it. All of them ask from one address, so what one address may take
    /// is raised; what one device may take is not.
    pub fn start(place: &Place, folder: &Path, devices: usize) -> Result<Self> {
        let office = folder.join("office");
        found(place, &office, &[])?;
        let rows = server::SqliteRows::open(&office.join("office.sqlite"))?;
        let_in(&rows, devices)?;
        drop(rows);
        Self::open(place, &office, &[])
    }

    /// The same over stores that are elsewhere, with one device more for photographs.
    pub fn start_over(place: &Place, office: &Path, devices: usize, stores: &[(String, String)]) -> Result<Self> {
        found(place, office, stores)?;
        let address = stores.iter().find(|(name, _)| name == "DATABASE_URL").context("a database")?;
        let_in(&server::PostgresRows::connect(&address.1)?, devices + 1)?;
        Self::open(place, office, stores)
    }

    /// Serves an office. What one device may ask in a minute is raised where it pushes without a pause.
    pub fn open(place: &Place, office: &Path, stores: &[(String, String)]) -> Result<Self> {
        let hurried = ["--set", "limits.device-per-minute=1000000"];
        let mut child = Command::new(&place.rimside)
            .arg("serve")
            .arg(office)
            .envs(stores.iter().cloned())
            .args(hurried.iter().filter(|_| !stores.is_empty()))
            .args(["--listen", "127.0.0.1:0", "--set", "limits.address-per-minute=1000000", "--passphrase-file"])
            .arg(&place.passphrase)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()?;
        let mut lines = BufReader::new(child.stderr.take().context("a pipe")?);
        let mut line = String::new();
        lines.read_line(&mut line)?;
        let address = line.split("\"served\":\"").nth(1).and_then(|rest| rest.split('"').next());
        let address = address.with_context(|| format!("the office said {line:?}"))?.to_owned();
        // Somebody has to read what it says, or it waits.
        std::thread::spawn(move || {
            let mut rest = Vec::new();
            while lines.by_ref().take(1 << 16).read_to_end(&mut rest).is_ok_and(|read| read > 0) {
                rest.clear();
            }
        });
        Ok(Self { child, address })
    }

    /// The high-water mark of its memory, in bytes.
    pub fn peak(&self) -> Result<u64> {
        let text = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:")).context("no VmHWM")?;
        Ok(line.trim().trim_end_matches(" kB").parse::<u64>()? * 1_024)
    }
}

fn found(place: &Place, office: &Path, stores: &[(String, String)]) -> Result<()> {
    run(Command::new(&place.rimside)
        .args(["log", "found"])
        .arg(office)
        .envs(stores.iter().cloned())
        .args(["--name", "log.example/figures", "--passphrase-file"])
        .arg(&place.passphrase))
}

fn let_in(rows: &dyn server::AllRows, devices: usize) -> Result<()> {
    let (firm, now) = (LogFolder::usual_firm(), "2026-11-24T10:00:00Z".parse()?);
    for name in (0..devices).map(device) {
        let code = digest_token(&format!("code of {name}"));
        let called = (&*name, api::Role::Inspector);
        rows.open_code(&firm, &code, called, "2100-01-01T00:00:00Z".parse()?, 5)?;
        rows.let_in(&firm, &code, &name, &digest_token(&name), now)?;
    }
    Ok(())
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
