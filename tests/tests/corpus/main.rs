//! Replays the corpora of the fuzz targets: what is named valid is accepted, all else is refused, nothing panics.
//!
//! `RIMSIDE_GOLDEN=write` (as `cargo xtask golden` sets it) first writes the seeds anew. A file that a fuzz target found
//! is added by hand as `found-…` and stays.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod seeds;

use std::{collections::BTreeMap, sync::LazyLock};

use rimside_tests::fuzzed::{Reader, corpus, read_document, read_picture, read_recording};

/// The files by name; written anew first, once, if that was asked for.
fn list_files(target: &str) -> BTreeMap<String, Vec<u8>> {
    static WRITTEN: LazyLock<()> = LazyLock::new(|| {
        if std::env::var_os("RIMSIDE_GOLDEN").is_some_and(|mode| mode == "write") {
            seeds::write();
        }
    });
    LazyLock::force(&WRITTEN);
    let folder = corpus(target);
    let entries = std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    entries
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(path).unwrap())
        })
        .collect()
}

fn assert_as_named(target: &str, is_accepted: impl Fn(&[u8]) -> bool) {
    let files = list_files(target);
    let (valid, other) = files.keys().partition::<Vec<_>, _>(|name| name.starts_with("valid-"));
    assert!(!valid.is_empty() && other.len() >= 10, "{target}: {} valid, {} others", valid.len(), other.len());
    for (name, bytes) in &files {
        assert_eq!(is_accepted(bytes), name.starts_with("valid-"), "{target}/{name}");
    }
}

#[test]
fn documents_are_read_or_refused_as_their_names_say() {
    assert_as_named("record", read_document);
}

#[test]
fn sealed_files_are_accepted_or_refused_as_their_names_say() {
    list_files("sealed_file");
    let reader = Reader::of_corpus().unwrap();
    assert_as_named("sealed_file", |bytes| reader.check(bytes));
}

#[test]
fn recordings_are_read_or_refused_as_their_names_say() {
    assert_as_named("recording", read_recording);
}

#[test]
fn pictures_are_read_or_refused_as_their_names_say() {
    assert_as_named("face", read_picture);
}
