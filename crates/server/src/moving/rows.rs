//! The rows of one firm, table by table.

use chrono::{DateTime, Utc};
use model::Sha256;

use crate::store::{FirmId, Given, Row, Statements, StoreError, TABLES, Table, Value};

/// So many rows are carried at once.
const PAGE: usize = 500;

pub(super) fn mark(
    statements: &mut dyn Statements,
    firm: &FirmId,
    whither: &str,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO moved (firm, whither, at) VALUES (?1, ?2, ?3)
         ON CONFLICT (firm) DO UPDATE SET whither = excluded.whither, at = excluded.at";
    statements.run(sql, &[firm.into(), whither.into(), now.into()]).map(|_| ())
}

pub(super) fn unmark(statements: &mut dyn Statements, firm: &FirmId) -> Result<(), StoreError> {
    statements.run("DELETE FROM moved WHERE firm = ?1", &[firm.into()]).map(|_| ())
}

/// The first table that has a row of this firm.
pub(super) fn find_taken(statements: &mut dyn Statements, firm: &FirmId) -> Result<Option<&'static str>, StoreError> {
    for table in &TABLES {
        let sql = format!("SELECT firm FROM {} WHERE firm = ?1 LIMIT 1", table.name);
        if statements.read_one(&sql, &[firm.into()])?.is_some() {
            return Ok(Some(table.name));
        }
    }
    Ok(None)
}

/// Photographs, recordings and sealed reports that the rows speak of, each with its length.
pub(super) fn list_blobs(statements: &mut dyn Statements, firm: &FirmId) -> Result<Vec<(Sha256, u64)>, StoreError> {
    let rows = statements.read("SELECT sha256, length FROM blobs WHERE firm = ?1 ORDER BY sha256", &[firm.into()])?;
    rows.into_iter().map(|mut row| Ok((row.sha256()?, row.count()?))).collect()
}

/// Writes every row of a firm anew; how many of each table.
pub(super) fn carry_rows(
    source: &mut dyn Statements,
    target: &mut dyn Statements,
    firm: &FirmId,
) -> Result<Vec<(&'static str, u64)>, StoreError> {
    // What speaks of another table's rows goes before them.
    for table in TABLES.iter().rev() {
        target.run(&format!("DELETE FROM {} WHERE firm = ?1", table.name), &[firm.into()])?;
    }
    let mut carried = Vec::new();
    for table in &TABLES {
        let (mut count, mut last) = (0, None);
        loop {
            let page = read_page(source, table, firm, last.as_deref())?;
            let each = page.iter().map(|row| give(table, row)).collect::<Vec<_>>();
            target.run_each(&insert(table), &each)?;
            count += page.len() as u64;
            let is_last = page.len() < PAGE;
            last = page.into_iter().next_back();
            if is_last {
                break;
            }
        }
        carried.push((table.name, count));
    }
    Ok(carried)
}

/// Reads every row of a firm on both sides and holds them against each other.
pub(super) fn compare(
    source: &mut dyn Statements,
    target: &mut dyn Statements,
    firm: &FirmId,
    carried: &[(&'static str, u64)],
) -> Result<Vec<(&'static str, u64)>, StoreError> {
    for (table, (_, expected)) in TABLES.iter().zip(carried) {
        let (mut count, mut last) = (0, None);
        loop {
            let here = read_page(source, table, firm, last.as_deref())?;
            let there = read_page(target, table, firm, last.as_deref())?;
            if let Some(nth) = (0..here.len().max(there.len())).find(|&nth| here.get(nth) != there.get(nth)) {
                let place = count + nth as u64 + 1;
                return Err(StoreError::Failed(format!(
                    "row {place} of {} is not the same where it was carried to: the office stays where it was",
                    table.name
                )));
            }
            count += here.len() as u64;
            let is_last = here.len() < PAGE;
            last = here.into_iter().next_back();
            if is_last {
                break;
            }
        }
        if count != *expected {
            return Err(StoreError::Failed(format!("{} has {count} rows, and {expected} were carried", table.name)));
        }
    }
    Ok(carried.to_vec())
}

fn give<'a>(table: &Table, row: &'a [Value]) -> Vec<Given<'a>> {
    row.iter().zip(table.columns).map(|(value, (_, kind))| value.give(kind)).collect()
}

fn insert(table: &Table) -> String {
    let places: Vec<String> = (1..=table.columns.len()).map(|nth| format!("?{nth}")).collect();
    format!("INSERT INTO {} ({}) VALUES ({})", table.name, table.list_columns(), places.join(", "))
}

/// Rows behind this one, in the order of their keys.
fn read_page(
    statements: &mut dyn Statements,
    table: &Table,
    firm: &FirmId,
    after: Option<&[Value]>,
) -> Result<Vec<Vec<Value>>, StoreError> {
    let keys: Vec<&str> = table.columns.iter().take(table.key).skip(1).map(|(name, _)| *name).collect();
    let mut sql = format!("SELECT {} FROM {} WHERE firm = ?1", table.list_columns(), table.name);
    let mut given: Vec<Given<'_>> = vec![firm.into()];
    if let Some(row) = after.filter(|_| !keys.is_empty()) {
        let places: Vec<String> = (2..=table.key).map(|nth| format!("?{nth}")).collect();
        sql.push_str(&format!(" AND ({}) > ({})", keys.join(", "), places.join(", ")));
        given.extend(give(table, row).into_iter().take(table.key).skip(1));
    }
    if !keys.is_empty() {
        sql.push_str(&format!(" ORDER BY {}", keys.join(", ")));
    }
    sql.push_str(&format!(" LIMIT {PAGE}"));
    statements.read(&sql, &given).map(|rows| rows.into_iter().map(Row::into_values).collect())
}
