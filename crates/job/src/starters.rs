//! Cameras and lenses by class, for a kit whose owner has no measured numbers yet.
//!
//! They are classes, not products: what makers' specification sheets of that class agree on is called published, the rest is
//! an estimate. Measured numbers of one's own camera are better in every place.

mod lenses;
mod sensors;

use serde::{Deserialize, Serialize};

use crate::{CameraBody, Kit, KitLimits, Lens};

/// How well a number of a starter is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum NumberBasis {
    /// On the specification sheets of the class.
    Published,
    /// Worked out or judged for the class; a camera of one's own may differ by a third.
    Estimate,
}

/// Where some numbers of a starter are from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StarterNumbers {
    /// The fields, as the kit names them.
    pub fields: Vec<String>,
    /// How well they are known.
    pub basis: NumberBasis,
    /// The source in words.
    pub source: String,
}

/// A camera by class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SensorStarter {
    /// Short name, for the command line.
    pub id: String,
    /// The class in words.
    pub title: String,
    /// Its numbers.
    pub camera: CameraBody,
    /// What can be set, and the size of a frame.
    pub limits: KitLimits,
    /// Where the numbers are from.
    pub numbers: Vec<StarterNumbers>,
}

/// A lens by class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LensStarter {
    /// Short name, for the command line.
    pub id: String,
    /// The class in words.
    pub title: String,
    /// Its numbers.
    pub lens: Lens,
    /// Exposure to begin with for a faint aurora, s: as much light as 5 s at f/1.8, from 2 to 20 s.
    pub exposure_s: f64,
    /// ISO to begin with.
    pub iso: f64,
    /// Short name of the camera it is built into; none for lenses that are changed.
    pub built_into: Option<String>,
    /// Where the numbers are from.
    pub numbers: Vec<StarterNumbers>,
}

impl LensStarter {
    /// A lens of which its owner gives the numbers.
    pub fn own(lens: Lens) -> Self {
        Self {
            id: String::new(),
            title: lens.name.clone(),
            exposure_s: start_exposure_s(lens.f_number),
            iso: START_ISO,
            lens,
            built_into: None,
            numbers: Vec::new(),
        }
    }
}

/// All of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Starters {
    /// Cameras, the largest sensor first.
    pub sensors: Vec<SensorStarter>,
    /// Lenses, the widest first.
    pub lenses: Vec<LensStarter>,
}

/// Exposure counted on at [`START_F_NUMBER`], s, and ISO: where a practised photographer begins with a faint arc (common
/// practice, no source).
const START_EXPOSURE_S: f64 = 5.0;
const START_F_NUMBER: f64 = 1.8;
const START_ISO: f64 = 3200.0;
/// Shortest and longest exposure to begin with, s: longer ones smear every arc.
const START_EXPOSURES_S: (f64, f64) = (2.0, 20.0);

/// Cameras and lenses to begin a kit with.
pub fn starters() -> Starters {
    Starters { sensors: sensors::all(), lenses: lenses::all() }
}

impl Starters {
    /// The camera of that short name.
    pub fn sensor(&self, id: &str) -> Option<&SensorStarter> {
        self.sensors.iter().find(|sensor| sensor.id == id)
    }

    /// The lens of that short name.
    pub fn lens(&self, id: &str) -> Option<&LensStarter> {
        self.lenses.iter().find(|lens| lens.id == id)
    }
}

/// Exposure to begin with behind a lens of that f-number, s.
fn start_exposure_s(f_number: f64) -> f64 {
    let wanted_s = START_EXPOSURE_S * (f_number / START_F_NUMBER).powi(2);
    wanted_s.round().clamp(START_EXPOSURES_S.0, START_EXPOSURES_S.1)
}

/// A kit of a starter's camera and lens, with the lens's exposure and ISO as far as the camera can be set to them.
pub fn starter_kit(name: impl Into<String>, sensor: &SensorStarter, lens: &LensStarter) -> Kit {
    Kit {
        name: name.into(),
        camera: sensor.camera.clone(),
        lens: lens.lens.clone(),
        exposure_s: lens.exposure_s.min(sensor.limits.longest_exposure_s.unwrap_or(lens.exposure_s)),
        iso: lens.iso.min(sensor.limits.highest_iso.unwrap_or(lens.iso)),
        limits: sensor.limits,
    }
}

/// Where a group of fields is from.
fn numbers(fields: &[&str], basis: NumberBasis, source: &str) -> StarterNumbers {
    StarterNumbers { fields: fields.iter().map(|&field| field.to_owned()).collect(), basis, source: source.to_owned() }
}
