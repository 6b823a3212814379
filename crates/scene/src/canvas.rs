//! Light of the three lines laid onto the cells.

use crate::grid::Grid;

/// Deviation of the narrowest dab, cells: that of the quadratic spline.
const NARROWEST: f64 = 0.5;
/// Deviations after which a dab ends.
const REACH: f64 = 3.0;
/// Widest dab, cells.
const WIDEST: f64 = 24.0;

/// Brightness by cell: 427.8, 557.7, 630.0 nm, kR.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    pub(crate) kr: Vec<[f32; 3]>,
    columns: usize,
    rows: usize,
}

/// Weights of a dab along one side.
struct Weights {
    first: isize,
    shares: [f64; 160],
    count: usize,
}

impl Canvas {
    pub(crate) fn new(grid: &Grid) -> Self {
        Self { kr: vec![[0.0; 3]; grid.len()], columns: grid.columns, rows: grid.rows }
    }

    /// Whether a dab at a place can reach the cells.
    pub(crate) fn reaches(&self, [x, y]: [f64; 2], sigma: f64) -> bool {
        let margin = REACH * sigma.max(NARROWEST) + 1.0;
        x > -margin && y > -margin && x < self.columns as f64 + margin && y < self.rows as f64 + margin
    }

    /// Adds a dab of light whose sum over cells is `kr`, around a place in cells.
    pub(crate) fn dab(&mut self, [x, y]: [f64; 2], sigma: f64, kr: [f64; 3]) {
        let (across, down) = (Weights::new(x, sigma), Weights::new(y, sigma));
        for j in 0..down.count {
            let Some(row) = index(down.first, j, self.rows) else { continue };
            let kr = kr.map(|light| light * down.shares[j]);
            for i in 0..across.count {
                let Some(column) = index(across.first, i, self.columns) else { continue };
                let cell = &mut self.kr[row * self.columns + column];
                for (sum, light) in cell.iter_mut().zip(kr) {
                    #[expect(clippy::cast_possible_truncation, reason = "light in seven digits")]
                    let light = (light * across.shares[i]) as f32;
                    *sum += light;
                }
            }
        }
    }
}

fn index(first: isize, i: usize, count: usize) -> Option<usize> {
    let at = first.checked_add_unsigned(i)?;
    usize::try_from(at).ok().filter(|at| *at < count)
}

impl Weights {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "places near the picture, counts to 160"
    )]
    fn new(x: f64, sigma: f64) -> Self {
        let mut weights = [0.0; 160];
        if sigma <= NARROWEST {
            // quadratic spline: three cells, whose weights sum to 1
            let middle = x.round();
            let t = x - middle;
            weights[0] = 0.5 * (0.5 - t) * (0.5 - t);
            weights[1] = 0.75 - t * t;
            weights[2] = 0.5 * (0.5 + t) * (0.5 + t);
            return Self { first: middle as isize - 1, shares: weights, count: 3 };
        }
        let sigma = sigma.min(WIDEST);
        let first = (x - REACH * sigma).floor();
        let count = ((2.0 * REACH * sigma) as usize + 3).min(weights.len());
        // exp(-(a + i)²/2σ²) by two factors instead of an exponential each
        let inverse = 0.5 / (sigma * sigma);
        let start = first - x;
        let (mut value, mut ratio) = ((-start * start * inverse).exp(), (-(2.0 * start + 1.0) * inverse).exp());
        let decay = (-2.0 * inverse).exp();
        let mut sum = 0.0;
        for weight in &mut weights[..count] {
            *weight = value;
            sum += value;
            value *= ratio;
            ratio *= decay;
        }
        weights[..count].iter_mut().for_each(|weight| *weight /= sum);
        Self { first: first as isize, shares: weights, count }
    }
}
