//! Airglow and starlight.

use super::conditions::SkyConditions;
use crate::airmass::{above_horizon_deg, scattered_light};
use crate::photometry::nanolamberts_from_mag;

/// Zenith brightness of a sky with neither Moon nor town, V mag arcsec⁻², at low solar activity. 21.6 at solar maximum.
pub const NATURAL_ZENITH_MAG: f64 = 22.0;
/// Relative error of the natural light (one standard deviation): airglow changes by tens of per cent within a
/// night and doubles between solar minimum and maximum.
pub const NATURAL_SIGMA: f64 = 0.25;
/// Height of the airglow layer, km.
const AIRGLOW_HEIGHT_KM: f64 = 90.0;
/// Mean radius of the Earth, km.
const EARTH_RADIUS_KM: f64 = 6371.0;

/// How much brighter a thin even layer at `height_km` is at an altitude than overhead; 6.0 on the horizon for 90 km.
///
/// `1 / sqrt(1 - (R cos e / (R + h))²)` (van Rhijn 1921), spherical Earth. Below the horizon: as on it. Heights under
/// 1 km or undefined count as 1 km.
pub fn van_rhijn(altitude_deg: f64, height_km: f64) -> f64 {
    let sine =
        EARTH_RADIUS_KM / (EARTH_RADIUS_KM + height_km.max(1.0)) * above_horizon_deg(altitude_deg).to_radians().cos();
    1.0 / (1.0 - sine * sine).sqrt()
}

/// Dark sky of Krisciunas & Schaefer 1991 (equations 2 and 3): `B_zen X 10^(-0.4 k (X - 1))`, nL.
///
/// Kept as printed, for comparison; [`natural_nl`] has the layer at a finite height.
pub fn krisciunas_schaefer_dark_nl(zenith_nl: f64, altitude_deg: f64, extinction_mag: f64) -> f64 {
    let airmass = scattered_light(altitude_deg);
    zenith_nl * airmass * 10f64.powf(-0.4 * extinction_mag * (airmass - 1.0))
}

/// Airglow and starlight at an altitude, nL, from their brightness overhead.
///
/// The form of Krisciunas & Schaefer's dark sky with the path through the airglow layer replaced by van Rhijn's for 90 km.
/// Starlight does not follow van Rhijn's law; near the horizon the two forms differ by 20 %, which is inside [`NATURAL_SIGMA`].
pub fn natural_nl(zenith_nl: f64, altitude_deg: f64, extinction_mag: f64) -> f64 {
    let loss = 10f64.powf(-0.4 * extinction_mag * (scattered_light(altitude_deg) - 1.0));
    zenith_nl * van_rhijn(altitude_deg, AIRGLOW_HEIGHT_KM) * loss
}

/// Natural zenith brightness of a site, nL: a site measured to be darker than the natural sky has its measured value.
pub(super) fn zenith_nl(conditions: &SkyConditions) -> f64 {
    let natural = nanolamberts_from_mag(NATURAL_ZENITH_MAG);
    conditions.sky_quality.zenith_mag().map_or(natural, |(mag, _)| nanolamberts_from_mag(mag).min(natural))
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct NaturalGlow {
    zenith_nl: f64,
    extinction_mag: f64,
}

impl NaturalGlow {
    pub(super) fn new(conditions: &SkyConditions) -> Self {
        Self { zenith_nl: zenith_nl(conditions), extinction_mag: conditions.extinction.v_mag() }
    }

    pub(super) fn at(&self, altitude_deg: f64) -> f64 {
        natural_nl(self.zenith_nl, altitude_deg, self.extinction_mag)
    }
}
