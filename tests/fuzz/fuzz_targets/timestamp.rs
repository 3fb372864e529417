//! The readers of timestamps, given any bytes.
#![no_main]

use std::sync::LazyLock;

use rimside_tests::fuzzed::Reader;

static READER: LazyLock<Reader> = LazyLock::new(|| Reader::of_corpus().expect("the corpus holds its valid file"));

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    READER.read_timestamp(bytes);
});
