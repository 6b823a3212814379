//! One binary for all tests of sequences through their public face.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "the helpers of these tests may fail like the tests themselves"
)]

mod magnetograms;
mod published;
mod spectra;
