use std::fmt;
use std::str::FromStr;

use quantity::{GeoPosition, wrap_degrees_180};
use serde::{Serialize, Serializer};

use crate::FeedError;
use crate::row::quote;

/// A square degree, named by its south-west corner: `N69E015`, `S47W001`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TileName {
    south_deg: i16,
    west_deg: i16,
}

impl TileName {
    /// The tile a place lies in. On an edge, the one to the north or the east.
    pub fn containing(position: GeoPosition) -> Self {
        Self::of(position.latitude_deg(), position.longitude_deg())
    }

    /// As [`TileName::containing`]; longitudes of any turn, latitudes within -90 to 90.
    pub(super) fn of(latitude_deg: f64, longitude_deg: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "bounded to whole degrees of the globe")]
        let whole = |degrees: f64, low: f64, high: f64| degrees.floor().clamp(low, high) as i16;
        Self {
            south_deg: whole(latitude_deg, -90.0, 89.0),
            west_deg: whole(wrap_degrees_180(longitude_deg), -180.0, 179.0),
        }
    }

    /// Latitude of its southern edge, degrees.
    pub fn south_deg(self) -> f64 {
        f64::from(self.south_deg)
    }

    /// Longitude of its western edge, degrees, -180 to 179.
    pub fn west_deg(self) -> f64 {
        f64::from(self.west_deg)
    }

    /// The name a file begins with, in capitals or not: `n69e015.hgt`, `N69E015.SRTMGL1.hgt`.
    ///
    /// # Errors
    ///
    /// It does not begin so, or names no square degree of the globe.
    pub fn of_file(file_name: &str) -> Result<Self, FeedError> {
        let base = file_name.rsplit(['/', '\\']).next().unwrap_or(file_name);
        base.split(['.', '_']).next().unwrap_or(base).parse()
    }
}

impl FromStr for TileName {
    type Err = FeedError;

    fn from_str(text: &str) -> Result<Self, FeedError> {
        let bad = || FeedError::BadTile {
            source_name: quote(text),
            problem: "the name of a tile is its south-west corner, as in N69E015".to_owned(),
        };
        let digits = |from: usize, to: usize| {
            let part = text.get(from..to).filter(|part| part.bytes().all(|byte| byte.is_ascii_digit()));
            part.and_then(|part| part.parse::<i16>().ok()).ok_or_else(bad)
        };
        let letter = |at: usize| text.as_bytes().get(at).map(u8::to_ascii_uppercase);
        let sign = |letter: Option<u8>, plus: u8, minus: u8| match letter {
            Some(found) if found == plus => Ok(1),
            Some(found) if found == minus => Ok(-1),
            Some(_) | None => Err(bad()),
        };
        if text.len() != 7 {
            return Err(bad());
        }
        let name = Self {
            south_deg: sign(letter(0), b'N', b'S')? * digits(1, 3)?,
            west_deg: sign(letter(3), b'E', b'W')? * digits(4, 7)?,
        };
        let on_the_globe = (-90..=89).contains(&name.south_deg) && (-180..=179).contains(&name.west_deg);
        if on_the_globe { Ok(name) } else { Err(bad()) }
    }
}

impl fmt::Display for TileName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (ns, ew) = (if self.south_deg < 0 { 'S' } else { 'N' }, if self.west_deg < 0 { 'W' } else { 'E' });
        write!(f, "{ns}{:02}{ew}{:03}", self.south_deg.unsigned_abs(), self.west_deg.unsigned_abs())
    }
}

impl Serialize for TileName {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_files_bear_them() {
        for (file, name) in [
            ("N69E015.hgt", "N69E015"),
            ("s47w001.HGT", "S47W001"),
            ("tiles/N00W180.SRTMGL1.hgt", "N00W180"),
            ("S01E179_v2.hgt", "S01E179"),
        ] {
            assert_eq!(TileName::of_file(file).unwrap().to_string(), name);
        }
        for file in ["", "N69.hgt", "N9xE015.hgt", "X69E015.hgt", "N90E015.hgt", "N69E180.hgt", "N6+E015.hgt", "NååE0"]
        {
            assert!(TileName::of_file(file).is_err(), "{file}");
        }
    }

    #[test]
    fn a_place_south_and_west_of_zero_lies_in_the_lower_square() {
        let name = |lat, lon| TileName::containing(GeoPosition::new(lat, lon, 0.0).unwrap()).to_string();
        assert_eq!(name(69.15, 15.65), "N69E015");
        assert_eq!(name(-46.55, -0.2), "S47W001");
        assert_eq!(name(90.0, 180.0), "N89W180");
        assert_eq!(name(-90.0, -180.0), "S90W180");
    }
}
