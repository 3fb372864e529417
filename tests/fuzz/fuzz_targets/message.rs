//! What device and office say to each other, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_message;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_message(bytes);
});
