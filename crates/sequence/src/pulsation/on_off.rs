use crate::robust::quantile;

/// Places in order of the levels that count as off and on.
const OFF_ON: [f64; 2] = [0.2, 0.8];
/// Share of the swing around its middle within which the state is kept.
const HYSTERESIS: f64 = 0.15;
/// Most times kept.
const MOST_TIMES: usize = 200;

/// Times at which a patch was on, s: from and to.
pub(super) fn on_times(times_s: &[f64], values: &[f64]) -> Vec<[f64; 2]> {
    let mut present: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    let [Some(off), Some(on)] = OFF_ON.map(|place| quantile(&mut present, place)) else { return Vec::new() };
    let middle = f64::midpoint(off, on);
    let margin = HYSTERESIS * (on - off);
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut since: Option<f64> = None;
    let mut last = f64::NAN;
    for (time, value) in times_s.iter().zip(values).filter(|(_, value)| value.is_finite()) {
        match since {
            None if *value > middle + margin => since = Some(*time),
            Some(from) if *value < middle - margin => {
                found.push([from, last]);
                since = None;
            }
            _ => {}
        }
        last = *time;
    }
    if let Some(from) = since {
        found.push([from, last]);
    }
    found.truncate(MOST_TIMES);
    found
}
