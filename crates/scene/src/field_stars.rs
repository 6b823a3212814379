//! Stars fainter than the catalogue, at invented places: as many as the sky has, thicker along the Milky Way.

use std::sync::OnceLock;

use crate::random::Random;

/// An invented star.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FieldStar {
    pub(crate) right_ascension_deg: f64,
    pub(crate) declination_deg: f64,
    pub(crate) v_mag: f64,
    pub(crate) colour_bv_mag: f64,
}

/// Where the catalogue ends, V mag.
const BRIGHTEST_MAG: f64 = 6.95;
/// Faintest invented star: beyond it stars melt into the sky's own light.
const FAINTEST_MAG: f64 = 9.6;
/// Stars brighter than the end of the catalogue over the whole sky, and the tenfold increase of their number in magnitudes
/// (Allen, Astrophysical Quantities, star counts, from memory: 15 000 to V 7.0, 120 000 to 9.0).
const BRIGHTER: f64 = 15_000.0;
const SLOPE: f64 = 0.45;
/// North pole of the Galaxy, J2000 (IAU 1958).
const GALACTIC_POLE_DEG: [f64; 2] = [192.859_48, 27.128_25];
/// Seed of the invented sky: the same in every picture.
const SEED: u64 = 0x0005_ca1e;

/// All invented stars, made on first use.
pub(crate) fn field_stars() -> &'static [FieldStar] {
    static STARS: OnceLock<Vec<FieldStar>> = OnceLock::new();
    STARS.get_or_init(|| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some 200 000")]
        let count = (BRIGHTER * (10f64.powf(SLOPE * (FAINTEST_MAG - BRIGHTEST_MAG)) - 1.0)) as usize;
        let mut random = Random::new(SEED, 0);
        let mut stars = Vec::with_capacity(count);
        while stars.len() < count {
            stars.extend(drawn(&mut random));
        }
        stars
    })
}

fn drawn(random: &mut Random) -> Option<FieldStar> {
    let declination = (2.0 * random.even() - 1.0).asin();
    let right_ascension_deg = 360.0 * random.even();
    let (pole_ra, pole_dec) = (GALACTIC_POLE_DEG[0], GALACTIC_POLE_DEG[1].to_radians());
    let sin_latitude = pole_dec.sin() * declination.sin()
        + pole_dec.cos() * declination.cos() * (right_ascension_deg - pole_ra).to_radians().cos();
    // from the poles to the plane the numbers rise some three times at these magnitudes
    let density = 0.3 + 0.7 * (-sin_latitude.abs().asin().to_degrees() / 18.0).exp();
    if random.even() > density {
        return None;
    }
    let total = 10f64.powf(SLOPE * (FAINTEST_MAG - BRIGHTEST_MAG));
    let v_mag = BRIGHTEST_MAG + (1.0 + random.even() * (total - 1.0)).log10() / SLOPE;
    let colour_bv_mag = 0.65 + 0.4 * random.normal().clamp(-1.8, 2.5);
    Some(FieldStar { right_ascension_deg, declination_deg: declination.to_degrees(), v_mag, colour_bv_mag })
}
