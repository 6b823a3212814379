//! Is it worth going, where, and between which times?

use jiff::civil::Date;
use quantity::{Estimate, Fraction, Horizontal, InputNote, LineBrightness, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{Activity, Caution, CloudCover, DarknessClass, JobError, Kit, NightTimes, Site};

/// What the outlook is asked: one site, one night.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookRequest {
    /// The site.
    pub site: Site,
    /// Date of the noon that opens the night.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub night: Date,
    /// When the question is asked; ages of inputs count from here.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub asked_at: Timestamp,
    /// The kit.
    pub kit: Kit,
    /// What drives the aurora.
    pub activity: Activity,
    /// Cloud.
    pub cloud: CloudCover,
    /// Solar radio flux at 10.7 cm, solar flux units.
    #[serde(default = "default_f107")]
    pub f107: f64,
    /// Minutes the eyes have been without white light.
    #[serde(default = "default_adaptation_minutes")]
    pub adaptation_minutes: f64,
}

/// A middling sun.
fn default_f107() -> f64 {
    120.0
}

/// Long enough for nearly full dark adaptation.
fn default_adaptation_minutes() -> f64 {
    30.0
}

/// The three chances the outlook gives, cloud included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Chances {
    /// That a dark-adapted eye sees it.
    pub eye_sees: Fraction,
    /// That the eye sees colour in it.
    pub eye_sees_colour: Fraction,
    /// That the kit records it with a signal of more than five times the noise.
    pub camera_records: Fraction,
}

/// The direction in which the aurora stands out most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BrightestPatch {
    /// Where to look.
    pub direction: Horizontal,
    /// The mean oval there, after extinction, kR.
    pub mean_kr: LineBrightness,
    /// Green light of the brightest arc to be expected, kR.
    pub brightest_arc_kr: Estimate,
    /// Where `brightest_arc_kr` falls on the International Brightness scale, and what that looks like
    /// ("IBC I-II, grey glow").
    pub looks_like: String,
    /// Sky without aurora in that direction, mag/arcsec².
    pub background_mag_arcsec2: Estimate,
}

/// One step of ten minutes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookStep {
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// How dark it is.
    pub darkness: DarknessClass,
    /// Airless altitude of the sun, degrees.
    pub sun_altitude_deg: f64,
    /// Airless altitude of the moon, degrees.
    pub moon_altitude_deg: f64,
    /// Share of the moon that is lit.
    pub moon_lit_fraction: f64,
    /// Kp, where the activity covers this step.
    pub kp: Option<Estimate>,
    /// Magnetic local time at the site, hours.
    pub mlt_h: f64,
    /// Zenith sky without aurora, mag/arcsec².
    pub background_zenith_mag_arcsec2: Estimate,
    /// The best direction; none in daylight or without activity.
    pub brightest: Option<BrightestPatch>,
    /// Chance that no cloud stands in that line of sight; none where nobody gave cloud.
    pub clear_sightline: Option<Fraction>,
    /// The chances, cloud included where it is known; none without activity.
    pub chances: Option<Chances>,
}

/// A stretch of the night worth standing outside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WatchWindow {
    /// Start.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub from: Timestamp,
    /// End.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub to: Timestamp,
    /// Best moment.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub best_at: Timestamp,
    /// Chances at the best moment.
    pub chances: Chances,
    /// Why this stretch, in a few words.
    pub reason: String,
}

/// The advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Recommendation {
    /// Worth going.
    Go,
    /// Worth going for a camera, or if it is near.
    Perhaps,
    /// Not tonight.
    Stay,
    /// Something needed is missing.
    CannotTell,
}

/// A plain-words result with its reasons.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Verdict {
    /// The advice.
    pub recommendation: Recommendation,
    /// Two or three sentences, local time.
    pub text: String,
    /// Why, most weighty first.
    pub reasons: Vec<String>,
}

/// What the outlook answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookReport {
    /// The request it answers.
    pub request: OutlookRequest,
    /// The advice with its reasons.
    pub verdict: Verdict,
    /// The chances of the night: those of its best moment; none without activity or darkness.
    pub chances: Option<Chances>,
    /// Stretches worth standing outside, best first; empty where there is none.
    pub windows: Vec<WatchWindow>,
    /// Sunset, twilights, moon.
    pub night: NightTimes,
    /// Every ten minutes from noon to noon.
    pub steps: Vec<OutlookStep>,
    /// Where rays converge.
    pub magnetic_zenith: Horizontal,
    /// Magnetic latitude the models are fed with, degrees.
    pub model_lat_deg: f64,
    /// Lowest Kp, in steps of a third, at which an eye would have an even chance here in the darkest hours; none if
    /// no Kp up to 9 gives it.
    pub kp_needed_eye: Option<f64>,
    /// What would change the verdict, with thresholds.
    pub would_change: Vec<String>,
    /// Every input, its source and age.
    pub inputs: Vec<InputNote>,
    /// Where the models stop being good tonight.
    pub limits: Vec<String>,
    /// The usual cautions.
    pub cautions: Vec<Caution>,
    /// What the outlook's record says of its own skill.
    pub past_skill: String,
    /// The night strip in words.
    pub strip_text: String,
}
