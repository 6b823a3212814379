//! Sun and Moon together, at any instant from any place.

use jiff::Timestamp;
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use crate::error::SkyError;
use crate::frame::{Ground, Turning};
use crate::moon::MoonPlace;
use crate::series::{Arguments, moon_ecliptic, sun_ecliptic};
use crate::sun::SunPlace;
use crate::time::Clocks;

/// Sun and Moon at one instant from one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SunMoon {
    /// The Sun.
    pub sun: SunPlace,
    /// The Moon.
    pub moon: MoonPlace,
}

/// Sun and Moon at an instant from a place.
///
/// Airless topocentric places; see [`SunPlace`] and [`MoonPlace`] for what they hold and how well. Refraction is
/// [`crate::Air`]'s work.
///
/// # Errors
///
/// [`SkyError::InstantOutOfRange`] before 1950 or after 2099.
///
/// # Example
///
/// ```
/// use quantity::GeoPosition;
///
/// let tromso = GeoPosition::new(69.65, 18.96, 10.0)?;
/// let bodies = sky::sun_moon("2026-12-21T11:00:00Z".parse()?, tromso)?;
/// assert!(bodies.sun.horizontal.altitude_deg < -2.0); // noon in the polar night
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sun_moon(at: Timestamp, place: GeoPosition) -> Result<SunMoon, SkyError> {
    Ok(SkyInstant::at(at)?.sun_moon(place))
}

/// Sun and Moon seen from the Earth's centre at one instant: worked out once, then used for many places.
///
/// ```
/// use quantity::GeoPosition;
///
/// let instant = sky::SkyInstant::at("2026-03-20T20:00:00Z".parse()?)?;
/// for latitude_deg in [60.0, 65.0, 70.0] {
///     let bodies = instant.sun_moon(GeoPosition::new(latitude_deg, 20.0, 0.0)?);
///     assert!(bodies.sun.horizontal.altitude_deg < 0.0);
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Copy)]
pub struct SkyInstant {
    turning: Turning,
    sun_km: [f64; 3],
    moon_km: [f64; 3],
    moon_distance_km: f64,
    elongation_deg: f64,
}

impl SkyInstant {
    /// The geocentric sky at an instant.
    ///
    /// # Errors
    ///
    /// [`SkyError::InstantOutOfRange`] before 1950 or after 2099.
    pub fn at(at: Timestamp) -> Result<Self, SkyError> {
        Ok(Self::from_clocks(&Clocks::at(at)?))
    }

    pub(crate) fn from_clocks(clocks: &Clocks) -> Self {
        let arguments = Arguments::at(clocks);
        let turning = Turning::at(clocks, &arguments);
        let sun = sun_ecliptic(&arguments);
        let moon = moon_ecliptic(&arguments);
        Self {
            turning,
            sun_km: turning.equatorial_km(&sun),
            moon_km: turning.equatorial_km(&moon),
            moon_distance_km: moon.distance_km,
            elongation_deg: (moon.longitude_rad - sun.longitude_rad).to_degrees(),
        }
    }

    /// Sun and Moon from one place.
    pub fn sun_moon(&self, place: GeoPosition) -> SunMoon {
        self.seen_from(Ground::new(place))
    }

    pub(crate) fn seen_from(&self, ground: Ground) -> SunMoon {
        let horizon = self.turning.horizon(ground);
        let sun_km = horizon.east_north_up_km(self.sun_km);
        let moon_km = horizon.east_north_up_km(self.moon_km);
        SunMoon {
            sun: SunPlace::from_vector(sun_km),
            moon: MoonPlace::from_vectors(moon_km, sun_km, self.moon_distance_km, self.elongation_deg),
        }
    }
}
