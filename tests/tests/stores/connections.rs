//! More who ask at once than there are connections to the database, and a database that begins again.

use std::{sync::Barrier, thread};

use server::{FirmId, LogRows as _, PostgresRows};

use crate::place::Place;

/// As many as hold a firm's log at once in one process.
const AT_ONCE: usize = 8;

fn firm(nth: usize) -> FirmId {
    format!("firm-{nth}").parse().unwrap()
}

/// Works alone for so many firms, so many of them at the same time.
fn work_alone(rows: &PostgresRows, firms: usize) {
    let inside = Barrier::new(AT_ONCE);
    thread::scope(|scope| {
        for nth in 0..firms {
            let inside = &inside;
            scope.spawn(move || {
                let work = &mut || {
                    inside.wait();
                    Ok(())
                };
                rows.alone(&firm(nth), work).unwrap();
            });
        }
    });
}

#[test]
fn more_than_there_are_connections_have_their_turn() {
    let place = Place::start();
    let rows = PostgresRows::connect(&place.fresh_database()).unwrap();
    work_alone(&rows, 3 * AT_ONCE);
}

#[test]
fn a_database_that_went_is_missed_once_by_whoever_asks_first() {
    let mut place = Place::start();
    let rows = PostgresRows::connect(&place.fresh_database()).unwrap();
    work_alone(&rows, AT_ONCE);
    place.postgresql.fall_over().unwrap();
    assert!(rows.alone(&firm(0), &mut || Ok(())).is_err(), "there is no database");
    place.postgresql.begin().unwrap();
    let failed: Vec<_> = (0..AT_ONCE).filter_map(|nth| rows.alone(&firm(nth), &mut || Ok(())).err()).collect();
    assert!(failed.is_empty(), "the others were gone as well: {failed:?}");
    work_alone(&rows, AT_ONCE);
}
