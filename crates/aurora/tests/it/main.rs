//! Outside checks of the aurora crate.

#![expect(clippy::unwrap_used, reason = "a test stops at the first thing that is not as it should be")]

mod convergence;
mod coupling;
mod published;
mod sightlines;
