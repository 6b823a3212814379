/// Median of the values within half a window of each time: the slow course of a series, edges kept.
///
/// Times must be in order. Where no finite value lies in the window the answer is NaN.
pub fn running_median(times_s: &[f64], values: &[f64], window_s: f64) -> Vec<f64> {
    let half_s = window_s / 2.0;
    let mut from = 0;
    let mut to = 0;
    // the finite values of the window, in order
    let mut window: Vec<f64> = Vec::new();
    let place = |window: &[f64], value: f64| window.partition_point(|held| held.total_cmp(&value).is_lt());
    let count = times_s.len().min(values.len());
    let mut answers = Vec::with_capacity(count);
    for time in times_s.iter().take(count) {
        while to < count && times_s[to] <= time + half_s {
            if values[to].is_finite() {
                window.insert(place(&window, values[to]), values[to]);
            }
            to += 1;
        }
        while from < to && times_s[from] < time - half_s {
            if values[from].is_finite() {
                window.remove(place(&window, values[from]));
            }
            from += 1;
        }
        answers.push(match (window.get(window.len().wrapping_sub(1) / 2), window.get(window.len() / 2)) {
            (Some(low), Some(high)) => f64::midpoint(*low, *high),
            _ => f64::NAN,
        });
    }
    answers
}

/// A series less its running median.
pub(crate) fn without_trend(times_s: &[f64], values: &[f64], window_s: f64) -> Vec<f64> {
    let course = running_median(times_s, values, window_s);
    values.iter().zip(course).map(|(value, course)| value - course).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spike_leaves_the_course_alone() {
        let times: Vec<f64> = (0..9).map(f64::from).collect();
        let mut values = times.clone();
        values[4] = 1e6;
        let course = running_median(&times, &values, 4.0);
        assert!((course[4] - 5.0).abs() < 1.1, "{course:?}");
        assert!((course[2] - 2.0).abs() < 1.1);
    }
}
