//! From the ecliptic of date to the horizon of one place.

use std::f64::consts::TAU;

use quantity::{GeoPosition, Horizontal};

use crate::series::{ARCSEC_RAD, Arguments, Ecliptic, nutation};
use crate::time::Clocks;

/// Equatorial radius of the Earth, km (WGS-84).
const EARTH_RADIUS_KM: f64 = 6378.137;
/// Square of the eccentricity of the WGS-84 ellipsoid.
const EARTH_ECCENTRICITY_SQUARED: f64 = 6.694_379_990_14e-3;
/// Speed of a point on the equator divided by that of light.
const EQUATOR_SPEED_OVER_LIGHT: f64 = 7.292_115e-5 * EARTH_RADIUS_KM / 299_792.458;

/// Where an observer stands, ready for many instants.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground {
    longitude_rad: f64,
    sin_latitude: f64,
    cos_latitude: f64,
    /// Distance from the axis of the Earth, km.
    axis_km: f64,
    /// Distance north of the plane of the equator, km.
    north_km: f64,
}

impl Ground {
    pub(crate) fn new(place: GeoPosition) -> Self {
        let (sin_latitude, cos_latitude) = place.latitude_deg().to_radians().sin_cos();
        let height_km = place.height_m() * 1e-3;
        let curvature_km = EARTH_RADIUS_KM / (1.0 - EARTH_ECCENTRICITY_SQUARED * sin_latitude * sin_latitude).sqrt();
        Self {
            longitude_rad: place.longitude_deg().to_radians(),
            sin_latitude,
            cos_latitude,
            axis_km: (curvature_km + height_km) * cos_latitude,
            north_km: (curvature_km * (1.0 - EARTH_ECCENTRICITY_SQUARED) + height_km) * sin_latitude,
        }
    }
}

/// How the true equator of date lies at one instant.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Turning {
    nutation_longitude_rad: f64,
    sin_obliquity: f64,
    cos_obliquity: f64,
    /// Greenwich apparent sidereal time, rad.
    sidereal_rad: f64,
}

impl Turning {
    pub(crate) fn at(clocks: &Clocks, arguments: &Arguments) -> Self {
        let [nutation_longitude_rad, nutation_obliquity_rad] = nutation(arguments);
        let t = clocks.tt_centuries();
        let (sin_obliquity, cos_obliquity) = (mean_obliquity_rad(t) + nutation_obliquity_rad).sin_cos();
        let sidereal_rad =
            earth_rotation_rad(clocks.ut1_days) + precession_in_ra_rad(t) + nutation_longitude_rad * cos_obliquity;
        Self { nutation_longitude_rad, sin_obliquity, cos_obliquity, sidereal_rad }
    }

    /// Vector from the Earth's centre in the true equator and equinox of date, km.
    pub(crate) fn equatorial_km(&self, place: &Ecliptic) -> [f64; 3] {
        let (sin_lon, cos_lon) = (place.longitude_rad + self.nutation_longitude_rad).sin_cos();
        let (sin_lat, cos_lat) = place.latitude_rad.sin_cos();
        let across = cos_lat * place.distance_km;
        let (x, y, z) = (across * cos_lon, across * sin_lon, sin_lat * place.distance_km);
        [x, y * self.cos_obliquity - z * self.sin_obliquity, y * self.sin_obliquity + z * self.cos_obliquity]
    }

    /// From equatorial vectors to the horizon of one place at this instant.
    pub(crate) fn horizon(&self, ground: Ground) -> Horizon {
        let (sin_sidereal, cos_sidereal) = (self.sidereal_rad + ground.longitude_rad).sin_cos();
        Horizon { ground, sin_sidereal, cos_sidereal }
    }
}

/// The horizon of one place at one instant.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Horizon {
    ground: Ground,
    sin_sidereal: f64,
    cos_sidereal: f64,
}

impl Horizon {
    /// East, north, up of a body seen from the place, km. Holds parallax and diurnal aberration, no refraction.
    pub(crate) fn east_north_up_km(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        let ground = &self.ground;
        let meridian = x * self.cos_sidereal + y * self.sin_sidereal - ground.axis_km;
        let east = y * self.cos_sidereal - x * self.sin_sidereal;
        let pole = z - ground.north_km;
        let up = meridian * ground.cos_latitude + pole * ground.sin_latitude;
        let north = pole * ground.cos_latitude - meridian * ground.sin_latitude;
        let distance = length([east, north, up]);
        [east + distance * EQUATOR_SPEED_OVER_LIGHT * ground.axis_km / EARTH_RADIUS_KM, north, up]
    }
}

pub(crate) fn length([x, y, z]: [f64; 3]) -> f64 {
    (x * x + y * y + z * z).sqrt()
}

/// Altitude and azimuth of a vector given east, north, up in km.
///
/// As [`Horizontal::from_east_north_up`], without its care for lengths near the ends of the number range.
pub(crate) fn horizontal([east, north, up]: [f64; 3]) -> Horizontal {
    let level = (east * east + north * north).sqrt();
    Horizontal::new(up.atan2(level).to_degrees(), east.atan2(north).to_degrees())
}

/// Mean obliquity of the ecliptic (IAU 2006), rad.
fn mean_obliquity_rad(t: f64) -> f64 {
    (84381.406 + t * (-46.836769 + t * (-0.0001831 + t * 0.00200340))) * ARCSEC_RAD
}

/// Earth rotation angle (IAU 2000), rad.
fn earth_rotation_rad(ut1_days: f64) -> f64 {
    let turns = 0.7790572732640 + 0.00273781191135448 * ut1_days + ut1_days.rem_euclid(1.0);
    turns.rem_euclid(1.0) * TAU
}

/// What sidereal time has over the rotation angle: precession in right ascension (IAU 2006), rad.
fn precession_in_ra_rad(t: f64) -> f64 {
    (0.014506 + t * (4612.156534 + t * (1.3915817 + t * -0.00000044))) * ARCSEC_RAD
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example's formula is of 1982, this one of 2006: 0.02 s of time lie between them in 1987, 0.00008 degrees.
    const FORMULAS_DEG: f64 = 1e-4;

    /// Meeus, Astronomical Algorithms, 2nd edition, examples 12.a and 12.b: mean sidereal time at Greenwich on 1987 April 10 at
    /// 0h and 19h 21m UT.
    #[test]
    fn sidereal_time_is_that_of_the_handbook() {
        for (ut1_days, hours, minutes, seconds) in
            [(2_446_895.5 - 2_451_545.0, 13.0, 10.0, 46.366_8), (2_446_896.306_25 - 2_451_545.0, 8.0, 34.0, 57.089_6)]
        {
            let mean_rad = earth_rotation_rad(ut1_days) + precession_in_ra_rad(ut1_days / 36_525.0);
            let expected_deg = 15.0 * (hours + minutes / 60.0 + seconds / 3_600.0);
            let off_deg = (mean_rad.to_degrees() - expected_deg + 180.0_f64).rem_euclid(360.0) - 180.0;
            assert!(off_deg.abs() < FORMULAS_DEG, "{off_deg}");
        }
    }
}
