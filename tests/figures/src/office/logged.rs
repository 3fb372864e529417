//! The log: entries with their receipts, signed and published, against bare rows that are committed in the same batches.

use std::{sync::Arc, time::Instant};

use anyhow::{Context as _, Result, bail};
use rusqlite::Connection;
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
};
use server::{FolderShelf, LogFolder, LogKeeper, SqliteRows, log::EntryKind};

use super::{BARE_ROWS, ENTERED};
use crate::{place::Place, table::Table};

const ENTRIES: u64 = 1_000;
/// Reports that are entered at once, as when an office enters a week's.
const BATCH: u64 = 100;

/// A log and a table of rows.
pub struct Logged {
    keeper: LogKeeper,
    bare: Connection,
    entered: u64,
    _folder: tempfile::TempDir,
}

pub fn prepare(place: &Place) -> Result<Logged> {
    let folder = tempfile::tempdir_in(&place.scratch)?;
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite"))?);
    let shelf = Arc::new(FolderShelf::open(&folder.path().join("public"))?);
    let key = PrivateKey::from_seed(&[7; 32]);
    let keeper = LogKeeper::open(rows, shelf, LogFolder::usual_firm(), "log.example/figures", key)?;
    let bare = Connection::open(folder.path().join("bare.sqlite"))?;
    bare.pragma_update(None, "journal_mode", "WAL")?;
    bare.pragma_update(None, "synchronous", "FULL")?;
    bare.execute_batch("CREATE TABLE rows (number INTEGER PRIMARY KEY, entry BLOB NOT NULL) STRICT, WITHOUT ROWID")?;
    Ok(Logged { keeper, bare, entered: 0, _folder: folder })
}

impl Logged {
    pub fn measure(&mut self, table: &mut Table) -> Result<()> {
        let from = self.entered;
        self.entered += ENTRIES;
        let kinds: Vec<EntryKind> = (from..self.entered).map(issued).collect();
        let begun = Instant::now();
        for batch in kinds.chunks(BATCH as usize) {
            let entered = self.keeper.enter(batch, "2026-11-24T10:00:00Z".parse()?)?;
            for one in &entered {
                self.keeper.receipt(one).context("a receipt")?;
            }
            if entered.iter().any(|one| !one.is_new) {
                bail!("an entry stood in the log already");
            }
        }
        table.add(ENTERED, begun.elapsed().as_secs_f64());
        let texts: Vec<Vec<u8>> = kinds.iter().map(|kind| kind.name().repeat(24).into_bytes()).collect();
        let begun = Instant::now();
        for (nth, batch) in (0..).zip(texts.chunks(BATCH as usize)) {
            let change = self.bare.transaction()?;
            for (number, text) in (from + nth * BATCH..).zip(batch) {
                change.prepare_cached("INSERT INTO rows VALUES (?1, ?2)")?.execute((number, text))?;
            }
            change.commit()?;
        }
        table.add(BARE_ROWS, begun.elapsed().as_secs_f64());
        Ok(())
    }
}

fn issued(number: u64) -> EntryKind {
    let digest = Sha256Digest::of(&number.to_be_bytes());
    EntryKind::Issued { report: ReportIdentity(digest), signature: Sha256Digest::of(digest.as_bytes()) }
}
