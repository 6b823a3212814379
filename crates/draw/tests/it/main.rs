//! The pictures against their rules and against the pictures kept in `tests/data`.

mod hostile;
mod laws;
mod orientation;
mod sample;
mod snapshots;
