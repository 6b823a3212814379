//! The pattern of a curtain: where its sheet stands, how bright it is, how high its light.

use crate::emission::{Column, Columns};
use crate::forms::Curtain;
use crate::texture::{along, fractal_along, smooth_step};

/// Full width at half maximum over the deviation.
const FWHM_PER_SIGMA: f64 = 2.354_82;
/// Area of a Gaussian over its peak and full width at half maximum.
pub(crate) const GAUSSIAN_AREA: f64 = 1.064_467;

/// Where the sheet stands and how bright it is, at an age.
#[derive(Clone, Copy)]
pub(crate) struct Shape<'a> {
    pub(crate) curtain: &'a Curtain,
    pub(crate) age_s: f64,
    pub(crate) exposure_s: f64,
    /// How far poleward of the middle of the sheet, km.
    pub(crate) aside_km: f64,
}

/// Folds by size: lattice and amplitude in units of the fold's size.
const FOLDS: [(f64, f64); 4] = [(9.0, 1.3), (3.0, 1.1), (1.3, 0.6), (0.6, 0.17)];

/// Instants of an exposure at which moving rays are looked at.
const MOST_INSTANTS: f64 = 16.0;

impl Shape<'_> {
    /// Deviation of the sheet across, km: its own, and its drift during the exposure (an even run of length L: L/√12).
    pub(crate) fn sigma_km(&self) -> f64 {
        let drift_km = self.curtain.drift_km_s[1] * self.exposure_s;
        (self.curtain.thickness_km / FWHM_PER_SIGMA).hypot(drift_km / 12f64.sqrt())
    }

    /// Magnetic east and poleward, km.
    pub(crate) fn place(&self, u_km: f64) -> [f64; 2] {
        let c = self.curtain;
        let moved = |i: usize| c.drift_km_s[i] * self.age_s;
        let mut east = u_km + moved(0);
        let mut poleward = self.aside_km + c.poleward_km + u_km * c.tilt_deg.to_radians().tan() + moved(1);
        if c.fold_km > 0.0 {
            // quiet stretches between folded ones
            let strength = c.fold_km * (0.3 + 0.7 * smooth_step(-0.5, 0.6, along(c.seed ^ 0xf01d, u_km / 260.0)));
            for (i, (lattice, amplitude)) in (0u32..).zip(FOLDS) {
                let x = (u_km + c.fold_speed_km_s * self.age_s * (1.0 + 0.3 * f64::from(i))) / (lattice * c.fold_km);
                let seed = c.seed.wrapping_mul(31).wrapping_add(u64::from(i));
                // the plain wander is along the meridian, the smaller folds turn over
                let sideways = if i == 0 { 0.3 } else { 1.0 };
                poleward += strength * amplitude * along(seed, x);
                east += sideways * strength * amplitude * along(seed ^ 0x5eed, x + 0.37);
            }
        }
        [east, poleward]
    }

    /// Share of the greatest brightness, 0..=1.
    pub(crate) fn light(&self, u_km: f64) -> f64 {
        let c = self.curtain;
        let fade_km = (0.2 * (c.ends_km[1] - c.ends_km[0])).min(200.0);
        let ends = smooth_step(0.0, fade_km, u_km - c.ends_km[0]) * smooth_step(0.0, fade_km, c.ends_km[1] - u_km);
        let wide =
            0.72 + 0.28 * fractal_along(c.seed ^ 0xb1de, (u_km + 0.5 * c.fold_speed_km_s * self.age_s) / 120.0, 2, 0.6);
        ends * wide * (1.0 - c.ray_contrast * (1.0 - self.exposed_rays(u_km)))
    }

    /// The rays as a shutter time draws them out.
    fn exposed_rays(&self, u_km: f64) -> f64 {
        let run_km = self.curtain.ray_speed_km_s.abs() * self.exposure_s;
        let instants = (2.0 * run_km / self.curtain.ray_km).ceil().clamp(1.0, MOST_INSTANTS);
        let (mut sum, mut instant) = (0.0, 0.5);
        while instant < instants {
            sum += self.rays(u_km, self.age_s + (instant / instants - 0.5) * self.exposure_s);
            instant += 1.0;
        }
        sum / instants
    }

    /// The pattern of rays at an age, 0..=1: bundles, rays and the finest threads.
    fn rays(&self, u_km: f64, age_s: f64) -> f64 {
        let c = self.curtain;
        let x = (u_km + c.ray_speed_km_s * age_s) / c.ray_km;
        let seed = c.seed ^ 0x7a15;
        let bundles = 0.5 + 0.5 * along(seed, x / 14.0);
        let rays = 0.5 + 0.5 * along(seed ^ 1, x / 3.7);
        let threads = 0.5 + 0.5 * along(seed ^ 2, x / 1.3);
        (0.30 * bundles + 0.45 * rays * rays + 0.25 * threads * rays).powf(0.9)
            * (0.55 + 0.45 * smooth_step(0.1, 0.7, bundles))
    }
}

/// Columns of a few heights, of which each ray takes one.
pub(crate) struct Palette {
    columns: Vec<Column>,
}

/// Energies and shares of slow electrons in a palette.
const SHADES: usize = 7;

impl Palette {
    pub(crate) fn new(columns: &Columns, curtain: &Curtain) -> Self {
        let columns = (0..SHADES * SHADES)
            .map(|i| {
                let step = |i: usize| i as f64 / (SHADES - 1) as f64 * 2.0 - 1.0;
                // energies by up to a factor 1.6, the slow share from a third to double
                let energy_kev = curtain.energy_kev * 1.6f64.powf(step(i / SHADES));
                let slow = (curtain.soft_share * (1.15 + 0.85 * step(i % SHADES))).clamp(0.0, 1.0);
                columns.column(energy_kev.clamp(0.1, 20.0), slow)
            })
            .collect();
        Self { columns }
    }

    /// Light along the field line where the sheet is brightest, kR of 557.7 nm, by its middle column.
    pub(crate) fn column_kr(&self, curtain: &Curtain) -> f64 {
        let middle = &self.columns[SHADES * SHADES / 2];
        curtain.broadside_kr / (middle.densest_per_km() * curtain.thickness_km * GAUSSIAN_AREA)
    }

    pub(crate) fn column(&self, shape: &Shape<'_>, u_km: f64) -> &Column {
        let c = shape.curtain;
        let x = u_km + c.ray_speed_km_s * shape.age_s;
        let energy = fractal_along(c.seed ^ 0xe0, x / (9.0 * c.ray_km), 2, 0.7);
        let slow = 0.6 * along(c.seed ^ 0x510, x / (4.0 * c.ray_km)) + 0.4 * along(c.seed ^ 0x511, u_km / 90.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the palette")]
        let shade = |x: f64| ((0.5 + 0.5 * x).clamp(0.0, 1.0) * (SHADES - 1) as f64).round() as usize;
        &self.columns[(shade(energy) * SHADES + shade(slow)).min(self.columns.len() - 1)]
    }
}
