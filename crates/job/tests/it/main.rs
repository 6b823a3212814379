//! Outside checks of the verbs.

mod hindcast;
mod hostile;
mod sample;
