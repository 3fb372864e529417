//! Certificates, requests for them, revocation lists and statements, given any bytes.
#![no_main]

use rimside_tests::fuzzed::read_certificate;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    read_certificate(bytes);
});
