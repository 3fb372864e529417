//! What can still be read of a damaged notebook, brought over into a new one. The damaged one is only read.
//!
//! A damaged page spoils the rows on it and the way past it. So the keys of each table are walked from both ends, those
//! that other tables name are added, and each row is then asked for by itself.

use std::collections::{BTreeMap, BTreeSet};

use model::DeviceId;
use rusqlite::{Connection, params, params_from_iter, types::Value};

use super::{Notebook, list, schema};
use crate::NotebookError;

/// What became of a damaged notebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvaged {
    /// Entries that were brought over.
    pub entries: u64,
    /// Photographs whose original was brought over.
    pub photographs: u64,
    /// Sealed reports that were brought over.
    pub reports: u64,
    /// What could not be read, in words.
    pub lost: Vec<String>,
}

struct Table {
    name: &'static str,
    key: &'static [&'static str],
    /// What a row is called.
    what: &'static str,
}

const fn table(name: &'static str, key: &'static [&'static str], what: &'static str) -> Table {
    Table { name, key, what }
}

/// Tables with large rows have numbers for them, which lie with the rows: their way is not by an index.
const ROW: &[&str] = &["rowid"];

/// What others refer to comes first.
const TABLES: [Table; 11] = [
    table("meta", &["name"], "setting"),
    table("inspections", &["id"], "line of the list"),
    table("entries", &["device", "seq"], "entry"),
    table("photographs", &["sha256"], "small picture"),
    table("originals", ROW, "photograph"),
    table("copies", ROW, "copy"),
    table("shown_in", &["inspection", "sha256"], "place of a photograph"),
    table("recordings", &["id"], "recording"),
    table("pieces", ROW, "piece of a recording"),
    table("files", ROW, "file"),
    table("reports", &["identity"], "line of a report"),
];

type Key = Vec<Value>;

impl Notebook {
    /// Brings over what can be read of a damaged notebook, in one step: the new one is empty or has all of it.
    /// `new_device` is the device's name from here on.
    ///
    /// # Errors
    /// The new database; what cannot be read of the old one is no error but is named.
    pub fn salvage(
        damaged: &Connection,
        fresh: Connection,
        new_device: &DeviceId,
    ) -> Result<(Self, Salvaged), NotebookError> {
        let mut db = fresh;
        schema::prepare(&mut db)?;
        db.pragma_update(None, "foreign_keys", false)?;
        let change = db.transaction()?;
        let mut lost = Vec::new();
        for table in &TABLES {
            bring(damaged, &change, table, &mut lost)?;
        }
        complete(&change)?;
        rename(&change, new_device)?;
        change.commit()?;
        db.pragma_update(None, "foreign_keys", true)?;
        let book = Self::open(db, new_device)?;
        book.relist()?;
        let count = |query: &str| book.db.query_row(query, [], |row| row.get::<_, u64>(0));
        let salvaged = Salvaged {
            entries: count("SELECT count(*) FROM entries")?,
            photographs: count("SELECT count(*) FROM originals")?,
            reports: count("SELECT count(*) FROM reports")?,
            lost,
        };
        Ok((book, salvaged))
    }

    /// Writes the list of inspections anew from what their entries say.
    fn relist(&self) -> Result<(), NotebookError> {
        let mut query = self.db.prepare("SELECT id FROM inspections")?;
        let ids: Vec<String> = query.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        for id in ids.iter().filter_map(|id| id.parse().ok()) {
            list::note(&self.db, &id)?;
        }
        Ok(())
    }
}

/// The end of the device's own row of entries may be lost, and no number may be given twice: from here on the device has
/// a new name, and the notebook knows whom it follows.
pub(super) fn rename(db: &Connection, new_device: &DeviceId) -> Result<(), NotebookError> {
    db.execute(
        "INSERT OR REPLACE INTO meta (name, value) SELECT 'kept.follows', value FROM meta WHERE name = 'device'",
        [],
    )?;
    db.execute("INSERT OR REPLACE INTO meta (name, value) VALUES ('device', ?1)", params![new_device.as_str()])?;
    Ok(())
}

fn bring(from: &Connection, to: &Connection, table: &Table, lost: &mut Vec<String>) -> Result<(), NotebookError> {
    let columns = columns(to, table.name)?;
    let names = columns.join(", ");
    let Ok(known) = self::columns(from, table.name) else {
        lost.push(format!("every {}", table.what));
        return Ok(());
    };
    // An earlier form had no such table, or fewer columns.
    if known.is_empty() {
        return Ok(());
    }
    let picked: Vec<&str> =
        columns.iter().map(|column| if known.contains(column) { column.as_str() } else { "NULL" }).collect();
    let places = vec!["?"; columns.len()].join(", ");
    let by_key: Vec<String> = table.key.iter().map(|part| format!("{part} = ?")).collect();
    let read = format!("SELECT {} FROM {} NOT INDEXED WHERE {}", picked.join(", "), table.name, by_key.join(" AND "));
    let mut write = to.prepare(&format!("INSERT OR IGNORE INTO {} ({names}) VALUES ({places})", table.name))?;
    let (keys, is_broken) = find_keys(from, table);
    if is_broken {
        lost.push(format!("some of the list of {}s; those that could be found otherwise are here", table.what));
    }
    for key in keys {
        let row: Result<Vec<Value>, rusqlite::Error> = from.prepare_cached(&read).and_then(|mut query| {
            query.query_row(params_from_iter(&key), |row| (0..columns.len()).map(|nth| row.get(nth)).collect())
        });
        match row {
            Ok(row) => {
                write.execute(params_from_iter(&row))?;
            }
            // A name that another table gives need not be here.
            Err(rusqlite::Error::QueryReturnedNoRows) => {}
            Err(_) => lost.push(format!("{} {}", table.what, words(&key))),
        }
    }
    Ok(())
}

fn columns(db: &Connection, table: &str) -> Result<Vec<String>, rusqlite::Error> {
    db.prepare("SELECT name FROM pragma_table_info(?1) ORDER BY cid")?.query_map([table], |row| row.get(0))?.collect()
}

/// Every key that can be had: from the front, from the back, and what must lie between.
fn find_keys(from: &Connection, table: &Table) -> (Vec<Key>, bool) {
    let names = table.key.join(", ");
    let backwards: Vec<String> = table.key.iter().map(|part| format!("{part} DESC")).collect();
    let select = format!("SELECT {names} FROM {} NOT INDEXED ORDER BY", table.name);
    let (mut keys, is_broken) = walk(from, &format!("{select} {names}"));
    if is_broken {
        keys.extend(walk(from, &format!("{select} {}", backwards.join(", "))).0);
        keys.extend(match table.name {
            "photographs" => walk(from, "SELECT DISTINCT sha256 FROM shown_in").0,
            _ => between(&keys),
        });
    }
    let mut seen = BTreeSet::new();
    keys.retain(|key| seen.insert(words(key)));
    (keys, is_broken)
}

/// The keys of a query up to where it breaks off, and whether it does.
fn walk(db: &Connection, query: &str) -> (Vec<Key>, bool) {
    let mut keys = Vec::new();
    let Ok(mut query) = db.prepare(query) else { return (keys, true) };
    let width = query.column_count();
    let Ok(mut rows) = query.query([]) else { return (keys, true) };
    loop {
        match rows.next() {
            Ok(Some(row)) => match (0..width).map(|nth| row.get(nth)).collect() {
                Ok(key) => keys.push(key),
                Err(_) => return (keys, true),
            },
            Ok(None) => return (keys, false),
            Err(_) => return (keys, true),
        }
    }
}

/// The numbers up to the largest that is known, of each device or of all rows: they have no gaps but what was erased.
fn between(keys: &[Key]) -> Vec<Key> {
    let mut last: BTreeMap<String, (&[Value], i64)> = BTreeMap::new();
    for key in keys {
        if let [start @ .., Value::Integer(seq)] = &key[..] {
            let (_, most) = last.entry(words(start)).or_insert((start, 0));
            *most = (*most).max(*seq);
        }
    }
    let numbered = |(start, most): (&[Value], i64)| {
        let start = start.to_vec();
        (1..=most).map(move |seq| [&start[..], &[Value::Integer(seq)]].concat())
    };
    last.into_values().flat_map(numbered).collect()
}

/// Fills in what others refer to and is missing.
fn complete(db: &Connection) -> Result<(), NotebookError> {
    for filling in [
        "INSERT OR IGNORE INTO inspections (id, changed_at)
         SELECT DISTINCT inspection, '' FROM entries UNION SELECT DISTINCT inspection, '' FROM shown_in
         UNION SELECT DISTINCT inspection, '' FROM recordings",
        "INSERT OR IGNORE INTO photographs (sha256, length) SELECT sha256, length(bytes) FROM originals",
        "DELETE FROM pieces WHERE recording NOT IN (SELECT id FROM recordings)",
        "DELETE FROM copies WHERE sha256 NOT IN (SELECT sha256 FROM photographs)",
        "DELETE FROM shown_in WHERE sha256 NOT IN (SELECT sha256 FROM photographs)",
        "DELETE FROM reports WHERE path NOT IN (SELECT path FROM files)",
    ] {
        db.execute(filling, [])?;
    }
    Ok(())
}

fn words(key: &[Value]) -> String {
    let part = |value: &Value| match value {
        Value::Text(text) => text.clone(),
        Value::Integer(number) => number.to_string(),
        other => format!("{:?}", other.data_type()),
    };
    key.iter().map(part).collect::<Vec<_>>().join(":")
}
