//! Outside checks of the verbs.

#![expect(clippy::unwrap_used, reason = "a test stops at the first thing that is not as it should be")]

mod broken;
mod check;
mod check_real;
mod composed;
mod elsewhere;
mod expose;
mod field_plan;
mod hindcast;
mod hostile;
mod sample;
mod second_opinion;
mod stand;
mod starters;
