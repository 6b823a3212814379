use quantity::{Estimate, InputNote, LineBrightness};
use serde::{Deserialize, Serialize};

use super::motion::AuroraMotion;
use super::request::ExposeRequest;

/// What the settings are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ExposeReport {
    /// The request it answers.
    pub request: ExposeRequest,
    /// What to dial in, and what it will look like: two sentences.
    pub summary: String,
    /// The light that was counted with.
    pub light: ExposedLight,
    /// What holds exposure times down.
    pub bounds: ExposureBounds,
    /// Three to five settings, the recommended one first.
    pub settings: Vec<ExposeSetting>,
    /// What this kit cannot do tonight, in words; empty where all is well.
    pub warnings: Vec<String>,
    /// Every input and where it came from.
    pub inputs: Vec<InputNote>,
    /// Where the arithmetic stops being good.
    pub limits: Vec<String>,
}

/// The light in the frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ExposedLight {
    /// Green light of the aurora, kR.
    pub green_5577_kr: Estimate,
    /// All three lines at the best value, kR.
    pub lines: LineBrightness,
    /// Where that stands on the International Brightness scale and how it looks.
    pub looks_like: String,
    /// Green light of the next brightening, kR: what must not clip.
    pub brightest_green_5577_kr: Estimate,
    /// Sky without aurora in the frame, mag/arcsec².
    pub sky_mag_arcsec2: Estimate,
    /// Green light that would fill a green pixel as the sky does, kR.
    pub sky_as_green_kr: f64,
}

/// What holds exposure times down whatever the light.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ExposureBounds {
    /// Declination nearest to the equator in the frame, degrees without sign.
    pub least_declination_deg: f64,
    /// Longest time with stars as points wide open (NPF rule, strict), s.
    pub stars_strict_s: f64,
    /// The same rule at three times the tolerance, s.
    pub stars_lax_s: f64,
    /// The old rule of 500, for comparison, s.
    pub rule_of_500_s: f64,
    /// How the aurora was taken to move.
    pub motion: AuroraMotion,
    /// Speed across the line of sight, km/s.
    pub speed_km_s: Estimate,
    /// Width of the structure that shall stay sharp, km.
    pub structure_km: f64,
    /// The same on the sensor, pixels near the axis.
    pub structure_px: f64,
    /// What one pixel sees on the axis, arcseconds.
    pub pixel_arcsec: f64,
    /// Distance to the aurora in the middle of the frame, km.
    pub range_km: f64,
    /// Time in which the structure moves by its own width, s.
    pub motion_s: Estimate,
}

/// What a setting is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SettingGoal {
    /// The best of all trades.
    Balanced,
    /// Shorter: stars and rays sharper, more noise.
    Sharper,
    /// Longer: less noise, stars and rays smeared.
    Cleaner,
    /// Less ISO at the same time: room for a brightening.
    Headroom,
    /// Lens closed: corners sharper.
    SharpCorners,
    /// More ISO at the same time: a brighter picture on the screen, no more light.
    Brighter,
}

/// What gives first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum LimitedBy {
    /// Stars trail.
    Stars,
    /// The aurora moves.
    Motion,
    /// Too little light: noise.
    Light,
    /// The next brightening clips.
    Clipping,
}

/// One set of settings and what it gives.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ExposeSetting {
    /// What it is for.
    pub goal: SettingGoal,
    /// Aperture.
    pub f_number: f64,
    /// Shutter time, s.
    pub exposure_s: f64,
    /// ISO.
    pub iso: f64,
    /// As a photographer reads it: "8 s, f/1.8, ISO 2000".
    pub dial: String,
    /// Why one would take it, in a sentence.
    pub why: String,
    /// What gives first.
    pub limited_by: LimitedBy,
    /// The same in words with its number.
    pub limit_text: String,
    /// Electrons of aurora in a red, a green and a blue pixel.
    pub aurora_e: [Estimate; 3],
    /// Electrons of sky in a red, a green and a blue pixel.
    pub sky_e: [Estimate; 3],
    /// Noise of one green pixel, electrons rms: light, dark current, read noise, steps of the converter.
    pub noise_e: f64,
    /// The part of it that comes with reading a pixel, electrons rms.
    pub read_noise_e: f64,
    /// Electrons at which a pixel clips at this ISO.
    pub saturation_e: f64,
    /// Signal of the aurora over noise in one green pixel.
    pub snr_pixel: Estimate,
    /// The same for a pixel of the picture shown 2000 pixels wide.
    pub snr_screen: Estimate,
    /// Where aurora and sky together stand from mid-grey by the standard's metering, stops; negative is darker.
    pub mid_grey_stops: Estimate,
    /// Where the sky alone stands from mid-grey, stops.
    pub sky_mid_grey_stops: Estimate,
    /// How far the aurora is below clipping in the green pixels, stops.
    pub below_clipping_stops: Estimate,
    /// What is left before green clips when the aurora brightens three to five times, stops; negative clips.
    pub spare_stops: Estimate,
    /// Longest star trail on the axis, pixels.
    pub trail_px: f64,
    /// How far the aurora moves during the exposure, pixels near the axis.
    pub blur_px: Estimate,
    /// The same in degrees.
    pub blur_deg: Estimate,
    /// The time-lapse with this setting, where one was asked for.
    pub time_lapse: Option<TimeLapse>,
}

/// What a time-lapse of one setting takes and gives.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TimeLapse {
    /// Whole seconds from frame to frame.
    pub interval_s: f64,
    /// Frames.
    pub frames: f64,
    /// Length of the clip, s.
    pub clip_s: f64,
    /// How many times faster than life.
    pub speed_up: f64,
    /// Space the frames take, GB.
    pub card_gb: Estimate,
    /// Hours until the card is full, where its size is known.
    pub card_lasts_hours: Option<Estimate>,
    /// Share of its rated charge that a battery gives at this temperature.
    pub cold_factor: Estimate,
    /// Frames one battery gives in this cold, where its rating is known.
    pub battery_frames: Option<Estimate>,
    /// Batteries it takes, where the rating is known.
    pub batteries: Option<Estimate>,
    /// All of it in one line.
    pub text: String,
}
