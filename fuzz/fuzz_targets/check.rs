//! Any bytes as a frame to be checked.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let report = job::check(&job::CheckRequest::default(), bytes);
    assert!(!report.summary.is_empty(), "a report without words");
});
