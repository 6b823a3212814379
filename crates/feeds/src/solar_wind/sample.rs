use quantity::Timestamp;
use serde::Serialize;

use crate::row::Fault;

/// Strongest field believed, nT. The storm of May 2024 reached about 71 nT at L1.
const STRONGEST_FIELD_NT: f64 = 200.0;
/// By how much a component may exceed the field's strength in tables of two decimals: both are rounded.
pub(super) const ROUNDING_NT: f64 = 0.05;
/// Slowest and fastest wind believed, km/s; from 260 in deep quiet to 2000 in the greatest storms (from memory).
const SPEED_KM_S: std::ops::RangeInclusive<f64> = 150.0..=3000.0;
/// Densest wind believed, protons per cm³.
const DENSEST_CM3: f64 = 500.0;

/// Something measured at an instant by a spacecraft.
pub trait Sample {
    /// When it was measured.
    fn at(&self) -> Timestamp;
    /// By whom, where the table says so.
    fn spacecraft(&self) -> Option<&str>;
}

/// The magnetic field of the solar wind, a mean over a minute.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSample {
    /// When it was measured.
    pub at: Timestamp,
    /// By whom, where the table says so.
    pub spacecraft: Option<String>,
    /// Strength, nT.
    pub bt_nt: f64,
    /// Component along the GSM y axis, nT.
    pub by_nt: f64,
    /// Component along the GSM z axis, nT; negative is southward, which drives the aurora.
    pub bz_nt: f64,
}

/// Speed and density of the solar wind's protons, a mean over a minute.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlasmaSample {
    /// When it was measured.
    pub at: Timestamp,
    /// By whom, where the table says so.
    pub spacecraft: Option<String>,
    /// Speed, km/s.
    pub speed_km_s: f64,
    /// Protons per cm³; the instrument may have a speed and no density.
    pub density_cm3: Option<f64>,
}

/// How the time of arrival is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Arrival {
    /// Published with the sample.
    Published,
    /// The way from the spacecraft at the sample's own speed.
    Ballistic,
}

/// Field and plasma together, with the time at which they reach Earth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolarWindSample {
    /// When the field was measured.
    pub at: Timestamp,
    /// When it reaches Earth's magnetosphere.
    pub arrives_at: Timestamp,
    /// How that is known.
    pub arrival: Arrival,
    /// Who measured the field, where the table says so.
    pub field_spacecraft: Option<String>,
    /// Who measured the plasma, where the table says so.
    pub plasma_spacecraft: Option<String>,
    /// Strength of the field, nT.
    pub bt_nt: f64,
    /// Component along the GSM y axis, nT.
    pub by_nt: f64,
    /// Component along the GSM z axis, nT; negative is southward.
    pub bz_nt: f64,
    /// Speed, km/s.
    pub speed_km_s: f64,
    /// Protons per cm³, where measured.
    pub density_cm3: Option<f64>,
}

impl Sample for FieldSample {
    fn at(&self) -> Timestamp {
        self.at
    }
    fn spacecraft(&self) -> Option<&str> {
        self.spacecraft.as_deref()
    }
}

impl Sample for PlasmaSample {
    fn at(&self) -> Timestamp {
        self.at
    }
    fn spacecraft(&self) -> Option<&str> {
        self.spacecraft.as_deref()
    }
}

impl Sample for SolarWindSample {
    fn at(&self) -> Timestamp {
        self.at
    }
    fn spacecraft(&self) -> Option<&str> {
        self.field_spacecraft.as_deref()
    }
}

/// Refuses a field that contradicts itself or that nobody believes.
pub(super) fn check_field(bt_nt: f64, by_nt: f64, bz_nt: f64, rounding_nt: f64) -> Result<(), Fault> {
    if !(0.0..=STRONGEST_FIELD_NT).contains(&bt_nt) {
        return Err(Fault::new("bt", format!("{bt_nt} nT is outside 0 to {STRONGEST_FIELD_NT}")));
    }
    for (field, component_nt) in [("by_gsm", by_nt), ("bz_gsm", bz_nt)] {
        if component_nt.abs() > bt_nt + rounding_nt {
            return Err(Fault::new(field, format!("{component_nt} nT is more than the field's strength, {bt_nt} nT")));
        }
    }
    Ok(())
}

/// Refuses a speed nobody believes.
pub(super) fn check_speed(speed_km_s: f64) -> Result<(), Fault> {
    if SPEED_KM_S.contains(&speed_km_s) {
        return Ok(());
    }
    let (slowest, fastest) = (SPEED_KM_S.start(), SPEED_KM_S.end());
    Err(Fault::new("speed", format!("{speed_km_s} km/s is outside {slowest} to {fastest}")))
}

/// Refuses a density nobody believes.
pub(super) fn check_density(density_cm3: f64) -> Result<(), Fault> {
    if (0.0..=DENSEST_CM3).contains(&density_cm3) {
        return Ok(());
    }
    Err(Fault::new("density", format!("{density_cm3} per cm3 is outside 0 to {DENSEST_CM3}")))
}
