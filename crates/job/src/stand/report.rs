//! What `stand` answers.

use quantity::{Estimate, Fraction, Horizontal, InputNote, LineBrightness};
use serde::{Deserialize, Serialize};

use super::dew::DewReport;
use super::focus::FocusReport;
use super::foreground::FrameObject;
use super::glow::{RimGlow, TownInFrame};
use super::grid::FrameGrid;
use super::heavens::{FrameBody, MoonInFrame};
use super::mirror::MirrorStretch;
use super::request::StandRequest;
use super::suggest::FrameSuggestion;
use super::turns::FrameTurn;
use crate::Caution;
use crate::FramePointing;
use crate::framing::FramePlace;

/// Size of the upright picture in pixels and degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameField {
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
    /// From the left to the right edge, degrees.
    pub horizontal_deg: f64,
    /// From the top to the bottom edge, degrees.
    pub vertical_deg: f64,
    /// From corner to corner, degrees.
    pub diagonal_deg: f64,
    /// Size of a pixel in the middle, arcseconds.
    pub pixel_arcsec: f64,
}

/// The predicted aurora and the picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameLight {
    /// Kp it was predicted with.
    pub kp: f64,
    /// The brightest direction above the skyline, and where it stands in the picture.
    pub brightest: FramePlace,
    /// All three lines there, mean oval, kR.
    pub brightest_mean_kr: LineBrightness,
    /// Green light of the brightest arc to be expected there, kR.
    pub brightest_arc_kr: Estimate,
    /// Share of the visible sky's predicted green light that is in the picture (mean oval).
    pub share_inside: Fraction,
    /// Crest of the arc from left to right, where it is at least half as bright as its peak; empty if the light is overhead.
    pub crest: Vec<Horizontal>,
    /// Share of the crest in the picture.
    pub crest_inside: Fraction,
    /// Chance that no cloud stands before the brightest direction; none where cloud is not known.
    pub clear_sightline: Option<Fraction>,
}

/// Where rays converge, and the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameZenith {
    /// Where.
    pub place: FramePlace,
    /// Mean green light there, kR; none where no light is predicted.
    pub mean_kr: Option<f64>,
    /// Whether the oval lies overhead, so that rays may form a corona there.
    pub corona_likely: bool,
}

/// What will be where in the frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StandReport {
    /// The request it answers.
    pub request: StandRequest,
    /// The pointing it is about: the one asked for, else the suggestion.
    pub pointing: FramePointing,
    /// The answer in one or two sentences.
    pub verdict: String,
    /// What stands behind it, one sentence each.
    pub reasons: Vec<String>,
    /// The picture in words, for those who cannot see it.
    pub text: String,
    /// The pointing the program would start with.
    pub suggestion: FrameSuggestion,
    /// What is gained and lost by turning.
    pub turns: Vec<FrameTurn>,
    /// Size of the picture.
    pub field: FrameField,
    /// Its border on the sky, closed, clockwise from the top left corner.
    pub outline: Vec<Horizontal>,
    /// The aurora; none where no Kp is given for the instant.
    pub light: Option<FrameLight>,
    /// The aurora over the picture; none where no Kp is given.
    pub grid: Option<FrameGrid>,
    /// Where rays converge.
    pub magnetic_zenith: FrameZenith,
    /// The moon.
    pub moon: MoonInFrame,
    /// The sun.
    pub sun: FramePlace,
    /// Planets in the picture.
    pub planets: Vec<FrameBody>,
    /// Stars to magnitude 3 in the picture, brightest first.
    pub stars: Vec<FrameBody>,
    /// Town glow along the rim of the sky, north through east.
    pub town_glow: Vec<RimGlow>,
    /// The nearest towns whose direction is in the picture.
    pub towns: Vec<TownInFrame>,
    /// The skyline in the picture, pixels: one polyline for each unbroken stretch.
    pub skyline_px: Vec<Vec<[f64; 2]>>,
    /// What stands in front.
    pub foreground: Vec<FrameObject>,
    /// Depth of field.
    pub focus: FocusReport,
    /// Water in front.
    pub mirror: Vec<MirrorStretch>,
    /// Dew or frost on the lens.
    pub dew: DewReport,
    /// What it rests on.
    pub inputs: Vec<InputNote>,
    /// Where the models stop being good.
    pub limits: Vec<String>,
    /// What to mind at a dark place.
    pub cautions: Vec<Caution>,
}
