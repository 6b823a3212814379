//! The pictures against their rules and against the pictures kept in `tests/data`.

#![expect(clippy::unwrap_used, reason = "a test stops at the first thing that is not as it should be")]
#![expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small numbers of the samples")]

mod documents;
mod expose;
mod horizon;
mod hostile;
mod keograms;
mod laws;
mod lens;
mod orientation;
mod sample;
mod snapshots;
mod still;
