//! Replays the corpora of the fuzz targets: what is named valid is accepted, all else is refused, nothing panics.
//!
//! `RIMSIDE_GOLDEN=write` (as `cargo xtask golden` sets it) first writes the seeds anew. A file that a fuzz target found
//! is added by hand as `found-…`, or as `found-valid-…` where it is accepted, and stays.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod seeds;

use std::{collections::BTreeMap, sync::LazyLock};

use rimside_tests::fuzzed::{
    Reader, corpus, read_certificate, read_document, read_message, read_motion, read_picture, read_position, read_sound,
};

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

fn is_valid(name: &str) -> bool {
    name.starts_with("valid-") || name.starts_with("found-valid-")
}

/// The reader of the corpus, which is written first if that was asked for.
fn reader() -> Reader {
    list_files("sealed_file");
    Reader::of_corpus().unwrap()
}

fn assert_as_named(target: &str, is_accepted: impl Fn(&[u8]) -> bool) {
    let files = list_files(target);
    let (valid, other) = files.keys().partition::<Vec<_>, _>(|name| is_valid(name));
    assert!(!valid.is_empty() && other.len() >= 10, "{target}: {} valid, {} others", valid.len(), other.len());
    for (name, bytes) in &files {
        assert_eq!(is_accepted(bytes), is_valid(name), "{target}/{name}");
    }
}

#[test]
fn documents_are_read_or_refused_as_their_names_say() {
    assert_as_named("record", read_document);
}

#[test]
fn sealed_files_are_accepted_or_refused_as_their_names_say() {
    let reader = reader();
    assert_as_named("sealed_file", |bytes| reader.check(bytes));
}

#[test]
fn signatures_stand_or_fall_as_their_names_say() {
    let reader = reader();
    assert_as_named("signature", |bytes| reader.read_signature(bytes));
}

#[test]
fn timestamps_belong_to_the_signature_as_their_names_say() {
    let reader = reader();
    assert_as_named("timestamp", |bytes| reader.read_timestamp(bytes));
}

#[test]
fn receipts_prove_something_as_their_names_say() {
    let reader = reader();
    assert_as_named("receipt", |bytes| reader.read_receipt(bytes));
}

#[test]
fn certificates_are_read_or_refused_as_their_names_say() {
    assert_as_named("certificate", read_certificate);
}

#[test]
fn messages_are_read_or_refused_as_their_names_say() {
    assert_as_named("message", read_message);
}

#[test]
fn logs_of_motion_are_read_or_refused_as_their_names_say() {
    assert_as_named("motion", read_motion);
}

#[test]
fn logs_of_position_are_read_or_refused_as_their_names_say() {
    assert_as_named("position", read_position);
}

#[test]
fn sounds_are_read_or_refused_as_their_names_say() {
    assert_as_named("sound", read_sound);
}

#[test]
fn pictures_are_read_or_refused_as_their_names_say() {
    assert_as_named("face", read_picture);
}
