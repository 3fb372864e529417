//! The vectors of `docs/format.md`: what our verifier answers, what one answers that was written from that page.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

/// What the reader's own tests try on it: a file for each reason to refuse one.
#[path = "../../../crates/seal/tests/attacks"]
#[allow(dead_code, reason = "files that are only large are left to those tests")]
mod attacks {
    pub mod active;
    pub mod attachment;
    pub mod container;
    pub mod range;
    pub mod structure;
    pub mod syntax;
}
#[path = "../../../crates/seal/tests/draft/mod.rs"]
mod draft;
mod golden;
mod make;
mod manifest;
mod ours;
mod page;
mod theirs;

use std::collections::BTreeSet;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use manifest::Manifest;
use rimside_tests::top;

/// A file that is refused: what was done, the reason.
struct Attack {
    name: &'static str,
    code: seal::file::FaultCode,
    file: Vec<u8>,
}

fn attack(name: &'static str, code: seal::file::FaultCode, file: Vec<u8>) -> Attack {
    Attack { name, code, file }
}

const MANIFEST: &str = "manifest.json";

fn folder() -> PathBuf {
    top().join("tests/vectors")
}

fn read(path: &str) -> Vec<u8> {
    std::fs::read(folder().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// A packed file, as a reader has it.
fn unpack(path: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    flate2::read::GzDecoder::new(&read(path)[..]).read_to_end(&mut bytes).unwrap();
    bytes
}

fn read_manifest() -> Manifest {
    serde_json::from_slice(&read(MANIFEST)).unwrap()
}

/// Every file below a folder, by its path.
fn list(place: &Path, found: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(place).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            list(&path, found);
        } else {
            found.insert(path.strip_prefix(folder()).unwrap().to_str().unwrap().to_owned());
        }
    }
}

fn list_all() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    list(&folder(), &mut found);
    found
}

#[test]
fn every_file_is_named_and_every_name_is_a_file() {
    let Manifest { reports, logs, .. } = read_manifest();
    let mut named = BTreeSet::from([MANIFEST.to_owned()]);
    for report in &reports {
        let brought = &report.brought;
        named.insert(report.file.clone());
        let lists = [&brought.roots, &brought.revocation_lists, &brought.logs, &brought.witnesses, &brought.statements];
        named.extend(lists.into_iter().flatten().cloned());
        named.extend(brought.firm.iter().flat_map(|firm| &firm.files).cloned());
    }
    for log in &logs {
        assert!(log.files.iter().all(|file| file.starts_with(&format!("{}/", log.folder))), "{}", log.name);
        named.extend(log.files.iter().chain(&log.seen).cloned());
        named.insert(log.key.clone());
    }
    assert_eq!(named, list_all());
    let names: BTreeSet<&str> = reports.iter().map(|one| &*one.name).chain(logs.iter().map(|one| &*one.name)).collect();
    assert_eq!(names.len(), reports.len() + logs.len(), "each vector has a name of its own");
}

/// Small enough to be carried along, and a reason besides for each of them.
#[test]
fn the_folder_is_small_and_each_vector_says_why() {
    let bytes: u64 = list_all().iter().map(|path| folder().join(path).metadata().unwrap().len()).sum();
    assert!(bytes < 2_500_000, "{bytes} bytes");
    let Manifest { reports, logs, .. } = read_manifest();
    assert!(reports.len() + logs.len() >= 40);
    assert!(reports.iter().all(|one| !one.shows.is_empty()) && logs.iter().all(|one| !one.shows.is_empty()));
}
