//! The tables, as every database has them.

use super::rows::{BYTES, TEXT, WHOLE};

/// Each step leads from the form of its place to the next. They are spelt for SQLite.
pub(super) const STEPS: [&str; 6] = [
    include_str!("form/log.sql"),
    include_str!("form/office.sql"),
    include_str!("form/sync.sql"),
    include_str!("form/reports.sql"),
    include_str!("form/moved.sql"),
    include_str!("form/followed.sql"),
];

/// A table, as far as whoever carries its rows elsewhere has to know it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Table {
    pub name: &'static str,
    /// Each column with its kind, those of the key first. The first of all is the firm.
    pub columns: &'static [(&'static str, &'static str)],
    /// So many of them are the key.
    pub key: usize,
}

impl Table {
    /// The names of its columns, as a statement lists them.
    pub fn list_columns(&self) -> String {
        self.columns.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    }
}

/// Every table, one that another one speaks of before it.
pub(crate) const TABLES: [Table; 14] = [
    Table { name: "log_entries", key: 2, columns: &[("firm", TEXT), ("number", WHOLE), ("entry", BYTES)] },
    Table { name: "log_heads", key: 2, columns: &[("firm", TEXT), ("size", WHOLE), ("head", TEXT)] },
    Table {
        name: "codes",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("digest", BYTES),
            ("label", TEXT),
            ("until", WHOLE),
            ("tries", WHOLE),
            ("role", TEXT),
        ],
    },
    Table {
        name: "devices",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("device", TEXT),
            ("label", TEXT),
            ("token", BYTES),
            ("since", WHOLE),
            ("revoked", WHOLE),
            ("role", TEXT),
            ("follows", TEXT),
        ],
    },
    Table { name: "counts", key: 1, columns: &[("firm", TEXT), ("epoch", TEXT)] },
    Table {
        name: "entries",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("number", WHOLE),
            ("device", TEXT),
            ("seq", WHOLE),
            ("inspection", TEXT),
            ("digest", BYTES),
            ("link", BYTES),
            ("body", TEXT),
            ("taken_at", WHOLE),
        ],
    },
    Table {
        name: "forks",
        key: 4,
        columns: &[
            ("firm", TEXT),
            ("device", TEXT),
            ("seq", WHOLE),
            ("digest", BYTES),
            ("entry", TEXT),
            ("came_at", WHOLE),
        ],
    },
    Table { name: "wanted", key: 3, columns: &[("firm", TEXT), ("device", TEXT), ("sha256", BYTES)] },
    Table { name: "blobs", key: 2, columns: &[("firm", TEXT), ("sha256", BYTES), ("length", WHOLE)] },
    Table {
        name: "reports",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("number", WHOLE),
            ("identity", BYTES),
            ("sha256", BYTES),
            ("length", WHOLE),
            ("device", TEXT),
            ("taken_at", WHOLE),
        ],
    },
    Table {
        name: "links",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("number", WHOLE),
            ("secret", BYTES),
            ("shows", TEXT),
            ("label", TEXT),
            ("device", TEXT),
            ("made_at", WHOLE),
            ("until", WHOLE),
            ("closed_at", WHOLE),
            ("opened", WHOLE),
            ("opened_at", WHOLE),
        ],
    },
    Table {
        name: "letters",
        key: 2,
        columns: &[("firm", TEXT), ("number", WHOLE), ("letter", TEXT), ("written_at", WHOLE), ("device", TEXT)],
    },
    Table {
        name: "replies",
        key: 3,
        columns: &[("firm", TEXT), ("letter", WHOLE), ("number", WHOLE), ("reply", TEXT), ("came_at", WHOLE)],
    },
    Table {
        name: "certificates",
        key: 2,
        columns: &[
            ("firm", TEXT),
            ("device", TEXT),
            ("request", TEXT),
            ("asked_at", WHOLE),
            ("chain", TEXT),
            ("given_at", WHOLE),
        ],
    },
];

/// What SQLite calls so, PostgreSQL calls so. Texts are ordered by their bytes on both sides.
const POSTGRES: [(&str, &str); 4] =
    [(" STRICT, WITHOUT ROWID", ""), (" INTEGER", " BIGINT"), (" BLOB", " BYTEA"), (" TEXT", " TEXT COLLATE \"C\"")];

/// A step, as PostgreSQL spells it.
pub(super) fn spell_for_postgres(step: &str) -> String {
    POSTGRES.iter().fold(step.to_owned(), |text, (here, there)| text.replace(here, there))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use rusqlite::Connection;

    use super::*;

    /// Whoever carries rows elsewhere must not leave a column behind that a later form has brought.
    #[test]
    fn the_tables_are_those_of_the_database() {
        let db = Connection::open_in_memory().unwrap();
        for step in STEPS {
            db.execute_batch(step).unwrap();
        }
        let mut query = db.prepare("SELECT name FROM sqlite_schema WHERE type = 'table'").unwrap();
        let names: BTreeSet<String> = query.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect();
        // What says that rows have moved does not move.
        let known = TABLES.iter().map(|table| table.name).chain(["moved"]).map(str::to_owned);
        assert_eq!(names, known.collect());
        for table in &TABLES {
            let mut query = db.prepare("SELECT name, type, pk FROM pragma_table_info(?1)").unwrap();
            let columns = query.query_map([table.name], |row| {
                Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?, row.get::<_, usize>(2)?))
            });
            let columns: Vec<_> = columns.unwrap().map(Result::unwrap).collect();
            let own: BTreeSet<_> = table.columns.iter().map(|(name, kind)| (*name, *kind)).collect();
            let real = columns.iter().map(|(name, kind, _)| (&**name, &**kind)).collect();
            assert_eq!(own, real, "{}", table.name);
            let key: BTreeSet<_> = table.columns.iter().take(table.key).map(|(name, _)| *name).collect();
            let real = columns.iter().filter(|(_, _, place)| *place > 0).map(|(name, _, _)| &**name).collect();
            assert_eq!((key, table.columns[0].0), (real, "firm"), "{}", table.name);
        }
    }
}
