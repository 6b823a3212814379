//! The sky of one place at one instant, worked out once and then used for many stars.

use jiff::Timestamp;
use quantity::{GeoPosition, Horizontal};
use sofars::astro::{IauAstrom, apco, atciq, atciqz, atioq};
use sofars::eph::epv00;
use sofars::erst::era00;
use sofars::pnp::{bpn2xy, pnm06a, s06, sp00};

use crate::error::SkyError;
use crate::planets::{Planet, PlanetPlace};
use crate::stars::{CATALOGUE_EPOCH_YEAR, Star, catalogue};
use crate::time::Clocks;

/// One milliarcsecond in radians.
const MAS_RAD: f64 = std::f64::consts::TAU / 1_296_000_000.0;
/// A star without a measured distance is put this far away, milliarcseconds.
const SMALLEST_PARALLAX_MAS: f64 = 1e-3;
/// Cosine of the declination at which the motion in right ascension is kept finite: no star is so near the pole.
const SMALLEST_COSINE: f64 = 1e-9;

/// Precession, nutation, aberration and the turning of the Earth for one place and instant.
///
/// IAU 2006/2000A, Earth by the full EPV00 series, bending of light by the Sun. Within 1" of an independent computation;
/// polar motion (0.6" at most) is left out. Making one costs about 0.2 ms, each star then half a microsecond.
///
/// ```
/// use quantity::GeoPosition;
///
/// let place = GeoPosition::new(69.2, 15.1, 4.0)?;
/// let sky_now = sky::ObserverSky::new("2026-11-25T20:00:00Z".parse()?, place)?;
/// let polaris = sky::catalogue().named("Polaris").ok_or("no Polaris")?;
/// assert!((sky_now.star(polaris).altitude_deg - 69.2).abs() < 0.7);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone)]
pub struct ObserverSky {
    astrometry: IauAstrom,
    clocks: Clocks,
    /// Earth from the Sun, au, ICRS axes.
    earth_au: [f64; 3],
}

/// A star above the horizon.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct StarPlace {
    /// Which star.
    pub star: &'static Star,
    /// Airless altitude and azimuth.
    pub horizontal: Horizontal,
}

impl ObserverSky {
    /// The sky of a place at an instant.
    ///
    /// # Errors
    ///
    /// [`SkyError::InstantOutOfRange`] before 1950 or after 2099.
    pub fn new(at: Timestamp, place: GeoPosition) -> Result<Self, SkyError> {
        let clocks = Clocks::at(at)?;
        let out_of_range =
            SkyError::InstantOutOfRange { at, first_year: crate::time::FIRST_YEAR, last_year: crate::time::LAST_YEAR };
        let (tt1, tt2) = clocks.tt_julian_date();
        // its only failure is a date outside 1900 to 2100, which the clocks have refused already
        let (heliocentric, barycentric) = epv00(tt1, tt2).ok_or(out_of_range)?;
        let astrometry = astrometry(&clocks, place, &heliocentric[0], &barycentric);
        Ok(Self { astrometry, clocks, earth_au: heliocentric[0] })
    }

    /// Where a star stands: airless altitude and azimuth, proper motion and parallax included.
    pub fn star(&self, star: &Star) -> Horizontal {
        let (ra_rad, dec_rad) = (star.right_ascension_deg.to_radians(), star.declination_deg.to_radians());
        let motion_ra_rad = star.motion_ra_mas_yr * MAS_RAD / dec_rad.cos().max(SMALLEST_COSINE);
        let motion_dec_rad = star.motion_dec_mas_yr * MAS_RAD;
        let parallax_arcsec = star.parallax_mas.max(SMALLEST_PARALLAX_MAS) * 1e-3;
        let mut astrometry = self.astrometry;
        let (ra, dec) = atciq(ra_rad, dec_rad, motion_ra_rad, motion_dec_rad, parallax_arcsec, 0.0, &mut astrometry);
        horizontal(ra, dec, &astrometry)
    }

    /// Where a fixed direction of the ICRS stands, degrees, without proper motion and parallax.
    pub fn icrs(&self, right_ascension_deg: f64, declination_deg: f64) -> Horizontal {
        let mut astrometry = self.astrometry;
        let (ra, dec) = atciqz(right_ascension_deg.to_radians(), declination_deg.to_radians(), &mut astrometry);
        horizontal(ra, dec, &astrometry)
    }

    /// Where a planet stands, how far and about how bright it is.
    pub fn planet(&self, planet: Planet) -> PlanetPlace {
        PlanetPlace::seen_from(self, planet)
    }

    /// Stars brighter than a V magnitude whose airless altitude is above 0, brightest first.
    pub fn bright_stars_up(&self, brighter_than_v_mag: f64) -> Vec<StarPlace> {
        catalogue()
            .brighter_than(brighter_than_v_mag)
            .map(|star| StarPlace { star, horizontal: self.star(star) })
            .filter(|place| place.horizontal.altitude_deg > 0.0)
            .collect()
    }

    pub(crate) fn clocks(&self) -> &Clocks {
        &self.clocks
    }

    pub(crate) fn earth_au(&self) -> [f64; 3] {
        self.earth_au
    }
}

fn astrometry(
    clocks: &Clocks,
    place: GeoPosition,
    earth_from_sun_au: &[f64; 3],
    earth_from_barycentre: &[[f64; 3]; 2],
) -> IauAstrom {
    let (tt1, tt2) = clocks.tt_julian_date();
    let (ut1, ut2) = clocks.ut1_julian_date();
    let (x, y) = bpn2xy(&pnm06a(tt1, tt2));
    let mut astrometry = IauAstrom::default();
    apco(
        tt1,
        tt2,
        earth_from_barycentre,
        earth_from_sun_au,
        x,
        y,
        s06(tt1, tt2, x, y),
        era00(ut1, ut2),
        place.longitude_deg().to_radians(),
        place.latitude_deg().to_radians(),
        place.height_m(),
        0.0,
        0.0,
        sp00(tt1, tt2),
        0.0,
        0.0,
        &mut astrometry,
    );
    // the catalogue's positions are older than the epoch that this interval is counted from
    astrometry.pmt += 2000.0 - CATALOGUE_EPOCH_YEAR;
    astrometry
}

fn horizontal(ra_rad: f64, dec_rad: f64, astrometry: &IauAstrom) -> Horizontal {
    let (azimuth, zenith_distance, _, _, _) = atioq(ra_rad, dec_rad, astrometry);
    Horizontal::new(90.0 - zenith_distance.to_degrees(), azimuth.to_degrees())
}
