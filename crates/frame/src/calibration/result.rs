use optics::Channel;
use serde::{Deserialize, Serialize};

use super::black::{Black, BlackLevel};
use super::fit::{AIR, COLOUR, Solved};
use super::hints::FilterHint;
use super::nominal::Nominal;
use crate::{LensSolution, LightChannel};

/// What a calibration rests on, in falling order of trust.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationBasis {
    /// Catalogue stars in numbers that are linear in light: a measurement.
    Stars,
    /// Catalogue stars in a developed picture, whose tone curve nobody tells: an estimate.
    StarsDeveloped,
    /// Settings and a nominal or known sensor, numbers linear in light: an estimate.
    Settings,
    /// Settings and a developed picture: the roughest estimate.
    SettingsDeveloped,
}

impl CalibrationBasis {
    /// Whether numbers by it must be called estimates.
    pub fn is_estimate(self) -> bool {
        self != Self::Stars
    }
}

/// A number of the fit, and whether the stars told it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FittedTerm {
    /// Value.
    pub value: f64,
    /// Its standard deviation.
    pub sigma: f64,
    /// Whether the stars made it surer than what was assumed beforehand; `false`: it is the assumption.
    pub fitted: bool,
}

/// What stars say of one channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChannelCalibration {
    /// Which.
    pub channel: LightChannel,
    /// V of a star of B - V = 0 above the air that gives one plane unit in all, on the axis. Unit: that of
    /// [`crate::Frame::plane`], for the whole exposure.
    pub zero_point_mag: FittedTerm,
    /// By how many magnitudes the channel sees a star of B - V = 1 fainter than one of 0 of the same V.
    pub colour_term_mag: FittedTerm,
    /// Extinction, magnitudes per airmass.
    pub extinction_mag: FittedTerm,
    /// Instrumental magnitudes per magnitude of the catalogue: 1 where numbers are in proportion to light.
    pub slope: FittedTerm,
    /// Light lost in the lens at the far corner (or 90° off the axis) beside the pixel's solid angle, magnitudes.
    pub corner_falloff_mag: FittedTerm,
    /// Stars the fit rests on.
    pub stars: usize,
    /// Scatter of one star about the fit beyond its noise, magnitudes.
    pub scatter_mag: f64,
    /// Light outside the measured circle, magnitudes; it is in the zero point.
    pub aperture_mag: FittedTerm,
    /// V at which the zero point holds where the slope is not 1.
    pub reference_v_mag: f64,
    /// Middle height of the stars in use above the sky, plane units.
    pub star_level: f64,
    pub(crate) solved: Solved,
}

/// Deviation of the slope from 1 beyond which a file's numbers are not linear, and the same in the slope's own errors.
const SLOPE_OFF: f64 = 0.1;
const SLOPE_SIGMAS: f64 = 3.0;

impl ChannelCalibration {
    /// Whether the stars' light grows as the catalogue's, within what the slope's error allows.
    pub fn keeps_proportion(&self) -> bool {
        (self.slope.value - 1.0).abs() <= SLOPE_OFF.max(SLOPE_SIGMAS * self.slope.sigma)
    }

    pub(crate) fn colour(&self) -> f64 {
        self.solved.values[COLOUR]
    }

    pub(crate) fn air(&self) -> f64 {
        self.solved.values[AIR]
    }
}

/// What a frame's numbers are worth as light of the sky.
///
/// Made by [`crate::calibrate`] or [`crate::calibrate_by_settings`]. Method and limits: `docs/calibration.md`.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// What it rests on.
    pub basis: CalibrationBasis,
    /// Red, green, blue, or the one grey, as far as stars told them; empty by settings.
    pub channels: Vec<ChannelCalibration>,
    /// How the level of no light is known.
    pub black: BlackLevel,
    /// The filter of a grey camera, as far as it is known.
    pub filter: Option<FilterHint>,
    /// Whether the altitudes of the stars were known; if not, an airmass of 1.4 ± 0.4 is assumed everywhere.
    pub knows_altitudes: bool,
    /// Catalogue stars bright enough to show that were looked for.
    pub stars_expected: usize,
    /// Those of them that do not show: behind cloud, trees, the edge of the lens's image.
    pub stars_missing: usize,
    /// What was fitted, assumed or left out, each in one plain sentence.
    pub notes: Vec<String>,
    pub(crate) levels: Black,
    pub(crate) size_px: [usize; 2],
    pub(crate) solution: Option<LensSolution>,
    pub(crate) nominal: Option<Nominal>,
}

impl Calibration {
    /// One channel's numbers; green stands for the one of a grey camera.
    pub fn channel(&self, wanted: LightChannel) -> Option<&ChannelCalibration> {
        let is_it = |found: LightChannel| found == wanted || is_main(found) && is_main(wanted);
        self.channels.iter().find(|channel| is_it(channel.channel))
    }

    /// Level of no light in a channel, plane units, with its error; `None` where nobody tells it.
    pub fn black_level(&self, channel: LightChannel) -> Option<[f64; 2]> {
        let index = index(channel);
        (self.black != BlackLevel::Unknown).then(|| [self.levels.level[index], self.levels.sigma[index]])
    }
}

fn is_main(channel: LightChannel) -> bool {
    matches!(channel, LightChannel::Green | LightChannel::Grey)
}

/// The channel of optics whose place in arrays and planes a channel has.
pub(crate) fn optics_channel(channel: LightChannel) -> Channel {
    match channel {
        LightChannel::Red => Channel::Red,
        LightChannel::Green | LightChannel::Grey => Channel::Green,
        LightChannel::Blue => Channel::Blue,
    }
}

pub(crate) fn index(channel: LightChannel) -> usize {
    optics_channel(channel).index()
}
