//! The reader of motion, and the analysis of what it lets through, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_motion;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_motion(bytes);
});
