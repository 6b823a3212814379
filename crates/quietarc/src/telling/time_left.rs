//! Time that is left, by the pace so far.

use std::time::Duration;

/// ", about 40 s left"; nothing before anything is done, and nothing at the end.
///
/// * `done`: what was done in `passed`.
pub(super) fn time_left(done: u64, to_do: usize, passed: Duration) -> String {
    if done == 0 || to_do == 0 {
        return String::new();
    }
    let seconds = passed.as_secs_f64() / done as f64 * to_do as f64;
    if seconds < 90.0 {
        return format!(", about {:.0} s left", 5.0 * (seconds / 5.0).ceil());
    }
    format!(", about {:.0} min left", (seconds / 60.0).ceil())
}
