//! Integration tests of the sky.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a failing test is told by a panic")]

mod hostile;
mod laws;
mod light;
mod published;
mod table;
