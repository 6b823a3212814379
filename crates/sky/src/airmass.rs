//! How much air a sightline crosses, in units of the air overhead.
//!
//! **What it does not do:** loss of light (see [`crate::Extinction`]), and sightlines below the horizon, which are
//! treated as lying on it.

/// Airmass of Kasten & Young 1989, for an apparent altitude in degrees.
///
/// `X = 1 / (sin h + 0.50572 (h + 6.07995)^-1.6364)`: 1 at the zenith, 37.92 on the horizon. Below the horizon
/// and for NaN: as on the horizon.
///
/// # Source
///
/// Kasten & Young, Appl. Opt. 28, 4735 (1989). Standard atmosphere, 700 nm; within 0.5 % of their table.
pub fn kasten_young_1989(altitude_deg: f64) -> f64 {
    let h = above_horizon_deg(altitude_deg);
    1.0 / (h.to_radians().sin() + 0.50572 * (h + 6.07995).powf(-1.6364))
}

/// Airmass of Pickering 2002, for an apparent altitude in degrees.
///
/// `X = 1 / sin(h + 244 / (165 + 47 h^1.1))`: 38.75 on the horizon. The best of the simple forms close to it.
/// Below the horizon and for NaN: as on the horizon.
///
/// # Source
///
/// Pickering, DIO 12, 1 (2002), page 20.
pub fn pickering_2002(altitude_deg: f64) -> f64 {
    let h = above_horizon_deg(altitude_deg);
    // past the zenith the argument exceeds 90 deg by 0.02 deg: the sine is 1 to 1e-7 either way
    1.0 / (h + 244.0 / (165.0 + 47.0 * h.powf(1.1))).to_radians().sin()
}

/// Airmass for scattered light and airglow, `X = (1 - 0.96 sin² Z)^-1/2`: 5 on the horizon.
///
/// Not the airmass of a star: a glow has an optical path that stays finite.
///
/// # Source
///
/// Krisciunas & Schaefer, Publ. Astron. Soc. Pac. 103, 1033 (1991), equation 3.
pub fn scattered_light(altitude_deg: f64) -> f64 {
    let cos_alt = above_horizon_deg(altitude_deg).to_radians().cos();
    1.0 / (1.0 - 0.96 * cos_alt * cos_alt).sqrt()
}

/// Brings an altitude to 0..=90: a sightline below the horizon counts as on it, and so does NaN.
pub(crate) fn above_horizon_deg(altitude_deg: f64) -> f64 {
    if altitude_deg.is_nan() { 0.0 } else { altitude_deg.clamp(0.0, 90.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn airmass_falls_all_the_way_up() {
        for airmass in [kasten_young_1989, pickering_2002, scattered_light] {
            let mut last = f64::INFINITY;
            for tenth in 0..=890 {
                let x = airmass(f64::from(tenth) / 10.0);
                assert!(x < last && x >= 0.999, "at {tenth}/10 deg: {x} after {last}");
                last = x;
            }
        }
    }

    #[test]
    fn below_the_horizon_is_the_horizon() {
        for airmass in [kasten_young_1989, pickering_2002, scattered_light] {
            assert_eq!(airmass(-30.0).to_bits(), airmass(0.0).to_bits());
            assert_eq!(airmass(f64::NAN).to_bits(), airmass(0.0).to_bits());
        }
    }
}
