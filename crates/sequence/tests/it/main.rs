//! One binary for all tests of sequences through their public face.

#![expect(clippy::unwrap_used, clippy::panic, reason = "the helpers of these tests may fail like the tests themselves")]

mod arcs;
mod deflickers;
mod drawn;
mod drifts;
mod forms;
mod keograms;
mod magnetograms;
mod published;
mod pulsations;
mod real;
mod spectra;
mod stretches;
