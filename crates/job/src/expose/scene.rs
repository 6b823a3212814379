//! Kit and light together: what every candidate setting is judged by.

use optics::{Channel, Exposure, Lens, Sensor, Shot, mid_grey_kr};
use quantity::LineBrightness;

use super::motion::Movement;
use crate::KitLimits;
use crate::outlook::detector::VIEWED_WIDTH_PX;

/// Everything that does not depend on the setting.
pub(super) struct Scene {
    pub(super) sensor: Sensor,
    pub(super) lens: Lens,
    pub(super) limits: KitLimits,
    /// The aurora at its best value.
    pub(super) lines: LineBrightness,
    /// The sky, R/Å.
    pub(super) sky_r_per_angstrom: f64,
    pub(super) least_declination_deg: f64,
    pub(super) range_km: f64,
    pub(super) movement: Movement,
}

impl Scene {
    pub(super) fn shot(&self, exposure: Exposure) -> Shot<'_> {
        Shot { sensor: &self.sensor, lens: &self.lens, exposure }
    }

    /// Electrons of aurora per channel.
    pub(super) fn aurora_e(&self, exposure: Exposure) -> [f64; 3] {
        self.shot(exposure).line_electrons(&self.lines)
    }

    /// Electrons of sky per channel.
    pub(super) fn sky_e(&self, exposure: Exposure) -> [f64; 3] {
        self.shot(exposure).continuum_electrons([self.sky_r_per_angstrom; 3])
    }

    /// Signal over noise in a green pixel and in one of the picture as it is looked at.
    pub(super) fn snr(&self, exposure: Exposure) -> (f64, f64) {
        let green = Channel::Green.index();
        let pixel = self.shot(exposure).snr(self.aurora_e(exposure)[green], self.sky_e(exposure)[green], 1);
        (pixel, pixel * self.pixels_averaged().sqrt())
    }

    /// Green pixels that go into one pixel of the picture as it is looked at: half of a Bayer sensor's are green.
    pub(super) fn pixels_averaged(&self) -> f64 {
        ((f64::from(self.sensor.width_px) / VIEWED_WIDTH_PX).powi(2) * 0.5).max(1.0)
    }

    /// Green light that would fill a green pixel as the sky does, kR.
    pub(super) fn sky_as_green_kr(&self) -> f64 {
        let one = Exposure { seconds: 1.0, iso: self.sensor.base_iso, f_number: self.lens.f_number };
        let green = Channel::Green.index();
        let per_kr =
            self.shot(one).line_electrons(&LineBrightness { green_5577_kr: 1.0, ..LineBrightness::default() })[green];
        if per_kr > 0.0 { self.sky_e(one)[green] / per_kr } else { 0.0 }
    }

    /// Aurora and sky together as green light, kR.
    pub(super) fn total_green_kr(&self) -> f64 {
        self.lines.green_5577_kr + self.sky_as_green_kr()
    }

    /// Longest time with stars as points by the NPF rule, s.
    pub(super) fn stars_s(&self, f_number: f64, tolerance: f64) -> f64 {
        optics::npf_limit_s(f_number, self.lens.focal_mm, self.sensor.pixel_um, self.least_declination_deg, tolerance)
    }

    /// Time after which aurora and sky together stand so many stops under mid-grey, s.
    pub(super) fn placing_s(&self, f_number: f64, iso: f64, stops_under: f64) -> f64 {
        let second = Exposure { seconds: 1.0, iso, f_number };
        mid_grey_kr(second) / self.total_green_kr() * 2f64.powf(-stops_under)
    }

    /// Time after which the picture as it is looked at has this signal over noise, s; up to an hour.
    pub(super) fn reaching_s(&self, f_number: f64, iso: f64, snr: f64) -> f64 {
        let (mut low, mut high) = (1e-4f64, 3600.0f64);
        let enough = |seconds: f64| self.snr(Exposure { seconds, iso, f_number }).1 >= snr;
        if !enough(high) {
            return high;
        }
        // forty halvings of seven decades: far below a step of the ladder
        for _ in 0..40 {
            let middle = (low * high).sqrt();
            if enough(middle) { high = middle } else { low = middle }
        }
        high
    }

    /// Stops left before green clips when the aurora is so many times brighter.
    pub(super) fn spare_stops(&self, exposure: Exposure, times: f64) -> f64 {
        let green = Channel::Green.index();
        let total_e = self.aurora_e(exposure)[green] * times + self.sky_e(exposure)[green];
        self.shot(exposure).stops_to_clip(total_e).clamp(-STOPS_SAID, STOPS_SAID)
    }
}

/// More stops than any camera has: a report holds no endless number.
pub(super) const STOPS_SAID: f64 = 40.0;
