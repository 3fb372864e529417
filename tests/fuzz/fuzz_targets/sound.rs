//! The reader of sound, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_sound;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_sound(bytes);
});
