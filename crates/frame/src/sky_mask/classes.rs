//! What sky and ground look like in one frame, learnt from the cells held for each, and what a cell costs as either.

use super::features::{Features, quantile};

/// Standard deviation of a Gaussian over its median absolute deviation.
const SIGMA_PER_MAD: f64 = 1.4826;
/// Smallest scatter believed: light (natural logarithm) in sky and ground, roughness, colour (judgement: a sky of one
/// evening differs from a smooth curve by a tenth).
const LEAST_LIGHT: [f64; 2] = [0.12, 0.3];
const LEAST_ROUGH: f64 = 0.15;
const LEAST_COLOUR: f64 = 0.08;
/// Largest scatter of sky light that is still sky: an aurora over a dark sky has a factor of three.
const MOST_SKY_LIGHT: f64 = 1.1;
/// Tail of the distribution (Student's t): clouds, auroras and lamps are far from the middle and no proof.
const FREEDOM: f64 = 3.0;
/// What ground may hold of anything that looks like sky (water, snow), per cell: more than being sky outright.
const SKY_IN_GROUND: f64 = 1.0;
/// Stars found on the ground for each in as much sky, at least (lamps, glints, branches) and at most.
const STARS_IN_GROUND: [f64; 2] = [0.08, 0.5];
/// Light beyond the sky's own from which it is a glare, standard deviations.
const GLARE_SIGMAS: f64 = 2.0;
/// What stars weigh against the independence they do not have.
const STAR_WEIGHT: f64 = 0.7;
/// Neighbouring cells tell much the same.
const CELL_WEIGHT: f64 = 0.5;
/// Cells used for fitting, at most.
const MOST_FITTED: usize = 1200;

/// One number's middle and scatter.
#[derive(Debug, Clone, Copy)]
struct Spread {
    middle: f64,
    sigma: f64,
}

impl Spread {
    fn of(values: &[f64], least: f64) -> Option<Self> {
        let middle = quantile(values, 0.5)?;
        let off: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
        Some(Self { middle, sigma: (SIGMA_PER_MAD * quantile(&off, 0.5)?).max(least) })
    }

    /// How unlike it a value is: `1 + z^2 / f` of Student's density, whose power is taken once for all numbers together.
    fn unlike(&self, value: f64) -> f64 {
        let z = (value - self.middle) / self.sigma;
        if z.is_finite() { 1.0 + z * z / FREEDOM } else { 1.0 }
    }
}

/// Terms of the surface: a plane, its curvature, and the steeper falloff towards the rim of a wide lens.
const TERMS: usize = 7;

/// Sky light over the frame as a curved surface: gradients, falloff of the lens, glow over the horizon.
#[derive(Debug, Clone, Copy)]
struct Surface([f64; TERMS]);

impl Surface {
    fn terms(cells: &Features, i: usize) -> [f64; TERMS] {
        let side = cells.columns.max(cells.rows) as f64;
        let x = ((i % cells.columns) as f64 - 0.5 * cells.columns as f64) / side;
        let y = ((i / cells.columns) as f64 - 0.5 * cells.rows as f64) / side;
        let square = x * x + y * y;
        [1.0, x, y, x * x, x * y, y * y, square * square]
    }

    fn at(&self, cells: &Features, i: usize) -> f64 {
        Self::terms(cells, i).iter().zip(&self.0).map(|(term, factor)| term * factor).sum()
    }

    /// Fitted robustly: twice, the second time with little weight for what lies far off.
    fn fit(cells: &Features, members: &[usize]) -> Option<Self> {
        let step = members.len().div_ceil(MOST_FITTED).max(1);
        let mut surface: Option<(Self, f64)> = None;
        for _ in 0..3 {
            let mut normal = [[0.0; TERMS + 1]; TERMS];
            let mut off = Vec::new();
            for i in members.iter().step_by(step).copied().filter(|i| cells.light[*i].is_finite()) {
                let terms = Self::terms(cells, i);
                let light = cells.light[i];
                let weight = surface.map_or(1.0, |(surface, scatter)| {
                    let z = (light - surface.at(cells, i)) / scatter;
                    1.0 / (1.0 + z * z)
                });
                for (row, term) in normal.iter_mut().zip(&terms) {
                    for (entry, other) in row.iter_mut().zip(terms.iter().chain([&light])) {
                        *entry += weight * term * other;
                    }
                }
            }
            // a little stiffness, so that a narrow strip of sky does not bend at will
            for (i, row) in normal.iter_mut().enumerate().skip(1) {
                row[i] += 1e-3 * members.len() as f64;
            }
            let fitted = Self(solved(normal)?);
            off.extend(members.iter().step_by(step).map(|i| (cells.light[*i] - fitted.at(cells, *i)).abs()));
            surface = Some((fitted, (SIGMA_PER_MAD * quantile(&off, 0.5)?).max(LEAST_LIGHT[0])));
        }
        surface.map(|(surface, _)| surface)
    }
}

/// Solution of linear equations, by elimination with pivots; `None` where they do not settle it.
fn solved(mut rows: [[f64; TERMS + 1]; TERMS]) -> Option<[f64; TERMS]> {
    for i in 0..TERMS {
        let pivot = (i..TERMS).max_by(|a, b| rows[*a][i].abs().total_cmp(&rows[*b][i].abs()))?;
        rows.swap(i, pivot);
        let own = rows[i];
        if own[i].abs() < 1e-12 || !own[i].is_finite() {
            return None;
        }
        for (_, row) in rows.iter_mut().enumerate().filter(|(j, _)| *j != i) {
            let factor = row[i] / own[i];
            for (entry, other) in row.iter_mut().zip(&own) {
                *entry -= factor * other;
            }
        }
    }
    Some(std::array::from_fn(|i| rows[i][TERMS] / rows[i][i]))
}

/// Sky and ground of one frame.
#[derive(Debug, Clone)]
pub(super) struct Classes {
    surface: Surface,
    sky_light: Spread,
    ground_light: Spread,
    rough: [Spread; 2],
    red: Option<[Spread; 2]>,
    blue: Option<[Spread; 2]>,
    /// Logarithms of the scatters of all numbers, in sky and in ground.
    scatters: [f64; 2],
    /// Stars in a cell of sky, and of ground.
    stars: Option<[f64; 2]>,
}

impl Classes {
    /// From the cells held for sky and for ground; `None` where either has too few.
    pub(super) fn learn(cells: &Features, sky: &[usize], ground: &[usize]) -> Option<Self> {
        let [sky, ground] =
            [sky, ground].map(|all| all.iter().copied().step_by(all.len().div_ceil(MOST_FITTED)).collect::<Vec<_>>());
        let (sky, ground) = (sky.as_slice(), ground.as_slice());
        let surface = Surface::fit(cells, sky)?;
        let take = |values: &[f64], of: &[usize]| -> Vec<f64> { of.iter().map(|i| values[*i]).collect() };
        let residual: Vec<f64> = sky.iter().map(|i| cells.light[*i] - surface.at(cells, *i)).collect();
        let mut sky_light = Spread::of(&residual, LEAST_LIGHT[0])?;
        sky_light.sigma = sky_light.sigma.min(MOST_SKY_LIGHT);
        let both = |values: &[f64], least: f64| -> Option<[Spread; 2]> {
            Some([Spread::of(&take(values, sky), least)?, Spread::of(&take(values, ground), least)?])
        };
        let is_grey = cells.red.is_empty() || cells.blue.is_empty();
        let rate = |of: &[usize]| of.iter().map(|i| cells.stars[*i]).sum::<f64>() / of.len().max(1) as f64;
        let stars = (!cells.stars.is_empty()).then(|| {
            let of_sky = rate(sky).max(1e-3);
            [of_sky, rate(ground).clamp(STARS_IN_GROUND[0] * of_sky, STARS_IN_GROUND[1] * of_sky)]
        });
        let ground_light = Spread::of(&take(&cells.light, ground), LEAST_LIGHT[1])?;
        let rough = both(&cells.rough, LEAST_ROUGH)?;
        let [red, blue] = [&cells.red, &cells.blue].map(|v| if is_grey { None } else { both(v, LEAST_COLOUR) });
        let scatters = std::array::from_fn(|k| {
            let light = if k == 0 { &sky_light } else { &ground_light };
            let colours = red.iter().chain(&blue).map(|both| 0.5 * both[k].sigma.ln()).sum::<f64>();
            light.sigma.ln() + rough[k].sigma.ln() + colours
        });
        Some(Self { surface, sky_light, ground_light, rough, red, blue, scatters, stars })
    }

    /// What a cell costs as sky and as ground.
    pub(super) fn costs(&self, cells: &Features, i: usize) -> [f64; 2] {
        let light = cells.light[i];
        let mut sky = self.sky_light.unlike(light - self.surface.at(cells, i)) * self.rough[0].unlike(cells.rough[i]);
        let mut ground = self.ground_light.unlike(light) * self.rough[1].unlike(cells.rough[i]);
        (sky, ground) = (sky * sky, ground * ground);
        // the two colours go together and count as one
        for (spreads, values) in [(&self.red, &cells.red), (&self.blue, &cells.blue)] {
            if let Some([of_sky, of_ground]) = spreads {
                sky *= of_sky.unlike(values[i]);
                ground *= of_ground.unlike(values[i]);
            }
        }
        let power = 0.25 * (FREEDOM + 1.0);
        let (sky, ground) = (self.scatters[0] + power * sky.ln(), self.scatters[1] + power * ground.ln());
        let (mut sky, mut ground) = (CELL_WEIGHT * sky, CELL_WEIGHT * ground);
        // the moon's glare, a bright band of aurora, a lamp: brighter than the sky is no proof of dark ground
        let surface = self.surface.at(cells, i);
        if light - surface > GLARE_SIGMAS * self.sky_light.sigma && self.ground_light.middle < surface {
            sky = sky.min(ground);
        }
        // ground may hold anything, also a sky mirrored in water; sky holds no ground
        ground = ground.min(sky + CELL_WEIGHT * SKY_IN_GROUND);
        if let Some([of_sky, of_ground]) = self.stars {
            sky += STAR_WEIGHT * (of_sky - cells.stars[i] * of_sky.ln());
            ground += STAR_WEIGHT * (of_ground - cells.stars[i] * of_ground.ln());
        }
        [sky, ground]
    }
}
