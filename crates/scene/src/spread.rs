//! How the light of a point spreads over pixels.

/// Places within a pixel at which a sharp spread is kept, a side: a place is rounded by at most a twentieth of a pixel.
const SHARP_PHASES: usize = 10;
/// The same for a wide disc, whose middle is less sure anyway.
const WIDE_PHASES: usize = 4;
/// Diameter of a wide disc, px.
const WIDE_PX: f64 = 5.0;
/// Share of the light in the wings of a sharp image, and their deviation over the core's: a lens and the air in front of it.
const WINGS: (f64, f64) = (0.16, 2.6);
/// What full dew adds to share and deviation of the wings (our choice, after the look of dewed lenses).
const DEW_WINGS: (f64, f64) = (0.7, 6.0);
/// Deviations of the wings after which a spread ends.
const REACH: f64 = 3.0;
/// Points along a pixel's side over which a defocused disc is summed.
const POINTS: i32 = 3;

/// Light of a point by pixel and phase; all light of a phase sums to 1.
#[derive(Debug, Clone)]
pub(crate) struct Spread {
    reach: usize,
    phases: usize,
    tables: Vec<Vec<f32>>,
}

/// How wide the light of a point is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Width {
    /// Deviation of the sharp core, px.
    pub(crate) sigma_px: f64,
    /// Diameter of the defocused disc, px; 0 for none.
    pub(crate) disc_px: f64,
    /// Dew on the lens, 0..=1.
    pub(crate) dew: f64,
}

impl Width {
    fn wings(&self) -> (f64, f64) {
        (WINGS.0 + DEW_WINGS.0 * self.dew, self.sigma_px * (WINGS.1 + DEW_WINGS.1 * self.dew))
    }
}

impl Spread {
    pub(crate) fn new(width: Width) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pixels to a few hundred")]
        let reach = (REACH * width.wings().1 + 0.5 * width.disc_px).ceil() as usize + 1;
        let phases = if width.disc_px > WIDE_PX || width.dew > 0.0 { WIDE_PHASES } else { SHARP_PHASES };
        let phase = |i: usize| (i as f64 + 0.5) / phases as f64 - 0.5;
        let tables =
            (0..phases * phases).map(|i| table(reach, [phase(i % phases), phase(i / phases)], &width)).collect();
        Self { reach, phases, tables }
    }

    /// Pixels from the middle to the end.
    pub(crate) fn reach(&self) -> usize {
        self.reach
    }

    /// Weights around a place: first column and row, side, and the weights row by row.
    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> ([isize; 2], usize, &[f32]) {
        let (nearest, phase) = (|v: f64| v.round(), |v: f64| v - v.round());
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "-0.5..0.5 by construction")]
        let index = |v: f64| (((phase(v) + 0.5) * self.phases as f64) as usize).min(self.phases - 1);
        #[expect(clippy::cast_possible_truncation, reason = "a place near the picture")]
        let first = [x, y].map(|v| nearest(v) as isize - self.reach.cast_signed());
        (first, 2 * self.reach + 1, &self.tables[index(y) * self.phases + index(x)])
    }
}

fn table(reach: usize, [px, py]: [f64; 2], width: &Width) -> Vec<f32> {
    let side = 2 * reach + 1;
    let (sigma_px, (share, wings_px)) = (width.sigma_px, width.wings());
    let mut light = vec![0.0f64; side * side];
    for (i, value) in light.iter_mut().enumerate() {
        let (x, y) = ((i % side) as f64 - reach as f64 - px, (i / side) as f64 - reach as f64 - py);
        let core = if width.disc_px > 0.0 {
            disc(x, y, sigma_px, width.disc_px)
        } else {
            gaussian(x, sigma_px) * gaussian(y, sigma_px)
        };
        let wings =
            if width.disc_px > 0.0 && width.dew <= 0.0 { 0.0 } else { gaussian(x, wings_px) * gaussian(y, wings_px) };
        // a disc's light is counted per area, a core's as a whole
        let whole = if width.disc_px > 0.0 { 0.25 * std::f64::consts::PI * width.disc_px * width.disc_px } else { 1.0 };
        *value = (1.0 - share) * core / whole + share * wings;
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
    sum / f64::from(POINTS * POINTS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_is_neither_lost_nor_made_and_lies_where_it_should() {
        for (sigma_px, disc_px, dew) in [(0.6, 0.0, 0.0), (1.4, 0.0, 0.0), (0.7, 12.0, 0.0), (0.7, 0.0, 0.8)] {
            let width = Width { sigma_px, disc_px, dew };
            let spread = Spread::new(width);
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
                // half a phase: a twentieth of a pixel, an eighth in wide spreads
                let step = if disc_px > 0.0 || dew > 0.0 { 0.13 } else { 0.055 };
                assert!((x - place[0]).abs() < step && (y - place[1]).abs() < step, "{x} {y} for {place:?}");
            }
        }
    }
}
