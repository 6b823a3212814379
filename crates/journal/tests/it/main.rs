//! One binary for all tests of the journal through its public face.

#![expect(clippy::unwrap_used, reason = "the helpers of these tests may fail like the tests themselves")]

mod failures;
mod feeds;
mod frames;
mod met;
mod names;
mod readings;
mod round_trips;
mod samples;
mod submissions;
mod verdicts;
mod whole;
