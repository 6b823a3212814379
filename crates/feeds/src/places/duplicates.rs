use job::Site;
use quantity::GeoPosition;
use serde::Serialize;

/// Nearer than this two places are probably one, m: a phone's position is good to 5 to 10 m, and people walk about.
pub const NEAR_M: f64 = 30.0;
/// Mean radius of the Earth, m (IUGG).
const EARTH_RADIUS_M: f64 = 6_371_008.8;
/// Pairs reported at most: a file of one place ten thousand times has fifty million.
const MOST_PAIRS: usize = 1000;

/// Why two places are probably one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sameness {
    /// The same name, and near each other.
    NameAndPlace {
        /// How far apart, m.
        distance_m: f64,
    },
    /// The same name, letter case and blanks aside, at different places.
    Name,
    /// Different names within [`NEAR_M`].
    Place {
        /// How far apart, m.
        distance_m: f64,
    },
}

/// Two places of a list that are probably one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Duplicate {
    /// Index of the earlier one.
    pub first: usize,
    /// Index of the later one.
    pub second: usize,
    /// Why.
    pub sameness: Sameness,
}

/// The pairs of a list that are probably one place, by their later member; a thousand at most.
pub fn duplicates(sites: &[&Site]) -> Vec<Duplicate> {
    let mut pairs = near_pairs(sites);
    pairs.extend(name_pairs(sites, &pairs));
    pairs.sort_by_key(|pair| (pair.second, pair.first));
    pairs.truncate(MOST_PAIRS);
    pairs
}

fn same_name(a: &Site, b: &Site) -> bool {
    folded(&a.name) == folded(&b.name)
}

fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Sorted by latitude, so that only places on nearly one parallel are compared.
fn near_pairs(sites: &[&Site]) -> Vec<Duplicate> {
    let mut by_latitude: Vec<(usize, GeoPosition)> =
        sites.iter().enumerate().map(|(index, site)| (index, site.position)).collect();
    by_latitude.sort_by(|a, b| a.1.latitude_deg().total_cmp(&b.1.latitude_deg()));
    let band_deg = (NEAR_M / EARTH_RADIUS_M).to_degrees() * 1.01;
    let mut pairs = Vec::new();
    for (place, &(index, position)) in by_latitude.iter().enumerate() {
        let after = by_latitude[place + 1..].iter();
        for &(other, beside) in
            after.take_while(|(_, beside)| beside.latitude_deg() - position.latitude_deg() <= band_deg)
        {
            let distance_m = distance_m(position, beside);
            if distance_m > NEAR_M {
                continue;
            }
            let (first, second) = (index.min(other), index.max(other));
            let sameness = if same_name(sites[first], sites[second]) {
                Sameness::NameAndPlace { distance_m }
            } else {
                Sameness::Place { distance_m }
            };
            pairs.push(Duplicate { first, second, sameness });
            if pairs.len() >= MOST_PAIRS {
                return pairs;
            }
        }
    }
    pairs
}

/// Each name that was there before, paired with the first that has it.
fn name_pairs(sites: &[&Site], near: &[Duplicate]) -> Vec<Duplicate> {
    let mut seen = std::collections::BTreeMap::new();
    let mut pairs = Vec::new();
    for (second, site) in sites.iter().enumerate() {
        let first = *seen.entry(folded(&site.name)).or_insert(second);
        let is_known = first == second || near.iter().any(|pair| (pair.first, pair.second) == (first, second));
        if !is_known && pairs.len() < MOST_PAIRS {
            pairs.push(Duplicate { first, second, sameness: Sameness::Name });
        }
    }
    pairs
}

/// Great-circle distance, m, exact at small distances too.
fn distance_m(a: GeoPosition, b: GeoPosition) -> f64 {
    let (lat_a, lat_b) = (a.latitude_deg().to_radians(), b.latitude_deg().to_radians());
    let half_lat = (lat_b - lat_a) / 2.0;
    let half_lon = (b.longitude_deg() - a.longitude_deg()).to_radians() / 2.0;
    let haversine = half_lat.sin().powi(2) + lat_a.cos() * lat_b.cos() * half_lon.sin().powi(2);
    2.0 * EARTH_RADIUS_M * haversine.sqrt().min(1.0).asin()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(name: &str, lat: f64, lon: f64) -> Site {
        Site::bare(name, GeoPosition::new(lat, lon, 0.0).unwrap())
    }

    #[test]
    fn names_and_places_are_told_apart() {
        let sites = [
            site("Bay", 69.0, 15.0),
            site("Head", 69.3, 15.2),
            site("bay ", 69.0, 15.0001),
            site("Quay", 69.30002, 15.2),
            site("HEAD", 60.0, 10.0),
        ];
        let pairs = duplicates(&sites.iter().collect::<Vec<_>>());
        let said: Vec<_> = pairs.iter().map(|pair| (pair.first, pair.second)).collect();
        assert_eq!(said, [(0, 2), (1, 3), (1, 4)]);
        assert!(matches!(pairs[0].sameness, Sameness::NameAndPlace { distance_m } if (3.9..4.1).contains(&distance_m)));
        assert!(matches!(pairs[1].sameness, Sameness::Place { distance_m } if (2.1..2.4).contains(&distance_m)));
        assert_eq!(pairs[2].sameness, Sameness::Name);
    }

    #[test]
    fn the_date_line_parts_nothing() {
        let sites = [site("a", -65.0, 179.9999), site("b", -65.0, -179.9999)];
        assert_eq!(duplicates(&[&sites[0], &sites[1]]).len(), 1);
    }
}
