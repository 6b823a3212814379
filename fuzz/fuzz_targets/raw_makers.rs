//! Any bytes to the decoder of makers' own packings.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| raw::fuzz::fuzz_unpack(bytes));
