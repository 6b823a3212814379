//! Where a line of sight goes over the map.

use geomag::{Sightline, ground_distance_km};
use quantity::{GeoPosition, Horizontal};

use crate::site_sky::EMISSION_HEIGHT_KM;

/// Longest piece of a track, km along the line of sight: a straight piece between two longitudes and latitudes then stays within
/// 0.3 km of the track up to 80 degrees of latitude (`d² tan(latitude) / 8 R`).
const PIECE_KM: f64 = 50.0;

/// The ground under a line of sight, from a site to where the line meets the height of green light.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundTrack {
    /// Points of the ground under the line, in order, the site first; two at least.
    pub points: Vec<GeoPosition>,
    /// Height at which the line ends, km.
    pub emission_height_km: f64,
    /// Distance on the ground from the site to the last point, km.
    pub ground_distance_km: f64,
    /// Length of the line of sight itself, km.
    pub slant_km: f64,
}

/// Follows a line of sight over the ground to where it meets 110 km, the usual lower border of green light.
///
/// * `direction`: as seen (with refraction); refraction of standard air is taken off first.
///
/// None where the line never gets there: it points below the horizon, or a number is not finite.
pub fn ground_track(site: GeoPosition, direction: Horizontal) -> Option<GroundTrack> {
    let airless_deg = sky::Air::default().airless_altitude_deg(direction.altitude_deg);
    let line = Sightline::new(site, Horizontal::new(airless_deg, direction.azimuth_deg));
    let end = line.at_height_km(EMISSION_HEIGHT_KM)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1500 km at most, so 30 pieces")]
    let pieces = (end.slant_km / PIECE_KM).ceil().clamp(1.0, 100.0) as u32;
    let ground = |share: f64| {
        let point = line.at_slant_km(share * end.slant_km);
        GeoPosition::new(point.latitude_deg, point.longitude_deg, 0.0).ok()
    };
    let mut points = vec![site];
    for piece in 1..=pieces {
        points.push(ground(f64::from(piece) / f64::from(pieces))?);
    }
    let last = *points.last()?;
    Some(GroundTrack {
        points,
        emission_height_km: EMISSION_HEIGHT_KM,
        ground_distance_km: ground_distance_km(site, last),
        slant_km: end.slant_km,
    })
}
