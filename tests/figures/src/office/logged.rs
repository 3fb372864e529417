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
    /// Measures both once, a batch of one and a batch of the other in turn: what the disk is at hits both alike.
    pub fn measure(&mut self, table: &mut Table) -> Result<()> {
        let (mut entered, mut bare) = (0.0, 0.0);
        for _ in 0..ENTRIES / BATCH {
            let kinds: Vec<EntryKind> = (self.entered..self.entered + BATCH).map(issued).collect();
            let begun = Instant::now();
            self.enter(&kinds)?;
            entered += begun.elapsed().as_secs_f64();
            let texts: Vec<Vec<u8>> = kinds.iter().map(|kind| kind.name().repeat(24).into_bytes()).collect();
            let begun = Instant::now();
            self.insert(&texts)?;
            bare += begun.elapsed().as_secs_f64();
            self.entered += BATCH;
        }
        table.add(ENTERED, entered);
        table.add(BARE_ROWS, bare);
        Ok(())
    }

    fn enter(&mut self, kinds: &[EntryKind]) -> Result<()> {
        let entered = self.keeper.enter(kinds, "2026-11-24T10:00:00Z".parse()?)?;
        for one in &entered {
            self.keeper.receipt(one).context("a receipt")?;
        }
        if entered.iter().any(|one| !one.is_new) {
            bail!("an entry stood in the log already");
        }
        Ok(())
    }

    fn insert(&mut self, texts: &[Vec<u8>]) -> Result<()> {
        let change = self.bare.transaction()?;
        for (number, text) in (self.entered..).zip(texts) {
            change.prepare_cached("INSERT INTO rows VALUES (?1, ?2)")?.execute((number, text))?;
        }
        change.commit()?;
        Ok(())
    }
}

fn issued(number: u64) -> EntryKind {
    let digest = Sha256Digest::of(&number.to_be_bytes());
    EntryKind::Issued { report: ReportIdentity(digest), signature: Sha256Digest::of(digest.as_bytes()) }
}
