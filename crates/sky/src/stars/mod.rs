//! The stars a camera sees: the Hipparcos catalogue in its second reduction.
//!
//! All 15 587 stars of Hp below 7.1, and some 5 600 fainter ones that move more than 0.2" a year. Close pairs are one
//! entry with their light together. Variable stars have their mean brightness. Data: ESA, the Hipparcos mission; van
//! Leeuwen 2007, *Astronomy & Astrophysics* 474, 653. `data/bake_stars.py` made the file.

mod magnitude;
mod names;

use std::sync::OnceLock;

pub use magnitude::v_from_hp;

const BYTES: &[u8] = include_bytes!("../../data/hipparcos2.bin");
/// Length of a record in the file.
const RECORD_LENGTH: usize = 36;
/// Colour that stands for "not known" in the file.
const NO_COLOUR: i16 = i16::MIN;

/// Epoch of the catalogue, Julian year.
pub const CATALOGUE_EPOCH_YEAR: f64 = 1991.25;

/// One star as catalogued: ICRS, epoch J1991.25.
///
/// Where it stands over a place at an instant is [`crate::ObserverSky::star`]'s work.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Star {
    /// Hipparcos number.
    pub hip: u32,
    /// Right ascension, degrees.
    pub right_ascension_deg: f64,
    /// Declination, degrees.
    pub declination_deg: f64,
    /// Parallax, milliarcseconds; may be a little below 0 by the error of its measurement.
    pub parallax_mas: f64,
    /// Proper motion in right ascension times cos(declination), milliarcseconds a year.
    pub motion_ra_mas_yr: f64,
    /// Proper motion in declination, milliarcseconds a year.
    pub motion_dec_mas_yr: f64,
    /// Brightness in the satellite's own wide band, magnitudes.
    pub hp_mag: f64,
    /// Colour B - V, magnitudes; `None` where the catalogue has none.
    pub colour_bv_mag: Option<f64>,
    /// Johnson V, magnitudes, derived: see [`v_from_hp`].
    pub v_mag: f64,
}

impl Star {
    /// Proper name (IAU), for about 120 bright and well-known stars.
    pub fn name(&self) -> Option<&'static str> {
        names::name_of(self.hip)
    }
}

/// All stars, brightest first.
#[derive(Debug)]
pub struct Catalogue {
    stars: Vec<Star>,
    /// (HIP number, index into `stars`), in order of number.
    by_number: Vec<(u32, usize)>,
}

impl Catalogue {
    /// The star of a Hipparcos number.
    ///
    /// ```
    /// let vega = sky::catalogue().star(91_262).unwrap();
    /// assert_eq!(vega.name(), Some("Vega"));
    /// ```
    pub fn star(&self, hip: u32) -> Option<&Star> {
        let found = self.by_number.binary_search_by_key(&hip, |(number, _)| *number).ok()?;
        self.stars.get(self.by_number[found].1)
    }

    /// The star of a proper name, in the IAU's spelling.
    pub fn named(&self, name: &str) -> Option<&Star> {
        let (hip, _) = names::NAMES.iter().find(|(_, known)| *known == name)?;
        self.star(*hip)
    }

    /// Stars brighter than a V magnitude, brightest first. Complete to V 6.9; fainter, fast ones only.
    pub fn brighter_than(&self, v_mag: f64) -> impl Iterator<Item = &Star> + '_ {
        self.stars.iter().take_while(move |star| star.v_mag < v_mag)
    }

    /// All stars, brightest first.
    pub fn stars(&self) -> &[Star] {
        &self.stars
    }
}

/// The catalogue, unpacked on first use (about 2 ms) and shared from then on.
pub fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(|| {
        let mut stars: Vec<Star> = BYTES.chunks_exact(RECORD_LENGTH).filter_map(unpack).collect();
        stars.sort_by(|a, b| a.v_mag.total_cmp(&b.v_mag).then(a.hip.cmp(&b.hip)));
        let mut by_number: Vec<(u32, usize)> =
            stars.iter().enumerate().map(|(index, star)| (star.hip, index)).collect();
        by_number.sort_unstable();
        Catalogue { stars, by_number }
    })
}

fn unpack(record: &[u8]) -> Option<Star> {
    let mut rest = record;
    let hip = u32::from_le_bytes(take(&mut rest)?);
    let right_ascension_deg = f64::from_le_bytes(take(&mut rest)?).to_degrees();
    let declination_deg = f64::from_le_bytes(take(&mut rest)?).to_degrees();
    let [parallax_mas, motion_ra_mas_yr, motion_dec_mas_yr] =
        [take(&mut rest)?, take(&mut rest)?, take(&mut rest)?].map(|bytes| f64::from(f32::from_le_bytes(bytes)));
    let hp_mag = f64::from(i16::from_le_bytes(take(&mut rest)?)) * 1e-3;
    let colour = i16::from_le_bytes(take(&mut rest)?);
    let colour_bv_mag = (colour != NO_COLOUR).then(|| f64::from(colour) * 1e-3);
    Some(Star {
        hip,
        right_ascension_deg,
        declination_deg,
        parallax_mas,
        motion_ra_mas_yr,
        motion_dec_mas_yr,
        hp_mag,
        colour_bv_mag,
        v_mag: magnitude::v_mag(hip, hp_mag, colour_bv_mag),
    })
}

fn take<const N: usize>(rest: &mut &[u8]) -> Option<[u8; N]> {
    let (head, tail) = rest.split_first_chunk::<N>()?;
    *rest = tail;
    Some(*head)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_record_is_unpacked_once() {
        assert_eq!(catalogue().stars().len() * RECORD_LENGTH, BYTES.len());
        assert_eq!(catalogue().stars().len(), 21_221);
        assert!(catalogue().by_number.windows(2).all(|pair| pair[0].0 < pair[1].0));
    }

    #[test]
    fn sirius_leads_and_the_order_is_by_brightness() {
        assert_eq!(catalogue().stars()[0].name(), Some("Sirius"));
        let magnitudes: Vec<f64> = catalogue().brighter_than(3.0).map(|star| star.v_mag).collect();
        // about 170 stars are brighter than third magnitude
        assert!((150..200).contains(&magnitudes.len()));
        assert!(magnitudes.is_sorted());
    }

    #[test]
    fn barnards_star_is_kept_for_its_speed() {
        let star = catalogue().named("Barnard's Star").unwrap();
        assert!(star.hp_mag > 9.0 && star.motion_dec_mas_yr > 10_000.0);
    }

    #[test]
    fn an_unknown_number_is_no_star() {
        assert!(catalogue().star(0).is_none());
        assert!(catalogue().named("Nobody").is_none());
    }
}
