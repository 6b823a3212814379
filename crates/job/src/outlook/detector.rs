//! The two that look at the sky: a dark-adapted eye and the kit.

use optics::{
    Channel, Exposure, EyeBackground, Lens, Sensor, Shot, ThresholdLuminance, photopic_cd_m2, visible_threshold_after,
};
use quantity::{EmissionLine, LineBrightness};
use sky::background::BackgroundLight;

use crate::{Kit, kit_optics};

/// Signal over noise at which the kit is said to record the aurora.
pub(crate) const RECORDED_SNR: f64 = 5.0;
/// Picture width at which signal and noise are judged, pixels: a picture as it is looked at, not at 100 %.
pub(crate) const VIEWED_WIDTH_PX: f64 = 2000.0;
/// Least share of the sky's light an aurora must add before gradients of lens and sky hide it (common practice, no source).
const LEAST_CONTRAST: f64 = 0.05;
/// Patch an eye is taken to judge by, square degrees: a stretch of arc.
const PATCH_DEG2: f64 = 10.0;
/// Brightness of 557.7 nm at which an eye is said to see colour, kR: "a hint of green" (IBC II).
const COLOUR_SEEN_KR: f64 = 10.0;

/// Eye and kit, ready for many directions.
pub(crate) struct Detectors {
    adaptation_minutes: f64,
    sensor: Sensor,
    lens: Lens,
    exposure: Exposure,
    /// Green pixels that go into one pixel of the viewed picture.
    pixels_averaged: f64,
    /// Luminance at which colour is seen, cd m⁻².
    colour_cd_m2: f64,
}

/// What one direction's background asks of an aurora.
pub(crate) struct Thresholds {
    eye: ThresholdLuminance,
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
        let green = LineBrightness { green_5577_kr: COLOUR_SEEN_KR, ..LineBrightness::default() };
        Self {
            adaptation_minutes,
            // one frame of seconds: the dark current is nothing beside the sky
            sensor: Sensor { dark_current_e_s: 0.0, ..kit_optics::sensor(kit, 0.0) },
            lens: kit_optics::lens(kit),
            exposure: Exposure { seconds: kit.exposure_s, iso: kit.iso, f_number: kit.lens.f_number },
            // half of a Bayer sensor's pixels are green
            pixels_averaged: (f64::from(camera.width_px) / VIEWED_WIDTH_PX).powi(2).max(1.0) * 0.5,
            colour_cd_m2: photopic_cd_m2(&green),
        }
    }

    fn shot(&self) -> Shot<'_> {
        Shot { sensor: &self.sensor, lens: &self.lens, exposure: self.exposure }
    }

    pub(crate) fn thresholds(&self, background: &BackgroundLight) -> Thresholds {
        let eye =
            EyeBackground { photopic_cd_m2: background.total_cd_m2(), scotopic_cd_m2: background.scotopic_cd_m2() };
        let sky_e = self.shot().continuum_electrons([background.rayleigh_per_angstrom(); 3])[Channel::Green.index()];
        Thresholds {
            // aurora fades out at its edges: 1 kR, not 0.3, is what observers call just visible
            eye: visible_threshold_after(eye, PATCH_DEG2, optics::TYPICAL_FIELD_FACTOR, self.adaptation_minutes)
                .soft_edged(),
            camera_e: self.recorded_e(sky_e),
        }
    }

    /// Electrons of aurora needed over `sky_e` electrons of sky: the root of signal = SNR x noise.
    ///
    /// A sky that fills the pixels by itself leaves no room for any.
    fn recorded_e(&self, sky_e: f64) -> f64 {
        if sky_e >= self.shot().saturation_e() {
            return f64::INFINITY;
        }
        let needed = RECORDED_SNR * RECORDED_SNR / self.pixels_averaged;
        let noise_e2 = self.shot().noise_e(0.0, sky_e).powi(2);
        let by_noise = 0.5 * (needed + (needed * needed + 4.0 * needed * noise_e2).sqrt());
        by_noise.max(LEAST_CONTRAST * sky_e)
    }

    pub(crate) fn margins(&self, light: &LineBrightness, thresholds: &Thresholds) -> Margins {
        let eye = thresholds.eye.visibility(light).best();
        let seen: f64 = EmissionLine::ALL
            .into_iter()
            .map(|line| light.get_kr(line) * self.sensor.line_qe(Channel::Green, line))
            .sum();
        let aurora_e = 1000.0 * self.shot().photons_per_rayleigh() * seen;
        Margins {
            eye,
            // colour needs to be seen at all first
            colour: (photopic_cd_m2(light) / self.colour_cd_m2).min(eye),
            camera: aurora_e / thresholds.camera_e,
        }
    }
}

/// "IBC I-II, grey or barely tinted": a brightness of 557.7 nm on the International Brightness scale, and how it looks.
pub(crate) fn looks_like(green_kr: f64) -> String {
    let class = optics::ibc(green_kr);
    let scale = match class {
        optics::Ibc::BelowOne => "below IBC I".to_owned(),
        _ => format!("IBC {}", class.label()),
    };
    format!("{scale}, {}", class.plain_words())
}

#[cfg(test)]
mod tests {
    use super::*;
    use optics::colour_saturation;

    #[test]
    fn colour_is_seen_where_saturation_begins_to_count() {
        let green = LineBrightness { green_5577_kr: COLOUR_SEEN_KR, ..LineBrightness::default() };
        let saturation = colour_saturation(photopic_cd_m2(&green));
        assert!((0.1..0.3).contains(&saturation), "{saturation}");
    }
}
