//! Any bytes behind the beginning that leads to one decoder.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| frame::fuzz::fuzz_path("tiff", bytes));
