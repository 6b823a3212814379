//! Integration tests: published tables, laws, hostile input.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking, also in its helpers")]
#![expect(clippy::print_stdout, reason = "the spread of the errors is wanted when the tests run with --nocapture")]

mod anchors;
mod eye_view;
mod hostile;
mod laws;
mod published;
mod published_eye;
mod spread;
mod worked;
