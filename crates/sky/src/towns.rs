//! Towns of 1000 people or more in the aurora's latitudes: north of 38° N and south of 32° S.
//!
//! **What it does not do:** roads, coasts, places between 32° S and 38° N. Population is of the place itself, as
//! of 2022, not of its conurbation. `data/bake_towns.py` made the file and says what was left out.
//!
//! Data: GeoNames, Creative Commons Attribution 4.0: show [`ATTRIBUTION`] wherever the towns are shown.

use std::sync::OnceLock;

use quantity::{GeoPosition, wrap_degrees_180, wrap_degrees_360};

use crate::background::TownGlow;

const BYTES: &[u8] = include_bytes!("../data/towns.bin");
/// The credit that the licence asks for.
pub const ATTRIBUTION: &str = "Towns: GeoNames, geonames.org, CC BY 4.0. Selected, thinned and rounded.";
/// Radius within which towns matter to the night sky, km.
pub const GLOW_RADIUS_KM: f64 = 200.0;
/// Largest radius answered, km: more is a map, not a night.
const GREATEST_RADIUS_KM: f64 = 2000.0;
/// Length of a record in the file.
const RECORD_LENGTH: usize = 8;
/// Places in the file are in units of this many degrees.
const UNIT_DEG: f64 = 1.0e-4;
/// Populations in the file are in units of this many dex above 1000.
const UNIT_DEX: f64 = 1.0 / 6000.0;
/// Bit that says that a town has a name.
const NAMED: u16 = 0x8000;
/// Mean radius of the Earth, km.
const EARTH_RADIUS_KM: f64 = 6371.0;
/// Slack on the latitude band, degrees: rounding.
const BAND_SLACK_DEG: f64 = 0.001;

/// A town of 5000 people or more, with its name.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct NamedTown {
    /// Its name, in its own country's spelling as far as GeoNames has it.
    pub name: &'static str,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Bearing, distance, people.
    pub seen: TownGlow,
}

struct Town {
    latitude_deg: f64,
    longitude_deg: f64,
    population: u32,
    name: Option<&'static str>,
}

/// Towns within a radius of a place, from south to north; great-circle distance on a sphere (0.5 % at worst).
///
/// * `radius_km`: 0 to 2000; brought inside. NaN gives none.
///
/// # Example
///
/// ```
/// use quantity::GeoPosition;
///
/// let fjord = GeoPosition::new(69.6, 18.5, 10.0)?;
/// let towns = sky::towns::near(fjord, 30.0);
/// assert!(towns.iter().any(|town| town.population > 60_000 && (10.0..25.0).contains(&town.distance_km)));
/// # Ok::<(), quantity::QuantityError>(())
/// ```
pub fn near(position: GeoPosition, radius_km: f64) -> Vec<TownGlow> {
    within(position, radius_km).map(|(_, seen)| seen).collect()
}

/// Towns of 5000 people or more within a radius of a place, nearest first.
///
/// * `radius_km`: as for [`near`].
pub fn named_near(position: GeoPosition, radius_km: f64) -> Vec<NamedTown> {
    let mut towns: Vec<NamedTown> = within(position, radius_km)
        .filter_map(|(town, seen)| {
            let Town { latitude_deg, longitude_deg, name, .. } = *town;
            name.map(|name| NamedTown { name, latitude_deg, longitude_deg, seen })
        })
        .collect();
    towns.sort_by(|a, b| a.seen.distance_km.total_cmp(&b.seen.distance_km));
    towns
}

fn within(position: GeoPosition, radius_km: f64) -> impl Iterator<Item = (&'static Town, TownGlow)> {
    let radius_km = if radius_km.is_nan() { -1.0 } else { radius_km.min(GREATEST_RADIUS_KM) };
    let half_band_deg = (radius_km / EARTH_RADIUS_KM).to_degrees() + BAND_SLACK_DEG;
    let middle_deg = position.latitude_deg();
    let towns = table();
    let first = towns.partition_point(|town| town.latitude_deg < middle_deg - half_band_deg);
    let band = towns[first..].iter().take_while(move |town| town.latitude_deg <= middle_deg + half_band_deg);
    band.filter_map(move |town| {
        let seen = seen_from(position, town);
        (seen.distance_km <= radius_km).then_some((town, seen))
    })
}

fn seen_from(position: GeoPosition, town: &Town) -> TownGlow {
    let (here, there) = (position.latitude_deg().to_radians(), town.latitude_deg.to_radians());
    let east = wrap_degrees_180(town.longitude_deg - position.longitude_deg()).to_radians();
    // haversine: exact for near places, where the cosine rule is not
    let chord = ((there - here) / 2.0).sin().powi(2) + here.cos() * there.cos() * (east / 2.0).sin().powi(2);
    let distance_km = 2.0 * EARTH_RADIUS_KM * chord.sqrt().min(1.0).asin();
    let bearing =
        (east.sin() * there.cos()).atan2(here.cos() * there.sin() - here.sin() * there.cos() * east.cos()).to_degrees();
    TownGlow { bearing_deg: wrap_degrees_360(bearing), distance_km, population: town.population }
}

fn table() -> &'static [Town] {
    static TOWNS: OnceLock<Vec<Town>> = OnceLock::new();
    TOWNS.get_or_init(|| unpack(BYTES).unwrap_or_default())
}

/// `None` where the file is not what it should be; a test makes sure that it is.
fn unpack(bytes: &'static [u8]) -> Option<Vec<Town>> {
    let head = bytes.iter().position(|&byte| byte == 0)? + 1;
    let (count, rest) = bytes.get(head..)?.split_first_chunk::<4>()?;
    let (_, rest) = rest.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_le_bytes(*count)).ok()?.checked_mul(RECORD_LENGTH)?;
    let (records, mut names) = rest.split_at_checked(length)?;
    let (records, _) = records.as_chunks::<RECORD_LENGTH>();
    records.iter().map(|&record| town(record, &mut names)).collect()
}

fn town(record: [u8; RECORD_LENGTH], names: &mut &'static [u8]) -> Option<Town> {
    let [a, b, c, d, e, f, g, h] = record;
    let code = u16::from_le_bytes([g, h]);
    Some(Town {
        latitude_deg: f64::from(u32::from_le_bytes([a, b, c, 0])) * UNIT_DEG - 90.0,
        longitude_deg: f64::from(u32::from_le_bytes([d, e, f, 0])) * UNIT_DEG - 180.0,
        population: people(code & !NAMED),
        name: if code & NAMED == 0 { None } else { Some(next_name(names)?) },
    })
}

fn people(code: u16) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1000 to 2.9e8: 15 bits in 1/6000 dex")]
    let people = 10f64.powf(3.0 + f64::from(code) * UNIT_DEX).round() as u32;
    people
}

fn next_name(names: &mut &'static [u8]) -> Option<&'static str> {
    let (&length, rest) = names.split_first()?;
    let (name, rest) = rest.split_at_checked(usize::from(length))?;
    *names = rest;
    std::str::from_utf8(name).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_is_whole_sorted_and_carries_its_credit() {
        assert!(BYTES.starts_with(ATTRIBUTION.as_bytes()));
        let towns = unpack(BYTES).unwrap();
        assert!(towns.len() > 60_000);
        assert!(towns.is_sorted_by(|a, b| a.latitude_deg <= b.latitude_deg));
        assert!(towns.iter().all(|town| (1000..30_000_000).contains(&town.population)));
        assert!(towns.iter().all(|town| town.name.is_some() == (town.population >= 5000)));
    }

    #[test]
    fn a_cut_file_is_refused_and_not_half_read() {
        for length in [0, 10, 80, 85, 1000, BYTES.len() - 1] {
            assert!(unpack(&BYTES[..length]).is_none(), "cut at {length}");
        }
    }
}
