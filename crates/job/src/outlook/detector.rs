//! The two that look at the sky: a dark-adapted eye and the kit.

use optics::{Channel, EyeBackground, EyeThreshold, Glass, Observer, Sensor};
use quantity::LineBrightness;
use sky::background::BackgroundLight;

use crate::Kit;

/// Signal over noise at which the kit is said to record the aurora.
pub(crate) const RECORDED_SNR: f64 = 5.0;
/// Picture width at which signal and noise are judged, pixels: a picture as it is looked at, not at 100 %.
pub(crate) const VIEWED_WIDTH_PX: f64 = 2000.0;
/// Least share of the sky's light an aurora must add before gradients of lens and sky hide it (common practice, no source).
const LEAST_CONTRAST: f64 = 0.05;
/// Patch an eye is taken to judge by, square degrees: a stretch of arc.
const PATCH_DEG2: f64 = 10.0;
/// Field factor of a typical observer (Crumey 2014: 1.4 to 2.4).
const FIELD_FACTOR: f64 = 2.0;

/// Eye and kit, ready for many directions.
pub(crate) struct Detectors {
    observer: Observer,
    sensor: Sensor,
    glass: Glass,
    exposure_s: f64,
    /// Green pixels that go into one pixel of the viewed picture.
    pixels_averaged: f64,
}

/// What one direction's background asks of an aurora.
pub(crate) struct Thresholds {
    eye: EyeThreshold,
    /// Electrons of aurora in a green pixel at which the kit records it.
    camera_e: f64,
}

/// How many times above its threshold a light is, for each of the three questions.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Margins {
    pub(crate) eye: f64,
    pub(crate) colour: f64,
    pub(crate) camera: f64,
}

impl Margins {
    pub(crate) const NONE: Self = Self { eye: 0.0, colour: 0.0, camera: 0.0 };

    pub(crate) fn best(self, other: Self) -> Self {
        Self {
            eye: self.eye.max(other.eye),
            colour: self.colour.max(other.colour),
            camera: self.camera.max(other.camera),
        }
    }

    pub(crate) fn as_array(self) -> [f64; 3] {
        [self.eye, self.colour, self.camera]
    }
}

impl Detectors {
    pub(crate) fn new(kit: &Kit, adaptation_minutes: f64) -> Self {
        let camera = &kit.camera;
        Self {
            observer: Observer {
                field_factor: FIELD_FACTOR,
                patch_deg2: PATCH_DEG2,
                minutes_since_white_light: adaptation_minutes,
                soft_edge: false,
            },
            sensor: Sensor {
                pixel_um: camera.pixel_um,
                peak_qe: camera.peak_quantum_efficiency,
                read_noise_e: camera.read_noise_e,
                full_well_e: camera.full_well_e,
                base_iso: camera.base_iso,
            },
            glass: Glass {
                f_number: kit.lens.f_number,
                focal_mm: kit.lens.focal_mm,
                transmission: kit.lens.transmission,
            },
            exposure_s: kit.exposure_s,
            // half of a Bayer sensor's pixels are green
            pixels_averaged: (f64::from(camera.width_px) / VIEWED_WIDTH_PX).powi(2).max(1.0) * 0.5,
        }
    }

    pub(crate) fn thresholds(&self, background: &BackgroundLight) -> Thresholds {
        let eye = EyeBackground {
            photopic_cd_m2: background.total_cd_m2(),
            scotopic_cd_m2: background.scotopic_cd_m2(),
        };
        let sky_e = self.exposure_s
            * optics::sky_electrons_per_s(&self.sensor, &self.glass, background.rayleigh_per_angstrom(), Channel::Green);
        Thresholds { eye: self.observer.threshold(eye), camera_e: self.recorded_e(sky_e) }
    }

    /// Electrons of aurora needed over `sky_e` electrons of sky: the root of signal = SNR x noise.
    fn recorded_e(&self, sky_e: f64) -> f64 {
        let needed = RECORDED_SNR * RECORDED_SNR / self.pixels_averaged;
        let noise_e2 = sky_e + self.sensor.read_noise_e.powi(2);
        let by_noise = 0.5 * (needed + (needed * needed + 4.0 * needed * noise_e2).sqrt());
        by_noise.max(LEAST_CONTRAST * sky_e)
    }

    pub(crate) fn margins(&self, light: &LineBrightness, thresholds: &Thresholds) -> Margins {
        let eye = thresholds.eye.ratio(light);
        let aurora_e =
            self.exposure_s * optics::line_electrons_per_s(&self.sensor, &self.glass, light, Channel::Green);
        Margins {
            eye,
            // colour needs to be seen at all first
            colour: optics::colour_ratio(light).min(eye),
            camera: aurora_e / thresholds.camera_e,
        }
    }
}
