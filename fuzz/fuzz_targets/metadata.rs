//! Any bytes as a file with something to say about itself.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| frame::fuzz::fuzz_metadata(bytes));
