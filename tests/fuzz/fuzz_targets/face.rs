//! Pictures of any bytes, decoded whole and read as a face.
#![no_main]

use rimside_tests::fuzzed::read_picture;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_picture(bytes);
});
