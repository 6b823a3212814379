//! Energy flux and mean energy of the precipitating electrons, as a mean over years of ultraviolet images.

use std::f64::consts::PI;
use std::sync::OnceLock;

use crate::table;

/// Harmonics in magnetic local time.
const HARMONICS: usize = 6;
/// Number of activity bins in the tables.
const BINS: usize = 6;
/// Kp each bin stands for (Zhang & Paxton 2008, Tables 1 and 2).
pub(crate) const KP_CENTRES: [f64; BINS] = [0.75, 2.25, 3.75, 5.25, 7.0, 9.0];
/// Kp at which the two branches of the hemispheric-power formula meet.
const POWER_BRANCH_KP: f64 = 5.0;

/// What falls into the atmosphere at one magnetic place and time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precipitation {
    /// Energy flux of the electrons, mW m⁻² (the same number in erg cm⁻² s⁻¹).
    pub energy_flux_mw_m2: f64,
    /// Mean energy of the electrons, keV. A Maxwellian's characteristic energy is half of it.
    pub mean_energy_kev: f64,
}

/// Hemispheric power for a Kp, GW.
///
/// Valid for Kp 0 to 9, where it runs from 4.7 to 345 GW.
///
/// # Source
///
/// Y. Zhang & L. J. Paxton, J. Atmos. Sol.-Terr. Phys. 70, 1231 (2008), equations 1 and 2.
pub fn hemispheric_power_gw(kp: f64) -> f64 {
    if kp <= POWER_BRANCH_KP { 38.66 * (0.1967 * kp).exp() - 33.99 } else { 4.592 * (0.4731 * kp).exp() + 20.47 }
}

/// Kp for a hemispheric power in GW: the inverse of [`hemispheric_power_gw`], clipped to 0..9.
pub fn kp_from_hemispheric_power_gw(power_gw: f64) -> f64 {
    let kp = if power_gw <= hemispheric_power_gw(POWER_BRANCH_KP) {
        ((power_gw.max(0.0) + 33.99) / 38.66).ln() / 0.1967
    } else {
        ((power_gw - 20.47) / 4.592).ln() / 0.4731
    };
    kp.clamp(0.0, 9.0)
}

/// Mean flux and energy at a magnetic latitude, magnetic local time and Kp: the published model as it stands.
///
/// * `magnetic_lat_deg`: corrected geomagnetic latitude; its sign does not matter.
/// * `mlt_h`: magnetic local time, hours, any value (periodic).
/// * `kp`: 0 to 9; values outside are clipped.
///
/// Below Kp 0.75 the model is extrapolated and may dip under zero: clamped at 0. Above Kp 8 its equatorward tail is
/// not believed by anybody: use [`crate::Oval`], which cuts it. Poleward of 82 degrees treat it as unknown.
///
/// # Source
///
/// Zhang & Paxton 2008 (see [`hemispheric_power_gw`]), Appendix A, as transcribed in `data/zhang_paxton_2008.csv`.
pub fn precipitation(magnetic_lat_deg: f64, mlt_h: f64, kp: f64) -> Precipitation {
    MltSlice::new(mlt_h, kp).at(magnetic_lat_deg)
}

/// The model at one magnetic local time and Kp, ready for many latitudes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MltSlice {
    flux: [Epstein; 2],
    energy: [Epstein; 2],
    flux_weight: [f64; 2],
    energy_weight: [f64; 2],
}

impl MltSlice {
    pub(crate) fn new(mlt_h: f64, kp: f64) -> Self {
        let kp = if kp.is_nan() { 0.0 } else { kp.clamp(0.0, 9.0) };
        let upper = KP_CENTRES.iter().position(|&centre| kp < centre).unwrap_or(BINS - 1).max(1);
        let (low, high) = (KP_CENTRES[upper - 1], KP_CENTRES[upper]);
        let power = |value: f64| hemispheric_power_gw(value);
        let by_power = (power(kp) - power(low)) / (power(high) - power(low));
        let by_kp = (kp - low) / (high - low);
        let tables = tables();
        let pair = |bins: &[BinTable; BINS]| [bins[upper - 1].at_mlt(mlt_h), bins[upper].at_mlt(mlt_h)];
        Self {
            flux: pair(&tables.flux),
            energy: pair(&tables.energy),
            flux_weight: [1.0 - by_power, by_power],
            energy_weight: [1.0 - by_kp, by_kp],
        }
    }

    pub(crate) fn at(&self, magnetic_lat_deg: f64) -> Precipitation {
        let colatitude_deg = 90.0 - magnetic_lat_deg.abs();
        let mix = |pair: &[Epstein; 2], weight: [f64; 2]| {
            (weight[0] * pair[0].at(colatitude_deg) + weight[1] * pair[1].at(colatitude_deg)).max(0.0)
        };
        Precipitation {
            energy_flux_mw_m2: mix(&self.flux, self.flux_weight),
            mean_energy_kev: mix(&self.energy, self.energy_weight),
        }
    }
}

/// An Epstein function of magnetic colatitude: a steep poleward and a gentle equatorward shoulder.
#[derive(Debug, Clone, Copy)]
struct Epstein {
    amplitude: f64,
    centre_deg: f64,
    rise_deg: f64,
    fall_deg: f64,
}

impl Epstein {
    fn at(self, colatitude_deg: f64) -> f64 {
        let offset_deg = colatitude_deg - self.centre_deg;
        let shoulder = 1.0 + (offset_deg / self.fall_deg).exp();
        let value = self.amplitude * (offset_deg / self.rise_deg).exp() / (shoulder * shoulder);
        // exp() of a far tail divides infinity by infinity
        if value.is_finite() { value } else { 0.0 }
    }
}

/// Fourier coefficients of the four Epstein parameters of one bin: `[parameter][harmonic]`.
#[derive(Debug, Clone, Copy)]
struct BinTable {
    cosine: [[f64; HARMONICS + 1]; 4],
    sine: [[f64; HARMONICS + 1]; 4],
}

impl BinTable {
    const EMPTY: Self = Self { cosine: [[0.0; HARMONICS + 1]; 4], sine: [[0.0; HARMONICS + 1]; 4] };

    fn at_mlt(&self, mlt_h: f64) -> Epstein {
        let angle = PI * mlt_h / 12.0;
        let mut parameters = [0.0; 4];
        for harmonic in 0..=HARMONICS {
            let (sin, cos) = (harmonic as f64 * angle).sin_cos();
            for (value, (cosine, sine)) in parameters.iter_mut().zip(self.cosine.iter().zip(&self.sine)) {
                *value += cosine[harmonic] * cos + sine[harmonic] * sin;
            }
        }
        let [amplitude, centre_deg, rise_deg, fall_deg] = parameters;
        Epstein { amplitude, centre_deg, rise_deg, fall_deg }
    }
}

struct Tables {
    flux: [BinTable; BINS],
    energy: [BinTable; BINS],
}

fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| {
        let mut tables = Tables { flux: [BinTable::EMPTY; BINS], energy: [BinTable::EMPTY; BINS] };
        for row in table::rows(include_str!("../data/zhang_paxton_2008.csv")) {
            let (Some(bin), Some(harmonic)) = (index(&row, 1), index(&row, 6)) else { continue };
            let bins = if row[0] == "flux" { &mut tables.flux } else { &mut tables.energy };
            let Some(bin) = bins.get_mut(bin) else { continue };
            let kind = if row[5] == "cos" { &mut bin.cosine } else { &mut bin.sine };
            for (parameter, series) in kind.iter_mut().enumerate() {
                series[harmonic.min(HARMONICS)] = table::number(&row, 7 + parameter);
            }
        }
        tables
    })
}

fn index(row: &[&str], column: usize) -> Option<usize> {
    row.get(column)?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_whole() {
        let tables = tables();
        for bin in tables.flux.iter().chain(&tables.energy) {
            let sum: f64 = bin.cosine.iter().chain(&bin.sine).flatten().sum();
            assert!(sum.is_finite());
            assert!(bin.cosine[0][0] > 0.0, "every bin has a mean amplitude");
        }
    }

    #[test]
    fn power_and_kp_undo_each_other() {
        for tenth in 0..=90 {
            let kp = f64::from(tenth) / 10.0;
            // The branches meet with a step of 0.02 GW at Kp 5.
            assert!((kp_from_hemispheric_power_gw(hemispheric_power_gw(kp)) - kp).abs() < 0.002, "Kp {kp}");
        }
    }

    #[test]
    fn wild_arguments_give_finite_numbers() {
        for value in [f64::NAN, f64::INFINITY, -1e300, 1e300] {
            assert!(hemispheric_power_gw(value.clamp(0.0, 9.0)).is_finite() || value.is_nan());
            let p = precipitation(65.0, 0.0, value);
            assert!(p.energy_flux_mw_m2.is_finite() && p.mean_energy_kev.is_finite());
        }
    }
}
