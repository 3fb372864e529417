//! The readers of position, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_position;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_position(bytes);
});
