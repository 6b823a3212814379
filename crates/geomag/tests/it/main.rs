//! One binary for all tests of the crate's public face.

#![expect(clippy::unwrap_used, reason = "a test stops at the first thing that is not as it should be")]

mod hostile;
mod laws;
mod published;
mod regions;
mod table;
