//! Towns as sources of glow: an embedded table of places with a thousand people or more.
//!
//! **What it does not do:** no names, no lamps: population stands for light. Places between 38 N and 32 S are left out.

use quantity::{GeoPosition, wrap_degrees_180, wrap_degrees_360};

use crate::background::TownGlow;

/// Attribution that the data's licence asks for.
pub const ATTRIBUTION: &str = "towns: GeoNames (geonames.org), CC BY 4.0, thinned to places of 1000 people or more";

/// Six bytes a town, sorted by latitude; recipe in `data/bake_towns.py`.
static TABLE: &[u8] = include_bytes!("../data/towns.bin");
/// Bytes a town.
const RECORD: usize = 6;
/// Kilometres in a degree of latitude (mean sphere of 6371 km).
const KM_PER_DEGREE: f64 = 111.195;
/// Steps of the stored angles.
const STEPS: f64 = 65_535.0;
/// Steps of the stored decimal logarithm of the population.
const LOG_STEPS: f64 = 5000.0;

struct Town {
    latitude_deg: f64,
    longitude_deg: f64,
    population: u32,
}

fn count() -> usize {
    TABLE.len() / RECORD
}

fn number(index: usize, field: usize) -> f64 {
    let at = index * RECORD + field * 2;
    f64::from(u16::from_le_bytes([TABLE[at], TABLE[at + 1]]))
}

fn latitude_deg(index: usize) -> f64 {
    number(index, 0) / STEPS * 180.0 - 90.0
}

fn town(index: usize) -> Town {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "10^13 at most would not fit, 10^7.5 does")]
    let population = 10f64.powf((number(index, 2) / LOG_STEPS).min(8.0)).round() as u32;
    Town { latitude_deg: latitude_deg(index), longitude_deg: number(index, 1) / STEPS * 360.0 - 180.0, population }
}

/// Index of the first town at or north of a latitude.
fn first_north_of(latitude: f64) -> usize {
    let (mut low, mut high) = (0, count());
    while low < high {
        let middle = usize::midpoint(low, high);
        if latitude_deg(middle) < latitude { low = middle + 1 } else { high = middle }
    }
    low
}

/// Towns within a radius of a place, as seen from there; in order of latitude.
///
/// ```
/// use quantity::GeoPosition;
///
/// let fjord = GeoPosition::new(69.75, 19.5, 0.0)?;
/// let biggest = sky::towns::near(fjord, 60.0).into_iter().max_by_key(|town| town.population);
/// assert!(biggest.is_some_and(|town| town.population > 30_000 && town.distance_km < 40.0));
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn near(place: GeoPosition, radius_km: f64) -> Vec<TownGlow> {
    let reach_deg = radius_km / KM_PER_DEGREE;
    let (south, north) = (place.latitude_deg() - reach_deg, place.latitude_deg() + reach_deg);
    (first_north_of(south)..count())
        .take_while(|&index| latitude_deg(index) <= north)
        .map(|index| seen_from(place, &town(index)))
        .filter(|glow| glow.distance_km <= radius_km)
        .collect()
}

/// Great-circle distance and initial bearing on the mean sphere.
fn seen_from(place: GeoPosition, town: &Town) -> TownGlow {
    let (lat, there) = (place.latitude_deg().to_radians(), town.latitude_deg.to_radians());
    let east = wrap_degrees_180(town.longitude_deg - place.longitude_deg()).to_radians();
    let half = ((there - lat) / 2.0).sin().powi(2) + lat.cos() * there.cos() * (east / 2.0).sin().powi(2);
    let bearing = (east.sin() * there.cos()).atan2(lat.cos() * there.sin() - lat.sin() * there.cos() * east.cos());
    TownGlow {
        bearing_deg: wrap_degrees_360(bearing.to_degrees()),
        distance_km: 2.0 * half.sqrt().clamp(0.0, 1.0).asin().to_degrees() * KM_PER_DEGREE,
        population: town.population,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_sorted_and_whole() {
        assert_eq!(TABLE.len() % RECORD, 0);
        assert!(count() > 50_000, "{} towns", count());
        assert!((1..count()).all(|i| latitude_deg(i - 1) <= latitude_deg(i)));
    }

    #[test]
    fn a_town_is_where_the_map_has_it() {
        // Dunedin, New Zealand, about 114 000 people in the city (GeoNames), seen from 30 km north-east of it.
        let place = GeoPosition::new(-45.68, 170.77, 0.0).unwrap();
        let dunedin = near(place, 50.0).into_iter().max_by_key(|town| town.population).unwrap();
        assert!(dunedin.population > 80_000 && dunedin.population < 150_000, "{dunedin:?}");
        assert!((dunedin.distance_km - 30.0).abs() < 4.0, "{dunedin:?}");
        assert!((dunedin.bearing_deg - 220.0).abs() < 8.0, "{dunedin:?}");
    }

    #[test]
    fn the_date_line_parts_nobody() {
        let west = GeoPosition::new(64.7, -179.95, 0.0).unwrap();
        let east = GeoPosition::new(64.7, 179.95, 0.0).unwrap();
        assert_eq!(near(west, 300.0).len(), near(east, 300.0).len());
    }

    #[test]
    fn nobody_lives_at_the_pole() {
        assert!(near(GeoPosition::new(90.0, 0.0, 0.0).unwrap(), 500.0).is_empty());
    }
}
