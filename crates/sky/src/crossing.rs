//! When a smooth curve sampled over a day crosses a level.

/// A curve known at instants in order, with its turning points among them.
#[derive(Debug, Clone)]
pub(crate) struct Curve {
    points: Vec<(f64, f64)>,
}

/// Sample spacing, s. Sun and Moon turn at most twice a day, so that no two turning points share a gap.
const STEP_S: f64 = 900.0;
/// Instants are found to this, s.
const TIME_TOLERANCE_S: f64 = 0.02;
/// Steps after which a search stops at its best value; each at least halves the bracket every other time.
const MAX_STEPS: usize = 60;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Direction {
    Down,
    Up,
}

impl Curve {
    /// Samples `height` from `start_s` to `end_s`, both included, and adds its turning points.
    pub(crate) fn sample(start_s: f64, end_s: f64, height: impl Fn(f64) -> f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "about a hundred")]
        let steps = ((end_s - start_s) / STEP_S).ceil().max(2.0) as i32;
        let step_s = (end_s - start_s) / f64::from(steps);
        // one sample beyond either end, so that a turning point in the first or last gap is noticed too
        let sampled: Vec<(f64, f64)> =
            (-1..=steps + 1).map(|i| start_s + f64::from(i) * step_s).map(|t| (t, height(t))).collect();
        let turning = sampled
            .windows(3)
            .filter(|w| turns(w))
            .map(|w| turning_point(w[0].0, w[2].0, &height, rises(w)))
            .filter(|(t, _)| (start_s..=end_s).contains(t));
        let mut points = sampled[1..sampled.len() - 1].to_vec();
        points.extend(turning);
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { points }
    }

    pub(crate) fn lowest(&self) -> (f64, f64) {
        self.points.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0.0, 0.0))
    }

    pub(crate) fn highest(&self) -> (f64, f64) {
        self.points.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0.0, 0.0))
    }

    /// First instant at which the curve crosses `level` in one direction.
    pub(crate) fn first(&self, level: f64, direction: Direction, height: impl Fn(f64) -> f64) -> Option<f64> {
        let crosses = |w: &&[(f64, f64)]| match direction {
            Direction::Down => w[0].1 > level && w[1].1 <= level,
            Direction::Up => w[0].1 < level && w[1].1 >= level,
        };
        let gap = self.points.windows(2).find(crosses)?;
        Some(root(gap[0].0, gap[1].0, gap[0].1 - level, gap[1].1 - level, |t| height(t) - level))
    }
}

fn turns(w: &[(f64, f64)]) -> bool {
    (w[1].1 - w[0].1) * (w[2].1 - w[1].1) < 0.0
}

fn rises(w: &[(f64, f64)]) -> bool {
    w[1].1 > w[0].1
}

/// Golden-section search for the highest (or lowest) point between `low_s` and `high_s`.
fn turning_point(mut low_s: f64, mut high_s: f64, height: &impl Fn(f64) -> f64, is_top: bool) -> (f64, f64) {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let value = |t: f64| if is_top { height(t) } else { -height(t) };
    let mut left = (high_s - GOLDEN * (high_s - low_s), 0.0);
    let mut right = (low_s + GOLDEN * (high_s - low_s), 0.0);
    left.1 = value(left.0);
    right.1 = value(right.0);
    // the curve is flat at its top: 1 s in time is below 1e-6 deg in height
    while high_s - low_s > 1.0 {
        if left.1 > right.1 {
            high_s = right.0;
            right = left;
            left.0 = high_s - GOLDEN * (high_s - low_s);
            left.1 = value(left.0);
        } else {
            low_s = left.0;
            left = right;
            right.0 = low_s + GOLDEN * (high_s - low_s);
            right.1 = value(right.0);
        }
    }
    let middle = f64::midpoint(low_s, high_s);
    (middle, height(middle))
}

/// A root between two instants at which `f` has different signs (false position, Illinois variant).
fn root(mut a: f64, mut b: f64, mut fa: f64, mut fb: f64, f: impl Fn(f64) -> f64) -> f64 {
    let mut guess = b;
    for _ in 0..MAX_STEPS {
        let secant = b - fb * (b - a) / (fb - fa);
        let next = if secant.is_finite() { secant } else { f64::midpoint(a, b) };
        let step = (next - guess).abs();
        guess = next;
        if step < TIME_TOLERANCE_S {
            break;
        }
        let value = f(guess);
        if value == 0.0 {
            break;
        }
        if (value > 0.0) == (fb > 0.0) {
            fa *= 0.5;
        } else {
            a = b;
            fa = fb;
        }
        b = guess;
        fb = value;
    }
    guess
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(t: f64) -> f64 {
        10.0 * (t / 86_400.0 * std::f64::consts::TAU).cos()
    }

    #[test]
    fn a_cosine_crosses_zero_at_six_and_eighteen() {
        let curve = Curve::sample(0.0, 86_400.0, wave);
        let down = curve.first(0.0, Direction::Down, wave).unwrap();
        let up = curve.first(0.0, Direction::Up, wave).unwrap();
        assert!((down - 21_600.0).abs() < TIME_TOLERANCE_S);
        assert!((up - 64_800.0).abs() < TIME_TOLERANCE_S);
    }

    #[test]
    fn a_dip_narrower_than_the_step_is_still_found() {
        // 200 s below the level, between two samples
        let dip = |t: f64| ((t - 43_000.0) / 86_400.0).powi(2) - (100.0_f64 / 86_400.0).powi(2);
        let curve = Curve::sample(0.0, 86_400.0, dip);
        let down = curve.first(0.0, Direction::Down, dip).unwrap();
        assert!((down - 42_900.0).abs() < 1.0);
        assert!((curve.lowest().0 - 43_000.0).abs() < 1.0);
    }

    #[test]
    fn a_top_in_the_last_gap_is_found() {
        let top = |t: f64| -((t - 86_300.0) / 86_400.0).powi(2);
        assert!((Curve::sample(0.0, 86_400.0, top).highest().0 - 86_300.0).abs() < 1.0);
        let before = |t: f64| -((t + 100.0) / 86_400.0).powi(2);
        assert!(Curve::sample(0.0, 86_400.0, before).highest().0 < 1.0);
    }

    #[test]
    fn a_curve_that_stays_above_never_crosses() {
        let curve = Curve::sample(0.0, 86_400.0, wave);
        assert!(curve.first(-11.0, Direction::Down, wave).is_none());
    }
}
