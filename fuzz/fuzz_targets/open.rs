//! Any bytes as a picture.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| frame::fuzz::fuzz_open(bytes));
