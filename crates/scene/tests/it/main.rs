//! Integration tests of `scene`, one binary.

mod files;
mod light;
mod stars;
