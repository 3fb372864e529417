//! pgbench, the tool that comes with PostgreSQL: the same rows, in the same batches, on the same server.

use std::{fmt::Write as _, path::PathBuf, process::Stdio};

use anyhow::{Context as _, Result, bail};
use rimside_tests::elsewhere::PostgreSql;
use serde_json::json;

use crate::office::entry;

pub struct Bench<'a> {
    postgresql: &'a PostgreSql,
    script: PathBuf,
    written: u64,
}

impl<'a> Bench<'a> {
    pub fn new(postgresql: &'a PostgreSql) -> Self {
        // It runs as another user, who has to find the script.
        let script = std::env::temp_dir().join(format!("rimside-pgbench-{}.sql", std::process::id()));
        Self { postgresql, script, written: 0 }
    }

    /// Inserts so many batches of so many rows as the office keeps them; the seconds by its own clock.
    pub fn insert(&mut self, batches: u64, rows: u64) -> Result<f64> {
        let mut text = String::from("BEGIN;\n");
        for nth in 1..=rows {
            let carried = entry(0, nth, "car.description", json!(super::pushed::remark(nth)));
            let body = serde_json::to_string(&carried.body)?;
            writeln!(text, "\\set number :base + {nth}")?;
            writeln!(
                text,
                "INSERT INTO entries (firm, number, device, seq, inspection, digest, link, body, taken_at) VALUES ('pgbench', \
                 :number, 'device-0000', :number, 'inspection-1', '\\x{0}', '\\x{0}', '{body}', 1800000000);",
                carried.body_digest
            )?;
        }
        writeln!(text, "END;\n\\set base :base + {rows}")?;
        std::fs::write(&self.script, text)?;
        let told = self
            .postgresql
            .program("pgbench")?
            .args(["-n", "-M", "prepared", "-c", "1", "-t", &batches.to_string()])
            .args(["-D", &format!("base={}", self.written), "-f"])
            .arg(&self.script)
            .arg(self.postgresql.address())
            .stdout(Stdio::piped())
            .output()?;
        let said = String::from_utf8_lossy(&told.stdout).into_owned();
        if !told.status.success() {
            bail!("pgbench: {}", String::from_utf8_lossy(&told.stderr));
        }
        self.written += batches * rows;
        let rate = said.lines().find_map(|line| line.strip_prefix("tps = ")).context("no rate")?;
        let rate: f64 = rate.split_whitespace().next().unwrap_or_default().parse()?;
        Ok(batches as f64 / rate)
    }
}

impl Drop for Bench<'_> {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.script);
    }
}
