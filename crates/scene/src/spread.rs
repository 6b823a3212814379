//! How the light of a point spreads over pixels.

/// Places within a pixel at which a spread is kept, a side.
const PHASES: usize = 5;
/// Share of the light in the wings of a sharp image, and their deviation over the core's: a lens and the air in front of it.
const WINGS: (f64, f64) = (0.16, 2.6);
/// Deviations of the wings after which a spread ends.
const REACH: f64 = 3.0;
/// Points along a pixel's side over which a defocused disc is summed.
const POINTS: i32 = 3;

/// Light of a point by pixel and phase; all light of a phase sums to 1.
#[derive(Debug, Clone)]
pub(crate) struct Spread {
    reach: usize,
    tables: Vec<Vec<f32>>,
}

impl Spread {
    /// * `sigma_px`: deviation of the sharp core. * `disc_px`: diameter of the defocused disc, 0 for none.
    pub(crate) fn new(sigma_px: f64, disc_px: f64) -> Self {
        let wings_px = WINGS.1 * sigma_px;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels to a few hundred")]
        let reach = (REACH * wings_px + 0.5 * disc_px).ceil() as usize + 1;
        let phase = |i: usize| (i as f64 + 0.5) / PHASES as f64 - 0.5;
        let tables = (0..PHASES * PHASES)
            .map(|i| table(reach, [phase(i % PHASES), phase(i / PHASES)], sigma_px, disc_px))
            .collect();
        Self { reach, tables }
    }

    /// Pixels from the middle to the end.
    pub(crate) fn reach(&self) -> usize {
        self.reach
    }

    /// Weights around a place: first column and row, side, and the weights row by row.
    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> ([isize; 2], usize, &[f32]) {
        let (nearest, phase) = (|v: f64| v.round(), |v: f64| v - v.round());
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "-0.5..0.5 by construction")]
        let index = |v: f64| (((phase(v) + 0.5) * PHASES as f64) as usize).min(PHASES - 1);
        #[expect(clippy::cast_possible_truncation, reason = "a place near the picture")]
        let first = [x, y].map(|v| nearest(v) as isize - self.reach.cast_signed());
        (first, 2 * self.reach + 1, &self.tables[index(y) * PHASES + index(x)])
    }
}

fn table(reach: usize, [px, py]: [f64; 2], sigma_px: f64, disc_px: f64) -> Vec<f32> {
    let side = 2 * reach + 1;
    let mut light = vec![0.0f64; side * side];
    for (i, value) in light.iter_mut().enumerate() {
        let (x, y) = ((i % side) as f64 - reach as f64 - px, (i / side) as f64 - reach as f64 - py);
        *value = if disc_px > 0.0 {
            disc(x, y, sigma_px, disc_px)
        } else {
            let wings = WINGS.1 * sigma_px;
            (1.0 - WINGS.0) * gaussian(x, sigma_px) * gaussian(y, sigma_px)
                + WINGS.0 * gaussian(x, wings) * gaussian(y, wings)
        };
    }
    let sum: f64 = light.iter().sum();
    #[expect(clippy::cast_possible_truncation, reason = "a share in seven digits")]
    let narrow = light.into_iter().map(|value| (value / sum) as f32).collect();
    narrow
}

/// Gaussian summed over a pixel.
fn gaussian(x: f64, sigma: f64) -> f64 {
    let edge = |x: f64| 0.5 * error_function(x / (sigma * std::f64::consts::SQRT_2));
    edge(x + 0.5) - edge(x - 0.5)
}

/// Abramowitz & Stegun 7.1.26: within 1.5e-7.
fn error_function(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.327_591_1 * x.abs());
    let poly =
        t * (0.254_829_592 + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    (1.0 - poly * (-x * x).exp()) * x.signum()
}

/// Even disc whose edge is as soft as the core is wide.
fn disc(x: f64, y: f64, sigma: f64, diameter: f64) -> f64 {
    let mut sum = 0.0;
    for i in 0..POINTS {
        for j in 0..POINTS {
            let step = |k: i32| (f64::from(k) + 0.5) / f64::from(POINTS) - 0.5;
            let r = (x + step(i)).hypot(y + step(j));
            sum += 0.5 * (1.0 - error_function((r - 0.5 * diameter) / (sigma * std::f64::consts::SQRT_2)));
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_is_neither_lost_nor_made_and_lies_where_it_should() {
        for (sigma, disc) in [(0.6, 0.0), (1.4, 0.0), (0.7, 12.0)] {
            let spread = Spread::new(sigma, disc);
            for place in [[10.1, 20.0], [10.5, 20.49], [9.7, 19.9]] {
                let ([left, top], side, weights) = spread.at(place);
                let (mut sum, mut x, mut y) = (0.0, 0.0, 0.0);
                for (i, weight) in weights.iter().enumerate() {
                    let weight = f64::from(*weight);
                    sum += weight;
                    x += weight * (left as f64 + (i % side) as f64);
                    y += weight * (top as f64 + (i / side) as f64);
                }
                assert!((sum - 1.0).abs() < 1e-5, "{sum}");
                // half a phase: a tenth of a pixel
                assert!((x - place[0]).abs() < 0.11 && (y - place[1]).abs() < 0.11, "{x} {y} for {place:?}");
            }
        }
    }
}
