use std::fmt;

use serde::{Deserialize, Serialize};

use super::words::shown;

/// What a doubt is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Subject {
    /// Date and time.
    Time,
    /// Distance of the clock from UTC.
    TimeOffset,
    /// Time of the satellite receiver.
    GpsTime,
    /// Shutter time.
    Exposure,
    /// ISO setting.
    Iso,
    /// F-number.
    FNumber,
    /// Focal length.
    FocalLength,
    /// Focal length on 36 mm by 24 mm.
    EquivalentFocalLength,
    /// Pixels per millimetre of the sensor.
    FocalPlane,
    /// Name of the lens.
    Lens,
    /// Latitude, longitude and height.
    Position,
    /// How the picture is meant to be shown.
    Orientation,
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Time => "time",
            Self::TimeOffset => "time zone",
            Self::GpsTime => "satellite time",
            Self::Exposure => "exposure",
            Self::Iso => "ISO",
            Self::FNumber => "f-number",
            Self::FocalLength => "focal length",
            Self::EquivalentFocalLength => "35 mm equivalent",
            Self::FocalPlane => "sensor resolution",
            Self::Lens => "lens",
            Self::Position => "position",
            Self::Orientation => "orientation",
        })
    }
}

/// Something a file says that is not believed, or only with care.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubt {
    /// What it is about.
    pub subject: Subject,
    /// What the file says, cut to one line.
    pub found: String,
    /// Why it is not believed, in plain words.
    pub reason: String,
}

impl Doubt {
    pub(crate) fn new(subject: Subject, found: &str, reason: &str) -> Self {
        Self { subject, found: shown(found), reason: reason.to_owned() }
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}: {}", self.subject, self.found, self.reason)
    }
}
