//! Integration tests: published tables, laws, hostile input.

mod hostile;
mod laws;
mod published;
mod published_eye;
mod spread;
mod worked;
