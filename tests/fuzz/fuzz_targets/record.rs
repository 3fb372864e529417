//! The doors of `model`, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_document;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_document(bytes);
});
