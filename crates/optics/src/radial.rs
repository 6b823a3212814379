//! Radial distortion `r_d = r (1 + k1 r² + k2 r⁴)` and its inverse, on the branch that begins at the centre.

/// Steps of the inverse: Newton doubles the digits each time, the bracket halves when Newton leaves it.
const MOST_STEPS: usize = 60;
/// Doublings in search of a bracket: without a fold the slope stays above zero, and no lens shrinks a radius 1000 times.
const MOST_DOUBLINGS: i32 = 10;
/// Relative size of the last step: rounding of a double.
const LAST_STEP: f64 = 1e-15;

/// Distortion with the radius up to which it grows with the angle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Distortion {
    k1: f64,
    k2: f64,
    /// Radius at which the image would fold back; infinite if it never does.
    fold_radius: f64,
}

impl Distortion {
    pub(crate) fn new(k1: f64, k2: f64) -> Self {
        Self { k1, k2, fold_radius: fold_radius(k1, k2) }
    }

    /// Distorted radius of an undistorted one; `None` beyond the fold.
    pub(crate) fn apply(&self, radius: f64) -> Option<f64> {
        (radius <= self.fold_radius).then(|| self.value(radius))
    }

    /// Largest undistorted radius that belongs to the image, at most `radius`.
    pub(crate) fn usable(&self, radius: f64) -> f64 {
        radius.min(self.fold_radius)
    }

    /// Undistorted radius of a distorted one; `None` if no radius up to the fold maps there.
    pub(crate) fn remove(&self, distorted: f64) -> Option<f64> {
        if !(distorted.is_finite() && distorted >= 0.0) {
            return None;
        }
        let mut high = self.upper_bracket(distorted)?;
        let mut low = 0.0;
        let mut radius = distorted.min(high);
        for _ in 0..MOST_STEPS {
            let excess = self.value(radius) - distorted;
            if excess > 0.0 {
                high = radius;
            } else {
                low = radius;
            }
            let slope = self.slope(radius);
            let newton = radius - excess / slope;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            // excess 0 is an answer even where the bracket would push on
            if excess.abs() <= LAST_STEP * distorted || (next - radius).abs() <= LAST_STEP * radius {
                break;
            }
            radius = next;
        }
        Some(radius)
    }

    /// A radius at or above the answer, on the rising branch.
    fn upper_bracket(&self, distorted: f64) -> Option<f64> {
        if self.fold_radius.is_finite() {
            return (self.value(self.fold_radius) >= distorted).then_some(self.fold_radius);
        }
        let doublings = (0..MOST_DOUBLINGS).map(|i| distorted.max(f64::MIN_POSITIVE) * 2f64.powi(i));
        doublings.take_while(|high| high.is_finite()).find(|high| self.value(*high) >= distorted)
    }

    fn value(&self, r: f64) -> f64 {
        let u = r * r;
        r * (1.0 + u * (self.k1 + self.k2 * u))
    }

    fn slope(&self, r: f64) -> f64 {
        let u = r * r;
        1.0 + u * (3.0 * self.k1 + 5.0 * self.k2 * u)
    }
}

/// Smallest radius at which `1 + 3 k1 r² + 5 k2 r⁴` is zero.
fn fold_radius(k1: f64, k2: f64) -> f64 {
    let (a, b) = (5.0 * k2, 3.0 * k1);
    let discriminant = b * b - 4.0 * a;
    if discriminant < 0.0 {
        return f64::INFINITY;
    }
    // the root nearest to zero from above, in the form without cancellation: u = 2 / (-b ± sqrt)
    let root = discriminant.sqrt();
    [-b + root, -b - root]
        .into_iter()
        .filter(|denominator| *denominator > 0.0)
        .map(|denominator| (2.0 / denominator).sqrt())
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_inverse_stays_on_the_first_branch() {
        // barrel distortion that folds at 1 / sqrt(0.9) = 1.054
        let barrel = Distortion::new(-0.3, 0.0);
        assert!((barrel.fold_radius - 1.054_092_553).abs() < 1e-8);
        let distorted = barrel.apply(1.0).unwrap();
        assert!((barrel.remove(distorted).unwrap() - 1.0).abs() < 1e-12);
        assert!(barrel.apply(1.1).is_none());
        assert!(barrel.remove(0.71).is_none());
    }

    #[test]
    fn a_distortion_that_turns_up_again_keeps_to_the_centre() {
        let moustache = Distortion::new(-0.5, 0.06);
        let fold = moustache.fold_radius;
        assert!(fold.is_finite() && moustache.slope(fold).abs() < 1e-9);
        for i in 0..100 {
            let r = fold * f64::from(i) / 100.0;
            assert!((moustache.remove(moustache.apply(r).unwrap()).unwrap() - r).abs() < 1e-9);
        }
    }
}
