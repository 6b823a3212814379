//! What a channel makes of a star's light: photons by magnitude and colour.

use std::sync::LazyLock;

use optics::{Channel, relative_response};
use sky::Extinction;

/// Wavelengths of B, Strömgren's b, V and Cousins R, nm (B, V, R: Bessell, Castelli & Plez 1998, Astron. Astrophys. 333, 231,
/// table A2; b: Gray 1998, Astron. J. 116, 482, from memory).
const BAND_NM: [f64; 4] = [438.0, 467.0, 545.0, 641.0];
/// Flux of magnitude 0 in those bands, erg cm⁻² s⁻¹ Å⁻¹ (same sources; b scaled by V over y, 3.631 over 3.73, so that its ratio
/// to V is that of b to y).
const ZERO_MAG_ERG_CM2_S_A: [f64; 4] = [6.32e-9, 5.89e-9 * 3.631 / 3.73, 3.631e-9, 2.177e-9];
/// Colours of a star over its B - V: B - V itself, b - y (0.404 for the Sun's 0.65), V, and V - R, which hold to 0.1 mag for
/// B - V below 1.3 (from memory, the standard sequences). B alone would not do: lines darken it in stars like the Sun.
const COLOUR_PER_BV: [f64; 4] = [1.0, 0.62, 0.0, -0.57];
/// Planck's constant times the speed of light, erg cm (exact SI values).
const PLANCK_LIGHT_ERG_CM: f64 = 1.986_445_857e-16;
/// Photons cm⁻² s⁻¹ Å⁻¹ to photons m⁻² s⁻¹ nm⁻¹.
const TO_M2_NM: f64 = 1e5;
/// Step of the sums over wavelength, nm: that of the response table.
const STEP_NM: f64 = 5.0;
/// Steps from 380 to 780 nm.
const STEPS: u16 = 81;
const FIRST_NM: f64 = 380.0;

/// Colour at which a channel's response to stars is turned into its response to a line: that of the Sun, in the middle of the
/// stars of a field, where a star's light is about even in photons.
pub(crate) const REFERENCE_BV: f64 = 0.65;

/// Response of each channel at the steps.
static RESPONSE: LazyLock<[Vec<f64>; 3]> = LazyLock::new(|| {
    Channel::ALL.map(|channel| (0..STEPS).map(|step| relative_response(channel, wavelength_nm(step))).collect())
});

/// Photons of a star of the reference colour in each channel, and the mean wavelength of its light there, nm: asked for in
/// every cell of a map.
static REFERENCE: LazyLock<[[f64; 2]; 3]> = LazyLock::new(|| {
    Channel::ALL.map(|channel| [star_photons_m2_s(channel, REFERENCE_BV), mean_wavelength_nm(channel)])
});

/// [`star_photons_m2_s`] of the reference colour.
pub(crate) fn reference_photons_m2_s(channel: Channel) -> f64 {
    REFERENCE[channel.index()][0]
}

/// Mean wavelength of a channel's light from a star of the reference colour, nm.
pub(crate) fn wavelength_of_nm(channel: Channel) -> f64 {
    REFERENCE[channel.index()][1]
}

fn wavelength_nm(step: u16) -> f64 {
    FIRST_NM + STEP_NM * f64::from(step)
}

/// Photons m⁻² s⁻¹ nm⁻¹ at a wavelength of a star of V = 0, outside the air.
///
/// Power laws of the wavelength between B, b, V and R, carried on beyond them.
pub(crate) fn star_photons_m2_s_nm(colour_bv: f64, at_nm: f64) -> f64 {
    let log = |band: usize| {
        let photon_erg = PLANCK_LIGHT_ERG_CM / (BAND_NM[band] * 1e-7);
        (ZERO_MAG_ERG_CM2_S_A[band] / photon_erg * TO_M2_NM).ln()
            - 0.4 * std::f64::consts::LN_10 * COLOUR_PER_BV[band] * colour_bv
    };
    let from = usize::from(at_nm >= BAND_NM[1]) + usize::from(at_nm >= BAND_NM[2]);
    let to = from + 1;
    let share = (at_nm / BAND_NM[from]).ln() / (BAND_NM[to] / BAND_NM[from]).ln();
    (log(from) + share * (log(to) - log(from))).exp()
}

/// Photons m⁻² s⁻¹ of a star of V = 0 outside the air, weighed by a channel's response relative to its own peak.
pub(crate) fn star_photons_m2_s(channel: Channel, colour_bv: f64) -> f64 {
    let response = &RESPONSE[channel.index()];
    (0..STEPS)
        .zip(response)
        .map(|(step, response)| response * star_photons_m2_s_nm(colour_bv, wavelength_nm(step)) * STEP_NM)
        .sum()
}

/// By how many magnitudes a channel sees a star of B - V = 1 fainter than one of 0 of the same V.
pub(crate) fn colour_term_mag(channel: Channel) -> f64 {
    -2.5 * (star_photons_m2_s(channel, 1.0) / star_photons_m2_s(channel, 0.0)).log10()
}

fn mean_wavelength_nm(channel: Channel) -> f64 {
    let response = &RESPONSE[channel.index()];
    let (sum, weights) = (0..STEPS).zip(response).fold((0.0, 0.0), |(sum, weights), (step, response)| {
        let weight = response * star_photons_m2_s_nm(REFERENCE_BV, wavelength_nm(step));
        (sum + weight * wavelength_nm(step), weights + weight)
    });
    sum / weights
}

/// Extinction at a wavelength over that of a channel's starlight in clear air.
pub(crate) fn extinction_ratio(channel: Channel, at_nm: f64) -> f64 {
    let air = Extinction::clear(0.0);
    air.coefficient_mag(at_nm) / air.coefficient_mag(wavelength_of_nm(channel))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_star_has_the_photons_of_its_band() {
        // Bessell et al. 1998: V = 0 is 3.631e-9 erg cm-2 s-1 A-1, about 1000 photons cm-2 s-1 A-1
        let v = star_photons_m2_s_nm(0.4, 545.0) / TO_M2_NM;
        assert!((v - 996.2).abs() < 1.0, "{v}");
        // a star of B - V = 1 has 2.512 times less of B
        let ratio = star_photons_m2_s_nm(0.0, 438.0) / star_photons_m2_s_nm(1.0, 438.0);
        assert!((ratio - 10f64.powf(0.4)).abs() < 1e-9);
    }

    #[test]
    fn the_sun_is_about_even_over_green() {
        // a box of the equivalent width under 1.007e7 photons m-2 s-1 A-1, the usual shortcut, is within 5 %
        let box_photons = 1.007e7 * 10.0 * optics::equivalent_width_nm(Channel::Green);
        let ratio = star_photons_m2_s(Channel::Green, REFERENCE_BV) / box_photons;
        assert!((ratio - 1.0).abs() < 0.05, "{ratio}");
    }

    #[test]
    fn the_sun_has_the_spectrum_of_the_sun() {
        // its irradiance above the air at 1 au, W m-2 nm-1, smoothed over lines (ASTM E-490, from memory), to 5 %
        for (nm, irradiance) in [(470.0, 2.02), (500.0, 1.92), (580.0, 1.84), (600.0, 1.77), (650.0, 1.58)] {
            let photons = irradiance * nm / (1.87 * 545.0);
            let ours = star_photons_m2_s_nm(REFERENCE_BV, nm) / star_photons_m2_s_nm(REFERENCE_BV, 545.0);
            assert!((ours / photons - 1.0).abs() < 0.05, "{nm} nm: {ours} against {photons}");
        }
    }

    #[test]
    fn red_stars_are_faint_in_blue_and_bright_in_red() {
        let [red, green, blue] = Channel::ALL.map(colour_term_mag);
        assert!((-0.6..-0.2).contains(&red) && (-0.1..0.25).contains(&green) && (0.5..0.9).contains(&blue));
        let [red, green, blue] = Channel::ALL.map(wavelength_of_nm);
        assert!(red > 590.0 && (520.0..550.0).contains(&green) && (450.0..480.0).contains(&blue));
    }
}
