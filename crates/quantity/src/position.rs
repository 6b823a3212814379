use serde::{Deserialize, Serialize};

use crate::error::{QuantityError, checked};

/// Lowest height accepted, m: a little below the shore of the Dead Sea.
const LOWEST_M: f64 = -500.0;
/// Greatest height accepted, m: above any mountain and any passenger aircraft.
const HIGHEST_M: f64 = 20_000.0;
/// Mean Earth radius, km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0;

/// A place on the Earth: WGS-84 geodetic latitude (north +), longitude (east +, -180..180), height in metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "RawPosition", into = "RawPosition")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct GeoPosition {
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
}

impl GeoPosition {
    /// A place. Longitudes of 180..360 are accepted and brought to -180..180.
    ///
    /// # Errors
    ///
    /// Latitude outside -90..90, longitude outside -180..360, height outside -500..20 000 m, or not finite.
    pub fn new(latitude_deg: f64, longitude_deg: f64, height_m: f64) -> Result<Self, QuantityError> {
        let latitude_deg = checked("latitude in degrees", latitude_deg, -90.0, 90.0)?;
        let longitude_deg = checked("longitude in degrees", longitude_deg, -180.0, 360.0)?;
        let height_m = checked("height in metres", height_m, LOWEST_M, HIGHEST_M)?;
        let longitude_deg = if longitude_deg > 180.0 { longitude_deg - 360.0 } else { longitude_deg };
        Ok(Self { latitude_deg, longitude_deg, height_m })
    }

    /// WGS-84 geodetic latitude, degrees, north positive.
    pub fn latitude_deg(self) -> f64 {
        self.latitude_deg
    }

    /// Longitude, degrees, east positive, -180..180.
    pub fn longitude_deg(self) -> f64 {
        self.longitude_deg
    }

    /// Height above the ellipsoid, m.
    pub fn height_m(self) -> f64 {
        self.height_m
    }

    /// Distance along the ground on a sphere, km: within 0.6 % of the way on the ellipsoid.
    pub fn ground_km(self, other: Self) -> f64 {
        let (a, b) = (self.latitude_deg.to_radians(), other.latitude_deg.to_radians());
        let half_longitude = (other.longitude_deg - self.longitude_deg).to_radians() / 2.0;
        let haversine = ((b - a) / 2.0).sin().powi(2) + a.cos() * b.cos() * half_longitude.sin().powi(2);
        2.0 * EARTH_RADIUS_KM * haversine.sqrt().min(1.0).asin()
    }
}

#[derive(Serialize, Deserialize)]
struct RawPosition {
    latitude_deg: f64,
    longitude_deg: f64,
    #[serde(default)]
    height_m: f64,
}

impl TryFrom<RawPosition> for GeoPosition {
    type Error = QuantityError;
    fn try_from(raw: RawPosition) -> Result<Self, QuantityError> {
        Self::new(raw.latitude_deg, raw.longitude_deg, raw.height_m)
    }
}

impl From<GeoPosition> for RawPosition {
    fn from(p: GeoPosition) -> Self {
        Self { latitude_deg: p.latitude_deg, longitude_deg: p.longitude_deg, height_m: p.height_m }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_latitude_of_95_is_refused_with_its_bound() {
        let error = GeoPosition::new(95.0, 10.0, 0.0).unwrap_err();
        assert_eq!(error.to_string(), "latitude in degrees 95 is outside -90 to 90");
        assert_eq!(error.hint(), "give latitude in degrees between -90 and 90");
    }

    #[test]
    fn an_eastern_longitude_over_180_becomes_western() {
        let p = GeoPosition::new(61.0, 212.0, 0.0).unwrap();
        assert!((p.longitude_deg() + 148.0).abs() < 1e-12);
    }

    #[test]
    fn the_way_between_two_places_is_that_of_the_sphere() {
        // a degree of a great circle of 6371 km: 111.195 km; over a pole as over the date line
        let at = |latitude, longitude| GeoPosition::new(latitude, longitude, 0.0).unwrap();
        for (from, to) in
            [(at(0.0, 179.5), at(0.0, -179.5)), (at(89.5, 0.0), at(89.5, 180.0)), (at(45.0, 7.0), at(46.0, 7.0))]
        {
            assert!((from.ground_km(to) - 111.195).abs() < 0.001, "{}", from.ground_km(to));
        }
    }

    #[test]
    fn json_goes_through_the_same_check() {
        assert!(serde_json::from_str::<GeoPosition>(r#"{"latitude_deg":95,"longitude_deg":0}"#).is_err());
    }
}
