//! The office, by the clock: a photograph's way to it against a bare program's, many devices at once, and its log against
//! bare rows. The office is the program `rimside serve` as it is run; everything stays on this machine.

mod bare;
mod link;
mod load;
mod logged;
mod served;
mod upload;

use anyhow::Result;

use crate::{place::Place, table::Table};

pub use bare::receive;
pub use link::Link;
pub use served::{Served, device};
pub use upload::{Photographs, Sent, entry};

const UPLOAD: &str = "office: twenty photographs of 5 MB, sent, by the clock";
const BARE_UPLOAD: &str = "bare program: the same received, hashed, written, synced, by the clock";
const ENTERED: &str = "office: 1 000 entries of the log, with receipts, by the clock";
const BARE_ROWS: &str = "bare rows: 1 000, committed in the same batches, by the clock";
const MEDIAN: &str = "office: a small sync of 200 devices, median, by the clock";
const LATE: &str = "office: a small sync of 200 devices, the slowest of a hundred, by the clock";

/// A program that serves, one that is bare, and a firm's log.
pub struct Office {
    upload: upload::Upload,
    logged: logged::Logged,
}

/// The log alone, so many times; prints its row.
pub fn measure_log(place: &Place, rounds: usize) -> Result<()> {
    let (mut logged, mut table) = (logged::prepare(place)?, Table::default());
    for _ in 0..rounds {
        logged.measure(&mut table)?;
    }
    table.print_times();
    crate::table::print_rows(&[log_row(&table)]);
    Ok(())
}

/// Founds an office and opens it.
pub fn prepare(place: &Place) -> Result<Office> {
    Ok(Office { upload: upload::prepare(place)?, logged: logged::prepare(place)? })
}

impl Office {
    /// Measures each once.
    pub fn measure(&mut self, table: &mut Table) -> Result<()> {
        self.upload.measure(table)?;
        self.logged.measure(table)
    }
}

/// Two hundred devices at once; what it took of memory, in bytes.
pub fn crowd(place: &Place, table: &mut Table) -> Result<u64> {
    let seen = load::crowd(place)?;
    table.add(MEDIAN, seen.median);
    table.add(LATE, seen.slowest_of_hundred);
    println!("{} small syncs of {} devices", seen.count, load::DEVICES);
    Ok(seen.peak)
}

/// The rows of the table of ratios.
pub fn rows(table: &Table, peak: u64) -> [(f64, &'static str, &'static str); 4] {
    let share = table.median(BARE_UPLOAD) / table.median(UPLOAD);
    [
        (share, "≥ 0.7", "rate of photographs to the office / to the bare program"),
        (
            table.median(LATE) / table.median(MEDIAN),
            "≤ 5",
            "small sync with 200 devices: slowest of a hundred / median",
        ),
        (peak as f64 / 100e6, "≤ 1", "peak memory of the office with them / 100 MB"),
        log_row(table),
    ]
}

fn log_row(table: &Table) -> (f64, &'static str, &'static str) {
    (table.median(ENTERED) / table.median(BARE_ROWS), "≤ 3", "1 000 entries of the log with receipts / bare rows")
}
