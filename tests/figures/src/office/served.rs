//! An office in a folder of its own, served by the program as it is run.

use std::{
    io::{BufRead as _, BufReader, Read as _},
    path::Path,
    process::{Child, Command, Stdio},
};

use anyhow::{Context as _, Result};
use server::{Devices as _, LogFolder, digest_token};

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
        run(Command::new(&place.rimside)
            .args(["log", "found"])
            .arg(&office)
            .args(["--name", "log.example/figures", "--passphrase-file"])
            .arg(&place.passphrase))?;
        let rows = server::SqliteRows::open(&office.join("office.sqlite"))?;
        let now = "2026-11-24T10:00:00Z".parse()?;
        for name in (0..devices).map(device) {
            let code = digest_token(&format!("code of {name}"));
            rows.open_code(
                &LogFolder::firm(),
                &code,
                (&name, api::Role::Inspector),
                "2100-01-01T00:00:00Z".parse()?,
                5,
            )?;
            rows.let_in(&LogFolder::firm(), &code, &name, &digest_token(&name), now)?;
        }
        drop(rows);
        let mut child = Command::new(&place.rimside)
            .arg("serve")
            .arg(&office)
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

impl Drop for Served {
    fn drop(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
