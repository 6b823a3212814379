use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use crate::LensSolution;

/// What the search for stars said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StarsSeen {
    /// Nobody looked.
    #[default]
    NotAsked,
    /// None that look like stars.
    None,
    /// Bright points that may be stars or may be lamps, leaves, noise.
    Doubtful,
    /// Stars: alike in shape as one lens makes them.
    Sure,
}

/// What is known beside the light itself. Everything may be left out (`Default`).
#[derive(Debug, Clone, Default)]
pub struct AuroraContext<'a> {
    /// Which cells are sky and not foreground, in the cells of the [`crate::LightMap`]. An empty slice, or one of another
    /// length, means that nobody has told sky from foreground.
    pub sky: &'a [bool],
    /// What the search for stars said.
    pub stars: StarsSeen,
    /// Altitude of the sun, degrees, where place and time are known.
    pub sun_altitude_deg: Option<f64>,
    /// Altitude of the moon, degrees, where place and time are known.
    pub moon_altitude_deg: Option<f64>,
    /// Whether the moon is in the picture.
    pub moon_in_frame: Option<bool>,
    /// Luminance of the sky by the exposure settings, cd/m2.
    pub luminance_cd_m2: Option<f64>,
    /// Exposure time, seconds.
    pub exposure_s: Option<f64>,
    /// Lens and direction, where the stars gave them.
    pub lens: Option<&'a LensSolution>,
    /// Where rays meet: the direction up along the magnetic field.
    pub magnetic_zenith: Option<Horizontal>,
    /// Whether the numbers were recorded in proportion to light, channel by channel (raw, FITS); developed pictures have
    /// had a colour matrix and a white balance.
    pub is_linear: bool,
    /// The camera's answer to its own white, red, green and blue with green at 1 ([`crate::Frame::neutral`]).
    pub neutral: Option<[f64; 3]>,
    /// Whether the picture was found to be drawn or rendered.
    pub is_rendered: bool,
    /// Whether separate regions and stripes around the magnetic zenith are asked for, by which forms are told: presence and brightness
    /// need neither.
    pub asks_forms: bool,
    /// Wavelength of a narrow filter before a grey camera, nm.
    pub filter_nm: Option<f64>,
}
