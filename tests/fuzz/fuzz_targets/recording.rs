//! The readers of `road_test`, and the analysis of what they let through, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_recording;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_recording(bytes);
});
