use quantity::{GeoPosition, Horizontal, Timestamp};
use serde::{Deserialize, Serialize};

use crate::JobError;

/// Where and when the field is asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MagneticRequest {
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// The place; its own height is not used.
    pub position: GeoPosition,
    /// Height of the point, km above the ellipsoid.
    pub height_km: f64,
}

/// The main field and the magnetic place of a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MagneticReport {
    /// The request it answers.
    pub request: MagneticRequest,
    /// Northward component, nT.
    pub north_nt: f64,
    /// Eastward component, nT.
    pub east_nt: f64,
    /// Downward component, nT.
    pub down_nt: f64,
    /// Declination, degrees, east positive.
    pub declination_deg: f64,
    /// Inclination, degrees, down positive.
    pub inclination_deg: f64,
    /// Quasi-dipole latitude, degrees.
    pub qd_lat_deg: f64,
    /// Quasi-dipole longitude, degrees.
    pub qd_lon_deg: f64,
    /// Modified apex latitude for a reference height of 110 km, degrees; none where undefined.
    pub apex_lat_deg: Option<f64>,
    /// Apex longitude, degrees.
    pub apex_lon_deg: f64,
    /// Magnetic local time, hours.
    pub mlt_h: f64,
    /// Where one looks up along the field: rays converge and a corona stands there.
    pub magnetic_zenith: Horizontal,
    /// The answer in two sentences.
    pub summary: String,
}
