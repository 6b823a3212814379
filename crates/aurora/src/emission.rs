//! Light from precipitation: how many rayleighs a unit of energy flux makes, and at what height.

use std::sync::OnceLock;

use quantity::{EmissionLine, LineBrightness};

use crate::table;

/// Heights at which the sky integral is cut into slabs, km. Fine where green and blue light peak, coarse above.
pub(crate) const SLAB_EDGES_KM: [f64; SLABS + 1] = [
    82.0, 90.0, 95.0, 99.0, 103.0, 107.0, 111.0, 115.0, 120.0, 126.0, 133.0, 142.0, 153.0, 166.0, 181.0, 198.0, 217.0,
    238.0, 262.0, 290.0, 325.0, 370.0, 430.0, 497.0,
];
/// Number of slabs.
pub(crate) const SLABS: usize = 23;

/// Characteristic energies of the emission model's columns, eV.
const PROFILE_E0_EV: [f64; 7] = [200.0, 500.0, 1000.0, 2000.0, 3000.0, 5000.0, 10_000.0];

/// Relative error of the efficiency of each line, in the order of [`EmissionLine::ALL`]: spread between published
/// models and measurements.
///
/// 427.8 nm: 0.2 to 0.26 kR per mW m⁻² (Rees & Luckey 1974, from memory). 557.7 nm: 1.73 +- 0.51 kR (Steele & McEwen 1990,
/// from memory) against 1.3 here. 630.0 nm: depends on electron density and neutral air.
pub const EFFICIENCY_RELATIVE_SIGMA: [f64; 3] = [0.15, 0.30, 0.40];

/// Efficiency of the three lines for a characteristic energy and solar flux, kR in the column per mW m⁻².
///
/// * `characteristic_energy_ev`: E0 of a Maxwellian, half its mean energy; clipped to 100..20 000 eV.
/// * `f107`: 10.7 cm solar flux, sfu; clipped to 70..200.
///
/// # Source
///
/// Computed for this project with the GLOW electron transport model (S. C. Solomon, J. Geophys. Res. Space Physics 122,
/// 7834, 2017); table and recipe in `data/glow_emission_efficiency.csv`.
pub fn efficiency_kr_per_mw_m2(characteristic_energy_ev: f64, f107: f64) -> LineBrightness {
    let table = efficiency_table();
    let f107 = f107.clamp(table[0].f107, table[2].f107);
    let upper = if f107 <= table[1].f107 { 1 } else { 2 };
    let share = (f107 - table[upper - 1].f107) / (table[upper].f107 - table[upper - 1].f107);
    let low = table[upper - 1].at(characteristic_energy_ev);
    let high = table[upper].at(characteristic_energy_ev);
    let mix = |line: usize| (low[line] * (1.0 - share) + high[line] * share) / 1000.0;
    LineBrightness { blue_4278_kr: mix(0), green_5577_kr: mix(1), red_6300_kr: mix(2) }
}

/// Volume emission rate per mW m⁻², photons cm⁻³ s⁻¹, at a height and characteristic energy.
///
/// Interpolated between the model's energies on a logarithmic scale; zero outside 80 to 498 km. Not yet scaled to the
/// efficiency of another solar flux: see [`EmissionTable`].
pub fn volume_emission_cm3_s(line: EmissionLine, height_km: f64, characteristic_energy_ev: f64) -> f64 {
    let profiles = profiles();
    let heights = &profiles.height_km;
    let (Some(&bottom), Some(&top)) = (heights.first(), heights.last()) else { return 0.0 };
    if !(bottom..=top).contains(&height_km) {
        return 0.0;
    }
    let above = heights.partition_point(|&h| h < height_km).clamp(1, heights.len() - 1);
    let across = (height_km - heights[above - 1]) / (heights[above] - heights[above - 1]);
    let (column, share) = energy_position(characteristic_energy_ev);
    let line = line as usize;
    let at = |column: usize| {
        let curve = &profiles.rate[line][column];
        curve[above - 1] * (1.0 - across) + curve[above] * across
    };
    // Geometric mean between energies; the floor keeps an empty column from wiping out its neighbour.
    let floor = |rate: f64| rate.max(1e-12).ln();
    (floor(at(column)) * (1.0 - share) + floor(at(column + 1)) * share).exp()
}

/// Brightness of each height slab per mW m⁻², tabulated over characteristic energy for one solar flux.
///
/// A slab's value is what a sightline gains from crossing it *vertically*, kR; a slanted line gains
/// `1 / cos(zenith angle)` times as much.
#[derive(Debug, Clone)]
pub struct EmissionTable {
    /// `[energy][slab][line]`, kR per mW m⁻².
    slab_kr: Vec<[[f32; 3]; SLABS]>,
}

/// Energies in the table, log-spaced.
const TABLE_ENERGIES: usize = 48;
/// Decimal logarithm of the lowest and highest tabulated energy, eV.
const TABLE_LOG_E0: (f64, f64) = (2.0, 4.301);

impl EmissionTable {
    /// The table for a 10.7 cm solar flux, sfu (clipped to 70..200).
    pub fn new(f107: f64) -> Self {
        let slab_kr = (0..TABLE_ENERGIES).map(|index| Self::slabs(Self::energy_ev(index), f107)).collect();
        Self { slab_kr }
    }

    fn energy_ev(index: usize) -> f64 {
        let share = index as f64 / (TABLE_ENERGIES - 1) as f64;
        10f64.powf(TABLE_LOG_E0.0 + share * (TABLE_LOG_E0.1 - TABLE_LOG_E0.0))
    }

    /// Column of each slab, scaled so that their sum is the tabulated efficiency.
    fn slabs(energy_ev: f64, f107: f64) -> [[f32; 3]; SLABS] {
        let efficiency = efficiency_kr_per_mw_m2(energy_ev, f107);
        let mut slabs = [[0.0f32; 3]; SLABS];
        for (line_index, line) in EmissionLine::ALL.into_iter().enumerate() {
            let mut columns = [0.0f64; SLABS];
            for (slab, column) in columns.iter_mut().enumerate() {
                *column = slab_column(line, energy_ev, SLAB_EDGES_KM[slab], SLAB_EDGES_KM[slab + 1]);
            }
            let total: f64 = columns.iter().sum();
            let scale = if total > 0.0 { efficiency.get_kr(line) / total } else { 0.0 };
            for (slab, column) in columns.iter().enumerate() {
                #[expect(clippy::cast_possible_truncation, reason = "seven digits are plenty for a model good to 30 %")]
                let value = (column * scale) as f32;
                slabs[slab][line_index] = value;
            }
        }
        slabs
    }

    /// The two table rows around an energy and the share of the upper one.
    pub(crate) fn rows(&self, log10_e0_ev: f32) -> (&[[f32; 3]; SLABS], &[[f32; 3]; SLABS], f32) {
        #[expect(clippy::cast_possible_truncation, reason = "constants of this module")]
        let (low, high) = (TABLE_LOG_E0.0 as f32, TABLE_LOG_E0.1 as f32);
        let position = ((log10_e0_ev - low) / (high - low)).clamp(0.0, 1.0) * (TABLE_ENERGIES - 1) as f32;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "position is within the table")]
        let row = (position as usize).min(TABLE_ENERGIES - 2);
        (&self.slab_kr[row], &self.slab_kr[row + 1], position - row as f32)
    }

    /// The whole column per mW m⁻² at an energy, kR: the sum of the slabs.
    pub fn column_kr_per_mw_m2(&self, characteristic_energy_ev: f64) -> LineBrightness {
        #[expect(clippy::cast_possible_truncation, reason = "an energy in eV")]
        let (low, high, share) = self.rows(characteristic_energy_ev.max(1.0).log10() as f32);
        let sum = |line: usize| {
            f64::from(low.iter().zip(high).map(|(a, b)| a[line] * (1.0 - share) + b[line] * share).sum::<f32>())
        };
        LineBrightness { blue_4278_kr: sum(0), green_5577_kr: sum(1), red_6300_kr: sum(2) }
    }
}

/// Integral of the volume emission between two heights, arbitrary scale (rayleigh without the efficiency's correction).
fn slab_column(line: EmissionLine, energy_ev: f64, bottom_km: f64, top_km: f64) -> f64 {
    const STEPS: usize = 24;
    let step = (top_km - bottom_km) / STEPS as f64;
    (0..STEPS).map(|i| volume_emission_cm3_s(line, bottom_km + (i as f64 + 0.5) * step, energy_ev) * step).sum()
}

/// Column index and share of the next for an energy.
fn energy_position(energy_ev: f64) -> (usize, f64) {
    let last = PROFILE_E0_EV.len() - 1;
    let energy_ev =
        if energy_ev.is_nan() { PROFILE_E0_EV[0] } else { energy_ev.clamp(PROFILE_E0_EV[0], PROFILE_E0_EV[last]) };
    let column = PROFILE_E0_EV.partition_point(|&e| e <= energy_ev).clamp(1, last) - 1;
    let span = (PROFILE_E0_EV[column + 1] / PROFILE_E0_EV[column]).ln();
    (column, (energy_ev / PROFILE_E0_EV[column]).ln() / span)
}

struct EfficiencyByFlux {
    f107: f64,
    /// ln E0 and ln rayleigh of the three lines.
    points: Vec<(f64, [f64; 3])>,
}

impl EfficiencyByFlux {
    fn at(&self, energy_ev: f64) -> [f64; 3] {
        let first = self.points.first().map_or(0.0, |p| p.0);
        let last = self.points.last().map_or(0.0, |p| p.0);
        let x = if energy_ev.is_nan() { first } else { energy_ev.max(1.0).ln().clamp(first, last) };
        let above = self.points.partition_point(|p| p.0 < x).clamp(1, self.points.len() - 1);
        let (low, high) = (&self.points[above - 1], &self.points[above]);
        let share = (x - low.0) / (high.0 - low.0);
        [0, 1, 2].map(|line| (low.1[line] * (1.0 - share) + high.1[line] * share).exp())
    }
}

fn efficiency_table() -> &'static [EfficiencyByFlux; 3] {
    static TABLE: OnceLock<[EfficiencyByFlux; 3]> = OnceLock::new();
    TABLE.get_or_init(|| {
        [70.0, 120.0, 200.0].map(|f107| EfficiencyByFlux {
            f107,
            points: table::rows(include_str!("../data/glow_emission_efficiency.csv"))
                .filter(|row| (table::number(row, 0) - f107).abs() < 0.5)
                .map(|row| (table::number(&row, 1).ln(), [2, 7, 12].map(|column| table::number(&row, column).ln())))
                .collect(),
        })
    })
}

struct Profiles {
    height_km: Vec<f64>,
    /// `[line][energy][height]`.
    rate: [[Vec<f64>; 7]; 3],
}

fn profiles() -> &'static Profiles {
    static TABLE: OnceLock<Profiles> = OnceLock::new();
    TABLE.get_or_init(|| {
        let rows: Vec<_> = table::rows(include_str!("../data/glow_emission_profiles.csv")).collect();
        let column = |index: usize| rows.iter().map(|row| table::number(row, index)).collect::<Vec<f64>>();
        Profiles {
            height_km: column(0),
            rate: [0, 1, 2].map(|line| std::array::from_fn(|energy| column(1 + line * PROFILE_E0_EV.len() + energy))),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_are_whole() {
        assert!(efficiency_table().iter().all(|t| t.points.len() == 16 && t.points.iter().all(|p| p.0.is_finite())));
        assert!(profiles().height_km.len() > 100);
        assert!(profiles().rate.iter().flatten().flatten().all(|rate| rate.is_finite()));
    }
}
