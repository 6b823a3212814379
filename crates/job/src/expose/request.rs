use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::motion::AuroraMotion;
use crate::{FramePointing, JobError, Kit, Site};

/// Which settings, for how bright an aurora, with which kit, under which sky.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ExposeRequest {
    /// How bright the aurora is or is expected to be.
    pub brightness: AskedBrightness,
    /// The other two lines, as shares of the green one.
    #[serde(default)]
    pub colours: ColourShares,
    /// The kit.
    pub kit: Kit,
    /// The sky behind the aurora.
    #[serde(default)]
    pub sky: AskedSky,
    /// Where the camera points; none counts as 30 degrees up.
    #[serde(default)]
    pub pointing: Option<FramePointing>,
    /// Declination nearest to the equator in the frame, degrees; wins over what site and pointing give.
    #[serde(default)]
    pub least_declination_deg: Option<f64>,
    /// How the aurora moves; none takes what is usual at that brightness.
    #[serde(default)]
    pub motion: Option<AuroraMotion>,
    /// Single pictures or a time-lapse.
    #[serde(default)]
    pub purpose: ShootingPurpose,
    /// Air temperature, degrees Celsius; the battery feels it.
    #[serde(default)]
    pub temperature_c: Option<f64>,
    /// Minutes the eyes have been without white light; it matters to what somebody sees.
    #[serde(default = "default_adaptation_minutes")]
    pub adaptation_minutes: f64,
}

/// Long enough for nearly full dark adaptation.
fn default_adaptation_minutes() -> f64 {
    30.0
}

/// How bright, said in one of three ways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AskedBrightness {
    /// Green light, 557.7 nm.
    Given {
        /// Best value, kR.
        green_5577_kr: f64,
        /// Lower end of the 68 % range, kR; none takes half a stop.
        #[serde(default)]
        low_kr: Option<f64>,
        /// Upper end of the 68 % range, kR; none takes half a stop.
        #[serde(default)]
        high_kr: Option<f64>,
    },
    /// Class on the International Brightness scale.
    Ibc {
        /// The class.
        class: IbcClass,
    },
    /// What a person sees.
    Seen {
        /// What it looks like.
        what: SeenAurora,
    },
}

/// Class on the International Brightness scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum IbcClass {
    /// I: 1 kR.
    One,
    /// II: 10 kR.
    Two,
    /// III: 100 kR.
    Three,
    /// IV: 1000 kR.
    Four,
}

/// What a dark-adapted person sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SeenAurora {
    /// Nothing; only a camera or a forecast says that there is some.
    Nothing,
    /// A glow without colour.
    Grey,
    /// Green if one knows it should be.
    HintOfColour,
    /// Colour that nobody disputes.
    PlainColour,
    /// People cast shadows on snow.
    CastsShadows,
}

/// Brightness of the other two lines over that of 557.7 nm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ColourShares {
    /// 630.0 nm over 557.7 nm.
    pub red_6300: f64,
    /// 427.8 nm over 557.7 nm.
    pub blue_4278: f64,
}

impl Default for ColourShares {
    /// An ordinary green arc: electrons of about 3 keV by the GLOW model (Solomon 2017) give 0.07 and 0.21.
    fn default() -> Self {
        Self { red_6300: 0.07, blue_4278: 0.21 }
    }
}

/// The sky behind the aurora, without it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AskedSky {
    /// Not known: a dark country sky is assumed.
    #[default]
    Unknown,
    /// Given in the direction of the frame.
    Given {
        /// V magnitudes per square arcsecond.
        mag_arcsec2: f64,
    },
    /// Worked out for a site and an instant: moon, twilight, towns.
    AtSite {
        /// The site.
        site: Box<Site>,
        /// The instant.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
    },
}

/// What the frames are for.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum ShootingPurpose {
    /// Single pictures.
    #[default]
    Still,
    /// Frames at a steady interval, shown as a film.
    TimeLapse {
        /// How long it shall run, hours.
        hours: f64,
        /// Frames per second of the finished clip.
        fps: f64,
        /// Pause the camera needs between frames, s.
        #[serde(default = "default_gap_s")]
        gap_s: f64,
    },
}

/// Writing a frame takes cameras 0.3 to 1 s (common practice, no source); the longer, to lose none.
fn default_gap_s() -> f64 {
    1.0
}

/// Faintest and brightest green light that settings are worked out for, kR: a tenth of what an eye can see; ten times IBC IV.
const GREEN_KR: (f64, f64) = (0.02, 10_000.0);

impl ExposeRequest {
    /// Checks everything the types cannot.
    pub(super) fn check(&self) -> Result<(), JobError> {
        self.kit.check()?;
        self.check_brightness()?;
        self.check_surroundings()?;
        if let ShootingPurpose::TimeLapse { hours, fps, gap_s } = self.purpose {
            JobError::check("purpose.hours", hours, 0.01, 72.0, "hours")?;
            JobError::check("purpose.fps", fps, 1.0, 240.0, "frames per second")?;
            JobError::check("purpose.gap_s", gap_s, 0.0, 600.0, "s")?;
        }
        JobError::check("adaptation_minutes", self.adaptation_minutes, 0.0, 24.0 * 60.0, "minutes")?;
        Ok(())
    }

    fn check_brightness(&self) -> Result<(), JobError> {
        if let AskedBrightness::Given { green_5577_kr, low_kr, high_kr } = self.brightness {
            let (least, most) = GREEN_KR;
            let value = JobError::check("brightness.green_5577_kr", green_5577_kr, least, most, "kR")?;
            if let Some(low) = low_kr {
                JobError::check("brightness.low_kr", low, 0.0, value, "kR (no more than the value itself)")?;
            }
            if let Some(high) = high_kr {
                JobError::check("brightness.high_kr", high, value, 1e6, "kR (no less than the value itself)")?;
            }
        }
        JobError::check("colours.red_6300", self.colours.red_6300, 0.0, 100.0, "times the green line")?;
        JobError::check("colours.blue_4278", self.colours.blue_4278, 0.0, 10.0, "times the green line")?;
        Ok(())
    }

    fn check_surroundings(&self) -> Result<(), JobError> {
        match &self.sky {
            AskedSky::Unknown => {}
            AskedSky::Given { mag_arcsec2 } => {
                JobError::check("sky.mag_arcsec2", *mag_arcsec2, 4.0, 23.0, "mag/arcsec2")?;
            }
            AskedSky::AtSite { site, .. } => site.check()?,
        }
        if let Some(pointing) = &self.pointing {
            JobError::check("pointing.altitude_deg", pointing.altitude_deg, -10.0, 90.0, "degrees")?;
            JobError::check("pointing.azimuth_deg", pointing.azimuth_deg, -360.0, 720.0, "degrees")?;
        }
        if let Some(declination) = self.least_declination_deg {
            JobError::check("least_declination_deg", declination, -90.0, 90.0, "degrees")?;
        }
        if let Some(temperature) = self.temperature_c {
            JobError::check("temperature_c", temperature, -80.0, 50.0, "degrees Celsius")?;
        }
        Ok(())
    }
}
