//! A PostgreSQL and a store of objects, and what is kept in them.

use std::{
    path::Path,
    process::Command,
    sync::atomic::{AtomicU32, Ordering},
};

use rimside_tests::elsewhere::{BUCKET, ObjectStore, PostgreSql, name_stores};
use server::{Objects, Stores};

pub struct Place {
    pub postgresql: PostgreSql,
    pub objects: ObjectStore,
    databases: AtomicU32,
}

impl Place {
    pub fn start() -> Self {
        Self {
            postgresql: PostgreSql::start().unwrap(),
            objects: ObjectStore::start().unwrap(),
            databases: AtomicU32::new(0),
        }
    }

    /// The address of a database without tables.
    pub fn fresh_database(&self) -> String {
        let number = self.databases.fetch_add(1, Ordering::Relaxed);
        self.postgresql.make_database(&format!("office{number}")).unwrap()
    }

    pub fn objects(&self, place: &str) -> Objects {
        objects(&self.objects.endpoint(), place)
    }

    pub fn stores(&self, place: &str) -> Stores {
        Stores::read(name_stores(&self.fresh_database(), &self.objects.endpoint(), place))
    }
}

pub fn objects(endpoint: &str, place: &str) -> Objects {
    objects_with(endpoint, place, &[])
}

/// The same with more variables.
pub fn objects_with(endpoint: &str, place: &str, more: &[(&str, &str)]) -> Objects {
    let mut variables = name_stores("", endpoint, place);
    variables.extend(more.iter().map(|&(name, value)| (name.to_owned(), value.to_owned())));
    Objects::open(&format!("s3://{BUCKET}/{place}"), &variables).unwrap()
}

/// This program itself, as another process that does what a test of this name does.
pub fn another_process(test: &str) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["--exact", test, "--nocapture"]);
    command
}

/// What a process has written down so far, each line whole.
pub fn read_lines(file: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(file).unwrap_or_default();
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    whole.lines().map(str::to_owned).collect()
}
