//! The oval at one activity, tabulated for quick looking up.

use crate::borders::diffuse_border_deg;
use crate::precipitation::MltSlice;

/// Lowest magnetic latitude in the table, degrees.
const SOUTH_DEG: f32 = 40.0;
/// Spacing in magnetic latitude, degrees. A quarter degree: the mean oval's steepest shoulder falls by e in 1.8 degrees.
const LAT_STEP_DEG: f32 = 0.25;
/// Latitudes in the table: 40 to 90 degrees.
const LATS: usize = 201;
/// Magnetic local times in the table, a quarter hour apart, plus the first again at the end.
const MLTS: usize = 97;
/// Spacing in magnetic local time, hours.
const MLT_STEP_H: f32 = 0.25;
/// Degrees poleward of the diffuse border at which the mean flux is reached: nothing at the border, a smooth rise to full
/// strength.
///
/// The border is where an instrument begins to feel electrons, a tenth of what shows. What the fit has there and beyond is
/// the smear of many nights, not light of one: multiplied by the spread of bright arcs it would put aurora over Scotland
/// on nights of Kp 0. In great storms it even reaches magnetic latitude 40, which no image shows. That a border may lie
/// further out tonight is counted where it belongs, in its own error ([`crate::BORDER_SIGMA_DEG`]).
const EDGE_DEG: f64 = 2.0;

/// The mean oval at one Kp: energy flux and characteristic energy over magnetic latitude and local time.
///
/// The published flux (see [`crate::precipitation`]) rising from nothing at the diffuse border of
/// Gussenhoven et al. to full strength 2 degrees poleward of it. Both hemispheres alike: give absolute latitudes.
#[derive(Debug, Clone)]
pub struct Oval {
    kp: f64,
    /// `[mlt][latitude]`: flux mW m⁻², log10 of E0 in eV.
    cells: Vec<[f32; 2]>,
}

impl Oval {
    /// Tabulates the oval for a Kp (clipped to 0..9).
    pub fn new(kp: f64) -> Self {
        let kp = if kp.is_nan() { 0.0 } else { kp.clamp(0.0, 9.0) };
        let mut cells = Vec::with_capacity(MLTS * LATS);
        for mlt in 0..MLTS {
            let mlt_h = f64::from(MLT_STEP_H) * mlt as f64;
            let slice = MltSlice::new(mlt_h, kp);
            let border_deg = diffuse_border_deg(kp, mlt_h);
            cells.extend((0..LATS).map(|lat| {
                Self::cell(&slice, border_deg, f64::from(SOUTH_DEG) + f64::from(LAT_STEP_DEG) * lat as f64)
            }));
        }
        Self { kp, cells }
    }

    fn cell(slice: &MltSlice, border_deg: f64, lat_deg: f64) -> [f32; 2] {
        let p = slice.at(lat_deg);
        let flux = p.energy_flux_mw_m2 * edge_factor(lat_deg - border_deg);
        // A Maxwellian's mean energy is twice its characteristic energy.
        let e0_ev = (p.mean_energy_kev * 500.0).clamp(100.0, 20_000.0);
        #[expect(clippy::cast_possible_truncation, reason = "seven digits are plenty for a mean over years")]
        let cell = [flux as f32, e0_ev.log10() as f32];
        cell
    }

    /// The Kp it was made for.
    pub fn kp(&self) -> f64 {
        self.kp
    }

    /// Flux in mW m⁻² and log10 of the characteristic energy in eV, between the table's points linearly.
    ///
    /// `magnetic_lat_deg` is taken absolute; below 40 degrees there is no light.
    pub fn at(&self, magnetic_lat_deg: f32, mlt_h: f32) -> (f32, f32) {
        let y = (magnetic_lat_deg.abs() - SOUTH_DEG) / LAT_STEP_DEG;
        // also refuses NaN
        if !(y >= 0.0 && mlt_h.is_finite()) {
            return (0.0, 3.0);
        }
        let y = y.min((LATS - 1) as f32);
        let x = within_a_day(mlt_h) / MLT_STEP_H;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 or more and within the table")]
        let (column, row) = ((x as usize).min(MLTS - 2), (y as usize).min(LATS - 2));
        let (dx, dy) = (x - column as f32, y - row as f32);
        let corner = |column: usize, row: usize| self.cells[column * LATS + row];
        let (a, b) = (corner(column, row), corner(column, row + 1));
        let (c, d) = (corner(column + 1, row), corner(column + 1, row + 1));
        let mix = |i: usize| (a[i] * (1.0 - dy) + b[i] * dy) * (1.0 - dx) + (c[i] * (1.0 - dy) + d[i] * dy) * dx;
        let flux = mix(0);
        // most of a sky is dark: its energy is of no interest
        if flux > 0.0 { (flux, mix(1)) } else { (0.0, 3.0) }
    }
}

/// Hours wrapped into 0..24; the slow remainder only for those far outside.
fn within_a_day(hours: f32) -> f32 {
    match hours {
        h if (0.0..24.0).contains(&h) => h,
        h if (24.0..48.0).contains(&h) => h - 24.0,
        h if (-24.0..0.0).contains(&h) => h + 24.0,
        h => h.rem_euclid(24.0),
    }
}

/// Share of the published flux kept at a distance poleward of the diffuse border, degrees.
fn edge_factor(poleward_deg: f64) -> f64 {
    let share = (poleward_deg / EDGE_DEG).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::precipitation::precipitation;

    #[test]
    fn the_table_follows_the_published_flux_inside_the_oval() {
        // Linear interpolation over a quarter degree and a quarter hour of a curve that changes by e in 1.8 degrees:
        // the error is below (0.25/1.8)^2/8 = 0.24 %; the energy enters as its logarithm.
        const INTERPOLATION: f64 = 0.01;
        let oval = Oval::new(4.0);
        for (lat, mlt) in [(66.1, 0.1), (68.37, 22.9), (70.2, 5.63), (74.0, 12.4)] {
            let exact = precipitation(lat, mlt, 4.0);
            #[expect(clippy::cast_possible_truncation, reason = "test coordinates")]
            let (flux, log_e0) = oval.at(lat as f32, mlt as f32);
            assert!((f64::from(flux) / exact.energy_flux_mw_m2 - 1.0).abs() < INTERPOLATION, "{lat} {mlt}");
            assert!((10f64.powf(f64::from(log_e0)) / (exact.mean_energy_kev * 500.0) - 1.0).abs() < INTERPOLATION);
        }
    }

    #[test]
    fn both_hemispheres_are_alike_and_the_day_closes() {
        let oval = Oval::new(5.0);
        assert_eq!(oval.at(-64.0, 23.5), oval.at(64.0, 23.5));
        assert_eq!(oval.at(64.0, 24.0), oval.at(64.0, 0.0));
        assert_eq!(oval.at(64.0, -1.0), oval.at(64.0, 23.0));
    }

    #[test]
    fn a_great_storm_leaves_no_light_at_magnetic_latitude_forty() {
        assert!(Oval::new(9.0).at(42.0, 0.0).0 < 1e-6);
    }

    #[test]
    fn wild_coordinates_are_dark() {
        let oval = Oval::new(f64::NAN);
        assert!(oval.at(f32::NAN, 0.0).0 < f32::EPSILON);
        assert!(oval.at(60.0, f32::INFINITY).0 < f32::EPSILON);
    }
}
