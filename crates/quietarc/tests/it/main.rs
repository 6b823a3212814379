//! The program as a whole: one rule, one door; batches; exit codes.

mod batches;
mod doors;
mod program;
