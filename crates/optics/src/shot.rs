use quantity::{EmissionLine, LineBrightness};

use crate::error::OpticsError;
use crate::response::{Channel, equivalent_width_nm};
use crate::sensor::{Exposure, Lens, Sensor};

/// Ångströms in a nanometre.
const ANGSTROM_PER_NM: f64 = 10.0;

/// Sensor, lens and settings together: what light becomes in a pixel on the axis.
///
/// Off the axis multiply electrons by [`Lens::vignetting`].
#[derive(Debug, Clone, Copy)]
pub struct Shot<'kit> {
    /// The sensor.
    pub sensor: &'kit Sensor,
    /// The lens.
    pub lens: &'kit Lens,
    /// The settings.
    pub exposure: Exposure,
}

impl Shot<'_> {
    /// Says whether sensor, lens and settings can be real. Ask it where numbers come in.
    ///
    /// The other functions do not fail: settings that cannot be (a zero f-number, not a number) collect no light, so they
    /// answer 0 electrons and a signal over noise of 0, never a NaN that would travel on.
    ///
    /// # Errors
    ///
    /// Those of [`Sensor::check`], [`Lens::check`] and [`Exposure::check`].
    pub fn check(&self) -> Result<(), OpticsError> {
        self.sensor.check()?;
        self.lens.check()?;
        self.exposure.check()
    }

    /// Photoelectrons per rayleigh and unit quantum efficiency: `1e10 p² T t / 16 N²`.
    ///
    /// A pixel of pitch p behind a lens of f-number N collects `π p² / 4N²` m² sr whatever the focal length; a rayleigh is
    /// 1e10 / 4π photons s⁻¹ m⁻² sr⁻¹. Exact for an aplanatic lens at infinity. Below about f/2 the pixels themselves lose
    /// light that arrives slanted (10 to 40 % at f/1.4), which is not counted here. 0 for what [`Shot::check`] refuses.
    pub fn photons_per_rayleigh(&self) -> f64 {
        let pitch_m = self.sensor.pixel_um * 1e-6;
        let n = self.exposure.f_number;
        let gain = 1e10 * pitch_m * pitch_m * self.lens.transmission * self.exposure.seconds / (16.0 * n * n);
        if gain.is_finite() { gain.max(0.0) } else { 0.0 }
    }

    /// Mean electrons from the three lines, per channel (red, green, blue).
    ///
    /// ```
    /// use optics::{Exposure, Lens, Projection, Sensor, Shot};
    /// use quantity::LineBrightness;
    ///
    /// let sensor = Sensor::generic_full_frame();
    /// let lens = Lens { f_number: 2.8, focal_mm: 14.0, transmission: 0.88, projection: Projection::Rectilinear, corner_loss_stops: 1.0 };
    /// let shot = Shot { sensor: &sensor, lens: &lens, exposure: Exposure { seconds: 1.0, iso: 3200.0, f_number: 2.8 } };
    /// let [_, green_e, _] = shot.line_electrons(&LineBrightness { green_5577_kr: 1.0, ..Default::default() });
    /// assert!((green_e - 1.00).abs() < 0.01);
    /// ```
    pub fn line_electrons(&self, lines: &LineBrightness) -> [f64; 3] {
        let per_kr = 1000.0 * self.photons_per_rayleigh();
        Channel::ALL.map(|channel| {
            let detected_kr: f64 =
                EmissionLine::ALL.iter().map(|&line| lines.get_kr(line) * self.sensor.line_qe(channel, line)).sum();
            per_kr * detected_kr
        })
    }

    /// Mean electrons from a continuous background, per channel, from its brightness in rayleighs per ångström in the
    /// band of each channel (red, green, blue).
    pub fn continuum_electrons(&self, rayleighs_per_angstrom: [f64; 3]) -> [f64; 3] {
        let gain = self.photons_per_rayleigh();
        Channel::ALL.map(|channel| {
            let i = channel.index();
            let in_band_r = rayleighs_per_angstrom[i] * equivalent_width_nm(channel) * ANGSTROM_PER_NM;
            gain * in_band_r * self.sensor.peak_qe[i]
        })
    }

    /// Electrons of dark current.
    pub fn dark_electrons(&self) -> f64 {
        self.sensor.dark_current_e_s * self.exposure.seconds
    }

    /// Noise of one pixel, electrons rms: shot noise of all light and dark current, read noise once, rounding to steps.
    pub fn noise_e(&self, signal_e: f64, background_e: f64) -> f64 {
        let read_e = self.sensor.read_noise_e(self.exposure.iso);
        let step_e = self.sensor.electrons_per_step(self.exposure.iso);
        (signal_e.max(0.0) + background_e.max(0.0) + self.dark_electrons() + read_e * read_e + step_e * step_e / 12.0)
            .sqrt()
    }

    /// Signal over noise of the mean of `averaged` like pixels or frames (1 for a single pixel; 0 counts as 1).
    pub fn snr(&self, signal_e: f64, background_e: f64, averaged: u32) -> f64 {
        let noise_e = self.noise_e(signal_e, background_e);
        let snr = signal_e / noise_e * f64::from(averaged.max(1)).sqrt();
        if snr.is_finite() { snr } else { 0.0 }
    }

    /// Electrons at which a pixel clips at these settings.
    pub fn saturation_e(&self) -> f64 {
        self.sensor.saturation_e(self.exposure.iso)
    }

    /// Stops left before a pixel clips; negative when it does, infinite without light.
    pub fn stops_to_clip(&self, total_e: f64) -> f64 {
        if total_e > 0.0 { (self.saturation_e() / total_e).log2() } else { f64::INFINITY }
    }
}
