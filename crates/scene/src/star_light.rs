//! A star's light in the camera's three channels.

use optics::{Channel, Exposure, Lens, Sensor, relative_response};

/// Photons s⁻¹ m⁻² Å⁻¹ of a star of V = 0 at 5510 Å (Bessell et al. 1998, Astron. Astrophys. 333, 231: 3.631e-9 erg).
pub(crate) const V_ZERO_PHOTONS: f64 = 1.007e7;
/// Wavelengths, nm, at which the air's loss is taken for red, green and blue: middles of the channels' curves.
pub(crate) const CHANNEL_NM: [f64; 3] = [600.0, 540.0, 465.0];
/// Colour taken for a star without one: a G star's.
const USUAL_BV_MAG: f64 = 0.65;
/// Second radiation constant over a nanometre, K (CODATA).
const HC_K_NM_KELVIN: f64 = 1.438_777e7;
/// Effective wavelength of the V band, nm.
const V_NM: f64 = 551.0;

/// Electrons per second of a star of V = 0 on the axis above the air, by channel, for a table of colours.
#[derive(Debug, Clone)]
pub(crate) struct StarLight {
    by_colour: Vec<[f64; 3]>,
}

/// First and last colour of the table and its step, mag.
const COLOURS: [f64; 3] = [-0.4, 2.4, 0.1];

impl StarLight {
    pub(crate) fn new(sensor: &Sensor, lens: &Lens, exposure: &Exposure) -> Self {
        let pupil_m = lens.focal_mm * 1e-3 / exposure.f_number;
        let area_m2 = std::f64::consts::FRAC_PI_4 * pupil_m * pupil_m;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "29 colours")]
        let count = ((COLOURS[1] - COLOURS[0]) / COLOURS[2]).round() as usize + 1;
        let by_colour = (0..count)
            .map(|i| {
                let kelvin = temperature_k(COLOURS[0] + COLOURS[2] * i as f64);
                Channel::ALL.map(|channel| {
                    let scale = V_ZERO_PHOTONS * area_m2 * lens.transmission * sensor.peak_qe[channel.index()];
                    scale * band_angstrom(channel, kelvin)
                })
            })
            .collect();
        Self { by_colour }
    }

    /// Electrons per second by channel.
    pub(crate) fn rate(&self, v_mag: f64, colour_bv_mag: Option<f64>) -> [f64; 3] {
        let colour = colour_bv_mag.unwrap_or(USUAL_BV_MAG);
        let position = ((colour - COLOURS[0]) / COLOURS[2]).clamp(0.0, self.by_colour.len() as f64 - 1.000_001);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
        let index = position as usize;
        let share = position - index as f64;
        let flux = 10f64.powf(-0.4 * v_mag);
        std::array::from_fn(|i| {
            flux * (self.by_colour[index][i] * (1.0 - share) + self.by_colour[index + 1][i] * share)
        })
    }
}

/// Temperature of a body of a colour, K (Ballesteros, Europhys. Lett. 97, 34008, 2012).
fn temperature_k(colour_bv_mag: f64) -> f64 {
    4600.0 * (1.0 / (0.92 * colour_bv_mag + 1.7) + 1.0 / (0.92 * colour_bv_mag + 0.62))
}

/// Width of the channel for the photons of a body, relative to those at the V wavelength, Å.
fn band_angstrom(channel: Channel, kelvin: f64) -> f64 {
    let photons = |nm: f64| nm.powi(-4) / ((HC_K_NM_KELVIN / (nm * kelvin)).exp() - 1.0);
    let at_v = photons(V_NM);
    // 5 nm steps, in ångström
    (0..=80)
        .map(|i| 380.0 + 5.0 * f64::from(i))
        .map(|nm| 50.0 * relative_response(channel, nm) * photons(nm) / at_v)
        .sum()
}
