//! Pictures, decoded whole, read as a face and copied, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_picture;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_picture(bytes);
});
