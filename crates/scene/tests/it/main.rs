//! Integration tests of `scene`, one binary.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking, also in its helpers")]

mod faults;
mod files;
mod forms;
mod geometry;
mod hostile;
mod light;
mod night;
mod stars;
