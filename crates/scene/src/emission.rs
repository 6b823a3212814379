//! Light by height of a column, ready to be cut anywhere.

use aurora::{EmissionTable, volume_emission_cm3_s};
use quantity::EmissionLine;

/// Lowest height with light, km.
pub(crate) const LOWEST_KM: f64 = 80.0;
/// Highest, km.
pub(crate) const HIGHEST_KM: f64 = 496.0;
/// Step of the table, km.
const STEP_KM: f64 = 1.0;
/// Heights in the table.
const HEIGHTS: usize = 417;
/// Energies in the table.
const ENERGIES: usize = 24;
/// Lowest and highest energy, decimal logarithm of eV.
const LOG_EV: [f64; 2] = [2.0, 4.301];
/// Energy of the slow electrons that make tall red tops, eV (our choice: their 630.0 nm equals their 557.7 nm).
pub(crate) const SLOW_EV: f64 = 400.0;

/// Light below each height, by energy: `[energy][height][line]`, kR of a vertical column per mW m⁻².
#[derive(Debug)]
pub(crate) struct Columns {
    below: Vec<Vec<[f64; 3]>>,
}

/// What electrons fall in one place: their light below each height, kR.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    below: Vec<[f64; 3]>,
}

impl Columns {
    pub(crate) fn new(f107: f64) -> Self {
        let efficiency = EmissionTable::new(f107);
        let below = (0..ENERGIES)
            .map(|row| {
                let energy_ev = 10f64.powf(LOG_EV[0] + (LOG_EV[1] - LOG_EV[0]) * row as f64 / (ENERGIES - 1) as f64);
                let whole = efficiency.column_kr_per_mw_m2(energy_ev);
                let mut sums = [0.0; 3];
                let mut below = vec![[0.0; 3]; HEIGHTS];
                for (i, entry) in below.iter_mut().enumerate().skip(1) {
                    let middle_km = LOWEST_KM + (i as f64 - 0.5) * STEP_KM;
                    for (sum, line) in sums.iter_mut().zip(EmissionLine::ALL) {
                        *sum += volume_emission_cm3_s(line, middle_km, energy_ev);
                    }
                    *entry = sums;
                }
                for entry in &mut below {
                    for (i, line) in EmissionLine::ALL.into_iter().enumerate() {
                        entry[i] *= whole.get_kr(line) / sums[i].max(1e-300);
                    }
                }
                below
            })
            .collect();
        Self { below }
    }

    /// The column of fast electrons of an energy with a share of the energy flux in slow ones, with 1 kR of 557.7 nm in all.
    pub(crate) fn column(&self, energy_kev: f64, slow_share: f64) -> Column {
        let (fast, slow) = (self.row(1000.0 * energy_kev), self.row(SLOW_EV));
        let mut below: Vec<[f64; 3]> = fast
            .iter()
            .zip(&slow)
            .map(|(fast, slow)| std::array::from_fn(|i| fast[i] * (1.0 - slow_share) + slow[i] * slow_share))
            .collect();
        let green_kr = below.last().map_or(1.0, |top| top[1]).max(1e-300);
        below.iter_mut().flatten().for_each(|light| *light /= green_kr);
        Column { below }
    }

    fn row(&self, energy_ev: f64) -> Vec<[f64; 3]> {
        let position = (energy_ev.max(1.0).log10() - LOG_EV[0]) / (LOG_EV[1] - LOG_EV[0]) * (ENERGIES - 1) as f64;
        let position = position.clamp(0.0, (ENERGIES - 1) as f64 - 1e-9);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
        let index = position as usize;
        let share = position - index as f64;
        let (low, high) = (&self.below[index], &self.below[index + 1]);
        low.iter().zip(high).map(|(a, b)| std::array::from_fn(|i| a[i] * (1.0 - share) + b[i] * share)).collect()
    }
}

impl Column {
    /// Light below a height, kR per kR of 557.7 nm in all, blue, green, red.
    pub(crate) fn below(&self, height_km: f64) -> [f64; 3] {
        let position = ((height_km - LOWEST_KM) / STEP_KM).clamp(0.0, (HEIGHTS - 1) as f64 - 1e-9);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
        let index = position as usize;
        let share = position - index as f64;
        let (low, high) = (&self.below[index], &self.below[index + 1]);
        std::array::from_fn(|i| low[i] + (high[i] - low[i]) * share)
    }

    /// Share of the 557.7 nm in the kilometre of height with the most of it.
    pub(crate) fn densest_per_km(&self) -> f64 {
        self.below.windows(2).map(|pair| (pair[1][1] - pair[0][1]) / STEP_KM).fold(1e-6, f64::max)
    }

    /// Light between two heights.
    pub(crate) fn between(&self, low_km: f64, high_km: f64) -> [f64; 3] {
        let (below, above) = (self.below(low_km), self.below(high_km));
        std::array::from_fn(|i| above[i] - below[i])
    }
}
