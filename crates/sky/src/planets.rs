//! The planets that outshine stars: Mercury to Saturn.

use quantity::{Horizontal, angular_separation_deg};
use serde::{Deserialize, Serialize};
use sofars::eph::plan94;

use crate::frame::length;
use crate::observer::ObserverSky;

/// Time light takes for one au, days.
const LIGHT_DAYS_PER_AU: f64 = 499.004_783_84 / 86_400.0;
/// North pole of Saturn, and so of its rings: right ascension and declination at J2000, degrees (IAU WGCCRE 2015).
const SATURN_POLE_DEG: (f64, f64) = (40.589, 83.537);

/// A planet visible to the naked eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Planet {
    /// Never far from the Sun.
    Mercury,
    /// Evening or morning star.
    Venus,
    /// The red one.
    Mars,
    /// Bright and steady.
    Jupiter,
    /// Its brightness hangs on the tilt of its rings.
    Saturn,
}

impl Planet {
    /// All of them, from the Sun outwards.
    pub const ALL: [Self; 5] = [Self::Mercury, Self::Venus, Self::Mars, Self::Jupiter, Self::Saturn];

    /// What to call it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mercury => "Mercury",
            Self::Venus => "Venus",
            Self::Mars => "Mars",
            Self::Jupiter => "Jupiter",
            Self::Saturn => "Saturn",
        }
    }

    fn number(self) -> i32 {
        match self {
            Self::Mercury => 1,
            Self::Venus => 2,
            Self::Mars => 4,
            Self::Jupiter => 5,
            Self::Saturn => 6,
        }
    }
}

/// A planet at one instant from one place.
///
/// Position by Simon et al. 1994 (the IAU routine plan94): within 0.003° for Mercury and Venus, 0.015° for Mars and
/// Jupiter, 0.03° for Saturn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PlanetPlace {
    /// Which planet.
    pub planet: Planet,
    /// Airless altitude and azimuth. Parallax, below 0.01° for all, is left out.
    pub horizontal: Horizontal,
    /// Distance from the Earth's centre, au.
    pub distance_au: f64,
    /// Angle Sun - planet - Earth, degrees.
    pub phase_angle_deg: f64,
    /// Brightness, V magnitudes, within 0.2 (0.4 for Mercury and Venus near the Sun).
    pub v_mag: f64,
}

impl PlanetPlace {
    pub(crate) fn seen_from(sky: &ObserverSky, planet: Planet) -> Self {
        let from_earth_au = from_earth_au(sky, planet);
        let earth_au = sky.earth_au();
        let from_sun_au = [0, 1, 2].map(|axis| from_earth_au[axis] + earth_au[axis]);
        let (distance_au, sun_distance_au) = (length(from_earth_au), length(from_sun_au));
        let phase_angle_deg = angular_separation_deg(from_sun_au, from_earth_au);
        let [x, y, z] = from_earth_au;
        let horizontal = sky.icrs(y.atan2(x).to_degrees(), z.atan2(x.hypot(y)).to_degrees());
        let distances_mag = 5.0 * (distance_au * sun_distance_au).log10();
        let v_mag = distances_mag + own_magnitude(planet, phase_angle_deg, from_earth_au);
        Self { planet, horizontal, distance_au, phase_angle_deg, v_mag }
    }
}

/// Vector from the Earth to where the planet was when its light left, au, ICRS axes.
fn from_earth_au(sky: &ObserverSky, planet: Planet) -> [f64; 3] {
    let (tdb1, tdb2) = sky.clocks().tt_julian_date();
    let earth_au = sky.earth_au();
    let mut vector = [0.0; 3];
    // the second pass corrects the first by the light time; a third would change nothing that can be seen
    for _ in 0..2 {
        let then = tdb2 - length(vector) * LIGHT_DAYS_PER_AU;
        // its two warnings, a year outside 1000 to 3000 and a failed iteration, do not arise in our years
        if let Ok((motion, _)) = plan94(tdb1, then, planet.number()) {
            vector = [0, 1, 2].map(|axis| motion[0][axis] - earth_au[axis]);
        }
    }
    vector
}

/// Magnitude at 1 au from Sun and Earth.
///
/// The expressions of the *Explanatory Supplement to the Astronomical Almanac* (as in Meeus 1998, *Astronomical
/// Algorithms*, chapter 41), G. Müller's for Saturn's rings, with the phase angle for the difference in longitude.
fn own_magnitude(planet: Planet, phase_angle_deg: f64, from_earth_au: [f64; 3]) -> f64 {
    let i = phase_angle_deg;
    match planet {
        Planet::Mercury => -0.42 + i * (0.0380 + i * (-0.000273 + i * 0.000002)),
        Planet::Venus => -4.40 + i * (0.0009 + i * (0.000239 - i * 0.00000065)),
        Planet::Mars => -1.52 + 0.016 * i,
        Planet::Jupiter => -9.40 + 0.005 * i,
        Planet::Saturn => {
            let tilt = saturn_ring_tilt_sine(from_earth_au).abs();
            -8.88 + 0.044 * i + tilt * (-2.60 + 1.25 * tilt)
        }
    }
}

/// Sine of the Earth's height above the plane of Saturn's rings.
fn saturn_ring_tilt_sine(from_earth_au: [f64; 3]) -> f64 {
    let (ra, dec) = (SATURN_POLE_DEG.0.to_radians(), SATURN_POLE_DEG.1.to_radians());
    let pole = [dec.cos() * ra.cos(), dec.cos() * ra.sin(), dec.sin()];
    let along: f64 = pole.iter().zip(&from_earth_au).map(|(p, v)| p * v).sum();
    -along / length(from_earth_au)
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::GeoPosition;

    /// The book prints one decimal.
    const PRINTED_TOLERANCE_MAG: f64 = 0.1;
    /// The book prints the tilt to 0.001°; the pole is a newer one.
    const TILT_TOLERANCE_DEG: f64 = 0.1;

    fn sky_at(text: &str) -> ObserverSky {
        ObserverSky::new(text.parse().unwrap(), GeoPosition::new(50.0, 0.0, 0.0).unwrap()).unwrap()
    }

    #[test]
    fn venus_and_saturn_are_as_bright_as_in_meeus() {
        // Meeus 1998, examples 41.c and 41.d; for Saturn he prints 0.9 with Müller's constant -8.68, to which the
        // Almanac's is 0.20 brighter
        let venus = sky_at("1992-12-20T00:00:00Z").planet(Planet::Venus);
        let saturn = sky_at("1992-12-16T00:00:00Z").planet(Planet::Saturn);
        assert!((venus.v_mag + 4.2).abs() < PRINTED_TOLERANCE_MAG);
        assert!((saturn.v_mag - (0.9 - 0.2)).abs() < PRINTED_TOLERANCE_MAG);
    }

    #[test]
    fn saturns_rings_tilt_as_in_meeus() {
        // Meeus 1998, example 45.a: B = 16.442°
        let sine = saturn_ring_tilt_sine(from_earth_au(&sky_at("1992-12-16T00:00:00Z"), Planet::Saturn));
        assert!((sine.asin().to_degrees() - 16.442).abs() < TILT_TOLERANCE_DEG);
    }
}
