//! Glows: wide soft forms summed along every sightline.

use std::f64::consts::{FRAC_PI_2, LN_2};

use sky::Air;

use crate::curtain::Easel;
use crate::emission::Column;
use crate::field_lines::FieldLines;
use crate::forms::Glow;
use crate::grid::Grid;
use crate::texture::fractal_over;

/// Heights at which a sightline is cut, km.
const EDGES_KM: [f64; 15] =
    [82.0, 90.0, 95.0, 99.0, 103.0, 107.0, 112.0, 118.0, 127.0, 140.0, 160.0, 190.0, 240.0, 320.0, 480.0];
/// Slabs between them.
const SLABS: usize = EDGES_KM.len() - 1;
/// Every so many cells a sightline is followed.
const STEP_CELLS: usize = 3;
/// Square of the distance, in half sizes and for a soft edge, at which less than a ten-thousandth is left.
const FAINTEST_LN: f64 = 13.3;
/// Radius of the sphere on which sightlines are reckoned, km.
const EARTH_RADIUS_KM: f64 = 6371.0;

/// A glow at one age with the light of its slabs.
struct Lit<'a> {
    glow: &'a Glow,
    slabs_kr: [[f64; 3]; SLABS],
    moved_km: [f64; 2],
}

/// Brightness of all glows by cell, kR; in the mirror with `flip` -1.
pub(crate) fn light(easel: &Easel<'_>, glows: &[&Glow], age_s: f64, exposure_s: f64, flip: f32) -> Vec<[f32; 3]> {
    let lit: Vec<Lit<'_>> = glows
        .iter()
        .map(|glow| {
            let column: Column = easel.columns.column(glow.energy_kev, 0.0);
            let kr = glow.column_kr * glow.light(age_s, exposure_s);
            Lit {
                glow,
                slabs_kr: std::array::from_fn(|i| column.between(EDGES_KM[i], EDGES_KM[i + 1]).map(|light| kr * light)),
                moved_km: glow.drift_km_s.map(|speed| speed * age_s),
            }
        })
        .collect();
    easel.grid.smooth(STEP_CELLS, |cell| sightline(easel.grid, easel.lines, easel.air, &lit, cell, flip))
}

fn sightline(grid: &Grid, lines: &FieldLines, air: &Air, lit: &[Lit<'_>], cell: usize, flip: f32) -> [f32; 3] {
    let [east, north, up] = grid.directions[cell].map(f64::from);
    let up = up * f64::from(flip);
    if up.is_nan() || up < 0.0 {
        return [0.0; 3];
    }
    let across = east.hypot(north).max(1e-9);
    let altitude = air.airless_altitude_deg(up.atan2(across).to_degrees()).to_radians();
    let closest_km = EARTH_RADIUS_KM * altitude.cos();
    let path = |height: f64| ((EARTH_RADIUS_KM + height).powi(2) - closest_km * closest_km).max(0.0).sqrt();
    let mut sum = [0.0; 3];
    for slab in 0..SLABS {
        let (low, high) = (EDGES_KM[slab], EDGES_KM[slab + 1]);
        let middle = 0.5 * (low + high);
        let slant = (path(high) - path(low)) / (high - low);
        let arc = FRAC_PI_2 - altitude - (closest_km / (EARTH_RADIUS_KM + middle)).min(1.0).asin();
        let ground_km = EARTH_RADIUS_KM * arc;
        let plane_km = [ground_km * east / across, ground_km * north / across];
        let magnetic_km = lines.magnetic_km(lines.foot(plane_km, middle));
        for form in lit {
            let share = form.share(magnetic_km);
            for (sum, light) in sum.iter_mut().zip(form.slabs_kr[slab]) {
                *sum += slant * share * light;
            }
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "light in seven digits")]
    let narrow = sum.map(|light| light as f32);
    narrow
}

impl Lit<'_> {
    fn share(&self, [east_km, poleward_km]: [f64; 2]) -> f64 {
        let glow = self.glow;
        let x = east_km - glow.middle_km[0] - self.moved_km[0];
        let y = poleward_km - glow.middle_km[1] - self.moved_km[1];
        let size_km = glow.half_size_km[1].min(glow.half_size_km[0]);
        // far outside nothing need be worked out; the border winds by no more than this
        let clear_km = 0.35 * size_km * glow.unevenness;
        let outside = |km: f64, half_km: f64| ((km.abs() - clear_km).max(0.0) / half_km).powi(2);
        let farthest = FAINTEST_LN.powf(1.0 / glow.edge);
        if outside(x, glow.half_size_km[0]) + outside(y, glow.half_size_km[1]) > farthest {
            return 0.0;
        }
        // a border that winds, as a cloud's does
        let wander = |seed: u64| {
            0.35 * size_km * glow.unevenness * fractal_over(glow.seed ^ seed, x / size_km, y / size_km, 2, 0.5)
        };
        let (xx, yy) = ((x + wander(0xa)) / glow.half_size_km[0], (y + wander(0xb)) / glow.half_size_km[1]);
        let square = xx * xx + yy * yy;
        let envelope = (-LN_2 * square.powf(glow.edge)).exp();
        if envelope < 1e-4 || glow.unevenness <= 0.0 {
            return envelope;
        }
        // streaked along the parallel, as drifting plasma is
        let grain = fractal_over(glow.seed ^ 0xc, x / (0.9 * size_km), y / (0.35 * size_km), 4, 0.55);
        envelope * (1.0 - glow.unevenness * (0.5 - 0.5 * grain).clamp(0.0, 1.0))
    }
}
