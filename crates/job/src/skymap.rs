use quantity::{Estimate, Horizontal, InputNote, LineBrightness, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{JobError, Site};

/// Whole sky of a site at one instant for one activity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SkymapRequest {
    /// The site.
    pub site: Site,
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// Kp, 0 to 9.
    pub kp: f64,
    /// Solar radio flux at 10.7 cm, solar flux units; it moves the red line most.
    pub f107: f64,
    /// Spacing of the grid in altitude and azimuth, degrees, 0.5 to 15.
    pub step_deg: f64,
}

/// Brightness over the sky.
///
/// The grid is `altitudes_deg` x `azimuths_deg`, row by row: value `i * azimuths_deg.len() + j` is at altitude `i`,
/// azimuth `j`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SkymapReport {
    /// The request it answers.
    pub request: SkymapRequest,
    /// Rows: altitudes, degrees, from the horizon up.
    pub altitudes_deg: Vec<f64>,
    /// Columns: azimuths, degrees, north through east.
    pub azimuths_deg: Vec<f64>,
    /// 557.7 nm as it reaches the observer (after extinction), kR, mean oval.
    pub green_5577_kr: Vec<f64>,
    /// 630.0 nm, kR.
    pub red_6300_kr: Vec<f64>,
    /// 427.8 nm, kR.
    pub blue_4278_kr: Vec<f64>,
    /// Brightness of the sky without aurora, mag/arcsec², on the same grid.
    pub background_mag_arcsec2: Vec<f64>,
    /// The brightest direction.
    pub brightest: Horizontal,
    /// All three lines there, mean oval, kR.
    pub brightest_mean_kr: LineBrightness,
    /// Green light of the brightest arc to be expected there, kR: mean times the spread of bright forms.
    pub brightest_arc_kr: Estimate,
    /// Where rays converge.
    pub magnetic_zenith: Horizontal,
    /// The sun; below the horizon at night.
    pub sun: Horizontal,
    /// The moon, where it stands above the horizon.
    pub moon: Option<Horizontal>,
    /// Share of the moon that is lit.
    pub moon_lit_fraction: f64,
    /// Magnetic latitude the models are fed with, degrees.
    pub model_lat_deg: f64,
    /// Magnetic local time of the site, hours.
    pub mlt_h: f64,
    /// Equatorward border of diffuse light at this magnetic local time, degrees of magnetic latitude.
    pub equatorward_border_deg: Estimate,
    /// The picture in words, for those who cannot see it.
    pub text: String,
    /// What it rests on.
    pub inputs: Vec<InputNote>,
    /// Where the models stop being good.
    pub limits: Vec<String>,
}
