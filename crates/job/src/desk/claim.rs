//! The claim that is checked, and the sky over it.

use quantity::{Basis, Estimate, GeoPosition, Horizontal, Timestamp};
use sky::{ObserverSky, SunMoon};

use super::report::DeskEvidence;
use super::vector::{Vector, cross, dot, unit};
use crate::DeskClaim;

/// Time and place that the sky is asked about: the sender's, and the file's own where the sender says nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Claim {
    pub(super) at: Option<Timestamp>,
    pub(super) position: Option<GeoPosition>,
    pub(super) within_minutes: f64,
    pub(super) within_km: f64,
    /// Whether time or place are the file's own word.
    pub(super) is_of_file: bool,
}

impl Claim {
    pub(super) fn of(sender: &DeskClaim, metadata: &frame::Metadata) -> Self {
        let offset_s = |taken: &frame::TakenAt| taken.utc_offset_s.or_else(|| metadata.utc_offset_by_gps_s());
        let by_file = metadata.taken.as_ref().and_then(|taken| taken.utc_with(offset_s(taken)?));
        let at = sender.at.or(by_file);
        let position = sender.position.or(metadata.position);
        Self {
            at,
            position,
            within_minutes: sender.within_minutes,
            within_km: sender.within_km,
            is_of_file: (sender.at.is_none() && at.is_some()) || (sender.position.is_none() && position.is_some()),
        }
    }

    /// What a check rests on besides the picture.
    pub(super) fn basis(&self) -> &'static str {
        if self.is_of_file { "the claim, filled in from the file's own word" } else { "the claim" }
    }

    pub(super) fn sky(&self) -> Option<ClaimSky> {
        ClaimSky::new(self.at?, self.position?)
    }

    /// How far the sky over the claim may be turned within the claim's own tolerance, degrees along a great circle.
    pub(super) fn sky_sigma_deg(&self) -> f64 {
        (0.25 * SIDEREAL_PER_SOLAR * self.within_minutes).hypot(self.within_km / KM_PER_DEGREE)
    }

    /// An altitude by the claim, degrees, with what the claim's tolerance leaves open of it.
    pub(super) fn altitude(&self, name: &str, altitude_deg: f64) -> DeskEvidence {
        let value = Estimate::symmetric(altitude_deg, self.sky_sigma_deg(), Basis::Assumed);
        DeskEvidence::number(name, value, "degrees", 1)
    }

    /// An azimuth by the claim, degrees, likewise: high in the sky a small arc is much azimuth, and at most all of it.
    pub(super) fn azimuth(&self, name: &str, at: Horizontal) -> DeskEvidence {
        let sigma_deg = (self.sky_sigma_deg() / at.altitude_deg.to_radians().cos().abs()).min(180.0);
        DeskEvidence::number(name, Estimate::symmetric(at.azimuth_deg, sigma_deg, Basis::Assumed), "degrees", 1)
    }

    /// Least and greatest altitude of the sun within the claim's own tolerance, degrees.
    pub(super) fn sun_altitudes_deg(&self) -> Option<[f64; 2]> {
        let (at, position) = (self.at?, self.position?);
        let moved = self.within_km / KM_PER_DEGREE;
        let altitudes: Vec<f64> = [-1.0, -0.5, 0.0, 0.5, 1.0]
            .into_iter()
            .filter_map(|share| shifted(at, share * self.within_minutes))
            .filter_map(|at| sky::sun_moon(at, position).ok())
            .map(|found| found.sun.horizontal.altitude_deg)
            .collect();
        let least = altitudes.iter().copied().reduce(f64::min)?;
        let greatest = altitudes.iter().copied().reduce(f64::max)?;
        Some([least - moved, greatest + moved])
    }
}

/// A degree of latitude, km.
pub(super) const KM_PER_DEGREE: f64 = 111.2;
/// Turns of the sky in a day of the sun.
pub(super) const SIDEREAL_PER_SOLAR: f64 = 1.002_737_909;

/// An instant moved by minutes.
pub(super) fn shifted(at: Timestamp, minutes: f64) -> Option<Timestamp> {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a claim, some days at most")]
    let seconds = (60.0 * minutes).round() as i64;
    at.checked_add(jiff::SignedDuration::from_secs(seconds)).ok()
}

/// The sky over the claimed place at the claimed time.
#[derive(Debug, Clone)]
pub(super) struct ClaimSky {
    pub(super) sky: ObserverSky,
    pub(super) bodies: SunMoon,
    pub(super) latitude_deg: f64,
    /// Rows are east, north and up in ICRS, without the air.
    axes: [Vector; 3],
}

impl ClaimSky {
    fn new(at: Timestamp, position: GeoPosition) -> Option<Self> {
        let sky = ObserverSky::new(at, position).ok()?;
        let bodies = sky::sun_moon(at, position).ok()?;
        // columns of the turn are where the axes of the ICRS stand
        let seen = [[0.0, 0.0], [90.0, 0.0], [0.0, 90.0]].map(|[ra, dec]: [f64; 2]| sky.icrs(ra, dec).east_north_up());
        let row = |index: usize| unit([seen[0][index], seen[1][index], seen[2][index]]);
        // aberration skews the axes by some arcseconds: up is kept, the others are squared to it
        let (up, east) = (row(2)?, row(0)?);
        let along = dot(east, up);
        let east = unit([0, 1, 2].map(|axis| east[axis] - along * up[axis]))?;
        let axes = [east, cross(up, east), up];
        Some(Self { sky, bodies, latitude_deg: position.latitude_deg(), axes })
    }

    /// Where a fixed direction stands, without the air.
    pub(super) fn horizontal(&self, icrs: Vector) -> Horizontal {
        Horizontal::from_east_north_up(self.axes.map(|axis| dot(axis, icrs)))
    }

    /// The fixed direction that stands there.
    pub(super) fn icrs(&self, horizontal: Horizontal) -> Vector {
        let seen = horizontal.east_north_up();
        [0, 1, 2].map(|axis| (0..3).map(|row| seen[row] * self.axes[row][axis]).sum())
    }

    pub(super) fn zenith(&self) -> Vector {
        self.axes[2]
    }

    /// Zenith of another latitude whose sidereal time is ahead of the claim's by degrees.
    pub(super) fn zenith_of(&self, latitude_deg: f64, ahead_deg: f64) -> Vector {
        let (sin_here, cos_here) = self.latitude_deg.to_radians().sin_cos();
        let (sin_there, cos_there) = latitude_deg.clamp(-90.0, 90.0).to_radians().sin_cos();
        let (sin_ahead, cos_ahead) = ahead_deg.to_radians().sin_cos();
        let seen = [
            cos_there * sin_ahead,
            sin_there * cos_here - cos_there * cos_ahead * sin_here,
            sin_there * sin_here + cos_there * cos_ahead * cos_here,
        ];
        self.icrs(Horizontal::from_east_north_up(seen))
    }

    /// Latitude that a fixed direction is the zenith of, and how far the sidereal time is then ahead of the claim's, degrees.
    pub(super) fn latitude_and_ahead_deg(&self, zenith: Vector) -> [f64; 2] {
        let [east, north, up] = self.axes.map(|axis| dot(axis, zenith));
        let (sin_here, cos_here) = self.latitude_deg.to_radians().sin_cos();
        let latitude = (up * sin_here + north * cos_here).clamp(-1.0, 1.0).asin().to_degrees();
        [latitude, east.atan2(up * cos_here - north * sin_here).to_degrees()]
    }

    /// Zeniths within the claim's own tolerance: itself, then its edges.
    pub(super) fn zeniths_within(&self, claim: &Claim) -> Vec<Vector> {
        let by_place = claim.within_km / KM_PER_DEGREE;
        let by_time = 0.25 * SIDEREAL_PER_SOLAR * claim.within_minutes;
        let by_longitude = by_place / self.latitude_deg.to_radians().cos().max(0.05);
        let mut zeniths = vec![self.zenith()];
        for north in [-1.0, 0.0, 1.0] {
            for ahead in [-1.0, -0.5, 0.0, 0.5, 1.0] {
                zeniths.push(self.zenith_of(self.latitude_deg + north * by_place, ahead * (by_time + by_longitude)));
            }
        }
        zeniths
    }
}

#[cfg(test)]
mod tests {
    use super::super::vector::{height_deg, of_ra_dec};
    use super::*;

    /// astropy 8.0.2 with Hipparcos-2 (the table's header has the recipe). 0.02 degrees: the turn is one for all stars, so that
    /// the aberration of each, 20.5" at most, is only met on the average.
    const STAR_ALTITUDE_DEG: f64 = 0.02;

    #[test]
    fn stars_stand_over_a_claim_where_astropy_has_them() {
        let table = include_str!("../../../sky/tests/data/stars.csv");
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
        let head = reader.headers().unwrap().clone();
        let mut rows = 0;
        for row in reader.records() {
            let row = row.unwrap();
            let cell = |name: &str| row.get(head.iter().position(|column| column == name).unwrap()).unwrap();
            let number = |name: &str| cell(name).parse::<f64>().unwrap();
            let position = GeoPosition::new(number("lat_deg"), number("lon_deg"), 0.0).unwrap();
            let sky = ClaimSky::new(cell("utc").parse().unwrap(), position).unwrap();
            let star = of_ra_dec([number("ra_icrs_deg"), number("dec_icrs_deg")]);
            let off = height_deg(star, sky.zenith()) - number("alt_deg");
            assert!(off.abs() < STAR_ALTITUDE_DEG, "{row:?}: {off}");
            rows += 1;
        }
        assert!(rows > 50, "{rows}");
    }

    /// Sines and cosines there and back.
    const ROUND_TRIP_DEG: f64 = 1e-6;

    #[test]
    fn an_hour_later_the_zenith_is_fifteen_degrees_further_on() {
        let position = GeoPosition::new(56.0, 9.0, 0.0).unwrap();
        let at: Timestamp = "2026-03-14T22:00:00Z".parse().unwrap();
        let sky = ClaimSky::new(at, position).unwrap();
        let [latitude, ahead] = sky.latitude_and_ahead_deg(sky.zenith_of(-33.0, 123.0));
        assert!((latitude + 33.0).abs() < ROUND_TRIP_DEG && (ahead - 123.0).abs() < ROUND_TRIP_DEG);
        // the same by the sky itself, an hour on: 15.041 degrees; nutation and aberration move by far less than 0.01
        let later = ClaimSky::new(shifted(at, 60.0).unwrap(), position).unwrap();
        let [latitude, ahead] = sky.latitude_and_ahead_deg(later.zenith());
        assert!((latitude - 56.0).abs() < 0.01 && (ahead - 15.041).abs() < 0.01, "{latitude} {ahead}");
    }
}
