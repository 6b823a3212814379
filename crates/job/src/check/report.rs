use quantity::{Estimate, Timestamp};
use serde::{Deserialize, Serialize};

use super::aurora::CheckedAurora;
use super::parts::FocusParts;
use crate::{LensProfile, LensProjection};

/// What one frame says: what is wrong first, then the numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckReport {
    /// What the file is called.
    pub file: String,
    /// The most urgent advice, in one sentence.
    pub summary: String,
    /// What to change, the most urgent first.
    pub advice: Vec<CheckAdvice>,
    /// What to dial in for the next frame, where the settings of this one are known.
    pub next: Option<NextSettings>,
    /// What the picture shows.
    pub scene: CheckedScene,
    /// Why that is said.
    pub scene_why: String,
    /// Whether the moon lit the sky; `None` where place or time is not known.
    pub moonlit: Option<bool>,
    /// What the file is ("JPEG"); `None` where it cannot be read.
    pub kind: Option<String>,
    /// Width and height as stored, px.
    pub size_px: Option<[u32; 2]>,
    /// When it was taken.
    pub taken: Option<CheckedTime>,
    /// How it was taken.
    pub settings: CheckedSettings,
    /// Stars found.
    pub stars: CheckedStars,
    /// Focus; `None` where it was not judged.
    pub focus: Option<CheckedFocus>,
    /// Movement; `None` where it was not judged.
    pub motion: Option<CheckedMotion>,
    /// Lens and direction by the stars, or why not; `None` only in reports of before that was said.
    pub lens: Option<CheckedLens>,
    /// How bright the sky is in the picture; `None` where that cannot be said.
    pub sky: Option<CheckedSky>,
    /// The sky's own light between stars and aurora, V magnitudes for each square arcsecond; `None` where nothing gives a
    /// scale.
    pub sky_mag_arcsec2: Option<Estimate>,
    /// Share of the sky in the frame that cloud hides, 0..1; `None` where that cannot be told.
    pub cloud_fraction: Option<Estimate>,
    /// What cloud was told by; `None` where it cannot be told.
    #[cfg_attr(feature = "typescript", ts(type = "\"catalogue_stars\" | \"star_density\" | \"colour\" | null"))]
    pub cloud_method: Option<frame::CloudMethod>,
    /// Share of the frame that is no sky (of a fisheye's circle, where it draws one), 0..1; `None` where that cannot be told.
    pub foreground_fraction: Option<Estimate>,
    /// Sun or moon in the frame; `None` where none is found for sure.
    pub body: Option<CheckedBody>,
    /// The aurora; `None` for a file that cannot be read.
    pub aurora: Option<CheckedAurora>,
    /// Clipping, channel by channel.
    pub clipping: Vec<ChannelClipping>,
    /// What this report does not hold, in words.
    pub not_measured: Vec<String>,
    /// What the file says and is not believed.
    pub doubts: Vec<String>,
    /// What was assumed, left out or odd.
    pub notes: Vec<String>,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum CheckedScene {
    /// Stars over a dark sky.
    NightSky,
    /// The sun not far below the horizon.
    Twilight,
    /// A night that the moon lights.
    Moonlit,
    /// Daylight.
    Day,
    /// Nothing but dark: a cap on the lens, or far too little exposure.
    Dark,
    /// Drawn, rendered or of a screen.
    NotAPhotograph,
    /// A file that cannot be read.
    Unreadable,
    /// None of these for sure.
    CannotTell,
}

/// How soon an advice matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Urgency {
    /// Spoils every frame until it is changed.
    Now,
    /// Costs quality.
    Soon,
    /// Good to know.
    Note,
    /// All is well.
    Good,
}

/// What an advice is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AdviceSubject {
    /// The file itself.
    File,
    /// What is in the picture.
    Scene,
    /// The focus ring.
    Focus,
    /// The tripod, or the time.
    Motion,
    /// Light beyond the full scale.
    Clipping,
    /// ISO and time.
    Exposure,
    /// Dew, frost, thin cloud.
    Glass,
}

/// One thing to change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckAdvice {
    /// How soon.
    pub urgency: Urgency,
    /// About what.
    pub about: AdviceSubject,
    /// In plain words, a sentence or two.
    pub text: String,
}

/// When a frame was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedTime {
    /// What the camera's clock showed; `None` where only the instant was given.
    pub local: Option<String>,
    /// How far that clock is ahead of UTC, s, where it is known.
    pub utc_offset_s: Option<i32>,
    /// The instant, where it is known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub utc: Option<Timestamp>,
    /// Who says so.
    pub source: TimeSource,
}

/// Who says when a frame was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum TimeSource {
    /// The person asking.
    Given,
    /// The camera's clock with its own zone.
    Camera,
    /// The camera's clock, its zone guessed from satellite time.
    CameraAndSatellites,
    /// The camera's clock without a zone: no instant.
    CameraWithoutZone,
    /// The name that a research camera gave the file.
    FileName,
    /// The camera's clock or the file's name, which cannot be: that time is still to come.
    StillToCome,
}

/// How a frame was taken, as its file says.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedSettings {
    /// Shutter time, s.
    pub exposure_s: Option<f64>,
    /// ISO.
    pub iso: Option<f64>,
    /// F-number; that of the kit where the lens tells the camera nothing.
    pub f_number: Option<f64>,
    /// Focal length, mm; that of the kit likewise.
    pub focal_mm: Option<f64>,
    /// Maker and body.
    pub camera: Option<String>,
    /// The body's serial number, as its file says: it tells two bodies of one model apart.
    pub camera_serial: Option<String>,
    /// Lens.
    pub lens: Option<String>,
    /// What one pixel sees in the middle, arcseconds.
    pub pixel_arcsec: Option<Estimate>,
}

/// Stars of a frame.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedStars {
    /// How many were found. Lamps as sharp as stars count among them.
    pub count: u32,
    /// Stars of the catalogue in the picture; `None` where the lens is not known. From 20 of those found on, the widths here,
    /// the focus and the movement are theirs alone.
    pub matched: Option<u32>,
    /// Whether they are alike enough to be stars.
    pub alike: bool,
    /// Median diameter of the circle with half of a star's light, px.
    pub hfd_px: Option<f64>,
    /// Median full width at half maximum, px.
    pub fwhm_px: Option<f64>,
    /// `1 - b/a` of the typical star.
    pub elongation: Option<f64>,
    /// Its long axis, from +x towards +y (down), degrees.
    pub angle_deg: Option<f64>,
}

/// Focus of a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedFocus {
    /// The verdict.
    #[cfg_attr(
        feature = "typescript",
        ts(type = "\"sharp\" | \"soft\" | \"defocused\" | \"donut\" | \"cannot_tell\"")
    )]
    pub state: frame::FocusState,
    /// Half-flux diameter of the typical star across its long axis, px.
    pub hfd_px: Option<Estimate>,
    /// That over the sharpest known of the lens.
    pub over_sharpest: Option<Estimate>,
    /// Whether stars are even discs or rings, without a core.
    // reports that were saved before do not name it
    #[serde(default)]
    pub disc: bool,
    /// The verdict and its reasons.
    pub words: Vec<String>,
    /// Where stars are narrowest and widest; `None` where fewer than two parts of the frame say so.
    #[serde(default)]
    pub parts: Option<FocusParts>,
    /// Width over the frame, px, row by row from the top left; `null` where too few stars say so.
    pub map: WidthMap,
}

/// Width of the stars over a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WidthMap {
    /// Cells across.
    pub columns: u32,
    /// Cells down.
    pub rows: u32,
    /// Median half-flux diameter of each cell, px.
    pub hfd_px: Vec<Option<f64>>,
}

/// What moved during a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedMotion {
    /// The verdict.
    #[cfg_attr(
        feature = "typescript",
        ts(
            type = "\"held\" | \"trailing\" | \"shaken\" | \"turned\" | \"lens\" | \"sky_or_camera\" | \"cannot_tell\""
        )
    )]
    pub kind: frame::MotionKind,
    /// Length of the trails in the middle, px; where stars appear twice, the step from one image to the other.
    pub length_px: Option<Estimate>,
    /// Whether stars appear twice: the camera was knocked, and stood still before and after.
    #[serde(default)]
    pub twice: bool,
    /// Their direction, from +x towards +y (down), degrees.
    pub angle_deg: Option<f64>,
    /// Longest trail that the turning sky makes in this time, px.
    pub sky_px: Option<f64>,
    /// The verdict and its reasons.
    pub words: Vec<String>,
}

/// Lens and direction of a frame by its stars.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedLens {
    /// Whether the stars say so: an answer that chance might have made is none.
    pub solved: bool,
    /// Whether they were asked at all: not where a picture shows no night.
    #[serde(default = "asked_before_it_was_kept")]
    pub asked: bool,
    /// Why not, and what may help.
    pub why_not: Option<String>,
    /// How the lens maps angles.
    pub projection: Option<LensProjection>,
    /// Right ascension of the picture's middle as stored, J2000, degrees.
    pub ra_deg: Option<f64>,
    /// Its declination, degrees.
    pub dec_deg: Option<f64>,
    /// Position angle of the picture's up there, east of north, degrees.
    pub roll_deg: Option<f64>,
    /// Whether the picture shows the sky as in a mirror.
    pub mirrored: Option<bool>,
    /// Field across and down, degrees.
    pub field_deg: Option<[f64; 2]>,
    /// Root mean square distance of catalogue and picture, px.
    pub residual_px: Option<f64>,
    /// Stars matched.
    pub matched: Option<u32>,
    /// Altitude of the middle, degrees, where place and time are known and fit.
    pub alt_deg: Option<f64>,
    /// Azimuth of the middle, degrees.
    pub az_deg: Option<f64>,
    /// Whether the time and place named would put these stars below the horizon.
    pub contradicts_time: bool,
    /// The lens alone, for the kit; `None` where it was not found.
    pub profile: Option<LensProfile>,
}

/// Reports that were kept before had a lens only where the stars were asked.
fn asked_before_it_was_kept() -> bool {
    true
}

impl CheckedLens {
    /// No lens, for the stars of the picture were not asked.
    pub(super) fn not_asked(scene_why: &str) -> Self {
        Self { why_not: Some(format!("its stars were not asked: {scene_why}")), ..Self::default() }
    }
}

/// Which of the two a bright disc is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum BodyInFrame {
    /// The moon.
    Moon,
    /// The sun.
    Sun,
    /// One of them: nothing says whether it is night.
    SunOrMoon,
}

/// Sun or moon in a frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedBody {
    /// Which.
    pub body: BodyInFrame,
    /// Middle of its disc, px of the frame as stored.
    pub position_px: [f64; 2],
    /// How sure that is, 0..1: a judgement.
    pub confidence: f64,
}

/// How bright the sky is in a picture: aurora and all, where the stars are.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckedSky {
    /// Median of the green channel, share of full scale, as light.
    pub level: f64,
    /// Where that stands from mid-grey by ISO 12232, stops; negative is darker.
    pub mid_grey_stops: Estimate,
    /// Luminance that those settings turn into it, cd/m2, where they are known.
    pub luminance_cd_m2: Option<Estimate>,
    /// The same in electrons; `None` for developed pictures, whose numbers are no light, and without a kit.
    #[serde(default)]
    pub electrons: Option<SkyElectrons>,
    /// Share of the frame that was taken for sky, 0..1.
    pub area_share: f64,
}

/// The sky of a raw picture in electrons of the kit's sensor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SkyElectrons {
    /// Electrons in a green photosite at the median of the sky.
    pub in_green: Estimate,
    /// Shot noise of them over the read noise: from about 3 on the read noise no longer counts (their squares add).
    pub noise_over_read: Estimate,
}

/// A channel of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum CheckedChannel {
    /// Red.
    Red,
    /// Green.
    Green,
    /// Blue.
    Blue,
    /// The one channel of a grey picture.
    Grey,
}

impl From<frame::LightChannel> for CheckedChannel {
    fn from(channel: frame::LightChannel) -> Self {
        match channel {
            frame::LightChannel::Red => Self::Red,
            frame::LightChannel::Green => Self::Green,
            frame::LightChannel::Blue => Self::Blue,
            frame::LightChannel::Grey => Self::Grey,
        }
    }
}

/// Clipping of one channel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ChannelClipping {
    /// Which.
    pub channel: CheckedChannel,
    /// Share of its pixels that are full, 0..1.
    pub share: f64,
    /// Share of its pixels that are full in patches too large for lamps and stars, 0..1.
    pub sky_share: f64,
    /// The others: stars, lamps, the moon.
    pub lights_share: f64,
    /// Stops from the brightest thousandth of the sky to full.
    pub spare_stops: Estimate,
}

/// What to dial in for the next frame: an estimate that closes the loop from this one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct NextSettings {
    /// Shutter time, s.
    pub exposure_s: f64,
    /// ISO.
    pub iso: f64,
    /// F-number, where it is known; as it was.
    pub f_number: Option<f64>,
    /// As a photographer reads it: "8 s, f/1.8, ISO 2000".
    pub dial: String,
    /// Light and ISO together against this frame, stops; 0 keeps them.
    pub change_stops: Estimate,
    /// Why, and how sure.
    pub why: String,
}
