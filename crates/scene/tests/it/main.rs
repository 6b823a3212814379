//! Integration tests of `scene`, one binary.
