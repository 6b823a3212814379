use std::sync::LazyLock;

use quantity::{EmissionLine, LineBrightness, PHOTONS_PER_RAYLEIGH_M2_S_SR};
use serde::{Deserialize, Serialize};

use crate::spectrum::{Curve, FIRST_NM, LAST_NM, read_table};

/// Luminous efficacy of cones at 555 nm, lm/W (CIE, from the definition of the candela).
pub const PHOTOPIC_EFFICACY_LM_W: f64 = 683.002;
/// Luminous efficacy of rods at 507 nm, lm/W (CIE 1951 with the present candela).
pub const SCOTOPIC_EFFICACY_LM_W: f64 = 1700.05;
/// Planck's constant times the speed of light, J m (SI, exact constants).
const PLANCK_LIGHT_J_M: f64 = 6.62607015e-34 * 299_792_458.0;
/// Second radiation constant, m K (CODATA 2018).
const SECOND_RADIATION_M_K: f64 = 1.438776877e-2;
/// First radiation constant for spectral radiance, W m² sr⁻¹ (CODATA 2018).
const FIRST_RADIATION_W_M2_SR: f64 = 1.191042972e-16;

/// V, V', x, y, z of the CIE at 5 nm.
static EYE: LazyLock<[Curve; 5]> = LazyLock::new(|| read_table(include_str!("../data/eye_functions.csv")));

/// What one kilorayleigh of one wavelength is to the eye.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LuminancePerKr {
    /// To cones, cd m⁻².
    pub photopic_cd_m2: f64,
    /// To rods, scotopic cd m⁻².
    pub scotopic_cd_m2: f64,
    /// CIE 1931 2° tristimulus values, Y in cd m⁻².
    pub xyz_cd_m2: [f64; 3],
}

/// Luminance of 1 kR of each line, order of [`EmissionLine::ALL`]; a test holds them to [`luminance_per_kr`].
///
/// Constants because the eye view asks for them a million times.
const LINES: [LuminancePerKr; 3] = [
    LuminancePerKr {
        photopic_cd_m2: 2.421017e-6,
        scotopic_cd_m2: 1.093826e-4,
        xyz_cd_m2: [6.462462e-5, 2.421017e-6, 3.140803e-4],
    },
    LuminancePerKr {
        photopic_cd_m2: 1.933340e-4,
        scotopic_cd_m2: 1.740708e-4,
        xyz_cd_m2: [1.076844e-4, 1.933340e-4, 8.982938e-7],
    },
    LuminancePerKr {
        photopic_cd_m2: 4.541446e-5,
        scotopic_cd_m2: 1.422603e-6,
        xyz_cd_m2: [1.100915e-4, 4.541446e-5, 8.568765e-9],
    },
];

/// Radiance of 1 kR at a wavelength, W m⁻² sr⁻¹; 0 for a wavelength below 1 nm, which no sky here has, or not a number.
pub fn radiance_per_kr_w_m2_sr(wavelength_nm: f64) -> f64 {
    if wavelength_nm >= 1.0 {
        1000.0 * PHOTONS_PER_RAYLEIGH_M2_S_SR * PLANCK_LIGHT_J_M / (wavelength_nm * 1e-9)
    } else {
        0.0
    }
}

/// Relative sensitivity of cones (CIE 1924 V), 0..=1; 0 outside 380..=780 nm.
pub fn photopic_sensitivity(wavelength_nm: f64) -> f64 {
    EYE[0].at(wavelength_nm)
}

/// Relative sensitivity of rods (CIE 1951 V'), 0..=1; 0 outside 380..=780 nm.
pub fn scotopic_sensitivity(wavelength_nm: f64) -> f64 {
    EYE[1].at(wavelength_nm)
}

/// Luminance and colour of 1 kR of any single wavelength.
///
/// # Source
///
/// CIE V (1924), V' (1951), 1931 2° observer at 5 nm, interpolated by Sprague's formula. Checked against 1 nm tables in
/// `tests/it/published.rs`.
///
/// ```
/// // 100 kR of the green line: about as bright as a snowfield under half a moon
/// let green = optics::luminance_per_kr(557.7);
/// assert!((100.0 * green.photopic_cd_m2 - 0.0193).abs() < 0.0001);
/// ```
pub fn luminance_per_kr(wavelength_nm: f64) -> LuminancePerKr {
    let radiance = radiance_per_kr_w_m2_sr(wavelength_nm);
    let tristimulus = |column: usize| PHOTOPIC_EFFICACY_LM_W * EYE[column].at(wavelength_nm) * radiance;
    LuminancePerKr {
        photopic_cd_m2: tristimulus(0),
        scotopic_cd_m2: SCOTOPIC_EFFICACY_LM_W * scotopic_sensitivity(wavelength_nm) * radiance,
        xyz_cd_m2: [tristimulus(2), tristimulus(3), tristimulus(4)],
    }
}

/// Luminance and colour of 1 kR of an auroral line.
pub fn line_luminance_per_kr(line: EmissionLine) -> LuminancePerKr {
    match line {
        EmissionLine::Blue4278 => LINES[0],
        EmissionLine::Green5577 => LINES[1],
        EmissionLine::Red6300 => LINES[2],
    }
}

/// Luminance of the three lines together for cones, cd m⁻².
pub fn photopic_cd_m2(lines: &LineBrightness) -> f64 {
    LINES[0].photopic_cd_m2 * lines.blue_4278_kr
        + LINES[1].photopic_cd_m2 * lines.green_5577_kr
        + LINES[2].photopic_cd_m2 * lines.red_6300_kr
}

/// Luminance of the three lines together for rods, scotopic cd m⁻².
pub fn scotopic_cd_m2(lines: &LineBrightness) -> f64 {
    LINES[0].scotopic_cd_m2 * lines.blue_4278_kr
        + LINES[1].scotopic_cd_m2 * lines.green_5577_kr
        + LINES[2].scotopic_cd_m2 * lines.red_6300_kr
}

/// CIE 1931 tristimulus values of the three lines together, Y in cd m⁻².
pub fn xyz_cd_m2(lines: &LineBrightness) -> [f64; 3] {
    std::array::from_fn(|i| {
        LINES[0].xyz_cd_m2[i] * lines.blue_4278_kr
            + LINES[1].xyz_cd_m2[i] * lines.green_5577_kr
            + LINES[2].xyz_cd_m2[i] * lines.red_6300_kr
    })
}

/// Light of a glowing black surface as the eye sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blackbody {
    /// To cones, cd m⁻².
    pub photopic_cd_m2: f64,
    /// To rods, scotopic cd m⁻².
    pub scotopic_cd_m2: f64,
    /// CIE 1931 chromaticity.
    pub xy: [f64; 2],
}

impl Blackbody {
    /// Scotopic over photopic luminance.
    pub fn sp_ratio(&self) -> f64 {
        self.scotopic_cd_m2 / self.photopic_cd_m2
    }
}

/// Luminance and colour of a blackbody, sums at 1 nm over 380..=780 nm. `None` for a temperature that is not above zero.
///
/// Below about 300 K the luminance underflows and colour and ratio have no meaning.
pub fn blackbody(temperature_k: f64) -> Option<Blackbody> {
    if !(temperature_k.is_finite() && temperature_k > 0.0) {
        return None;
    }
    let mut sums = [0.0; 5];
    let mut wavelength_nm = FIRST_NM;
    while wavelength_nm <= LAST_NM {
        let radiance_w_m2_sr_nm = planck_w_m2_sr_nm(wavelength_nm, temperature_k);
        for (sum, curve) in sums.iter_mut().zip(EYE.iter()) {
            *sum += radiance_w_m2_sr_nm * curve.at(wavelength_nm);
        }
        wavelength_nm += 1.0;
    }
    let [v, v_prime, x, y, z] = sums;
    let total = x + y + z;
    Some(Blackbody {
        photopic_cd_m2: PHOTOPIC_EFFICACY_LM_W * v,
        scotopic_cd_m2: SCOTOPIC_EFFICACY_LM_W * v_prime,
        xy: if total > 0.0 { [x / total, y / total] } else { [0.0, 0.0] },
    })
}

fn planck_w_m2_sr_nm(wavelength_nm: f64, temperature_k: f64) -> f64 {
    let wavelength_m = wavelength_nm * 1e-9;
    let exponent = SECOND_RADIATION_M_K / (wavelength_m * temperature_k);
    FIRST_RADIATION_W_M2_SR / (wavelength_m.powi(5) * exponent.exp_m1()) * 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The constants carry seven digits from a 1 nm table; ours comes from 5 nm: 0.2 % at 427.8 nm where V is steep.
    const CONSTANT_TOLERANCE: f64 = 2e-3;

    #[test]
    fn the_constants_of_the_lines_are_what_the_curves_give() {
        for line in EmissionLine::ALL {
            let (fixed, fresh) = (line_luminance_per_kr(line), luminance_per_kr(line.wavelength_nm()));
            assert!((fixed.photopic_cd_m2 / fresh.photopic_cd_m2 - 1.0).abs() < CONSTANT_TOLERANCE, "{line:?}");
            assert!((fixed.scotopic_cd_m2 / fresh.scotopic_cd_m2 - 1.0).abs() < CONSTANT_TOLERANCE, "{line:?}");
        }
    }
}
