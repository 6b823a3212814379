//! One site's sky, ready for every instant of a night: sightlines, air, towns, field.

use aurora::{EmissionTable, SkySampler};
use geomag::{FieldModel, MagneticClock, MagneticCoordinates};
use quantity::{Horizontal, Timestamp};
use sky::Extinction;
use sky::background::{Background, MoonLight, SkyConditions, SkyQuality as SkyQualityOfBackground, TownGlow};

use crate::{JobError, Site, SkyQuality};

/// Radius within which towns light a site, km.
const TOWN_RADIUS_KM: f64 = 150.0;
/// Height of green light, at which field lines are labelled, km.
pub(crate) const EMISSION_HEIGHT_KM: f64 = 110.0;

/// What does not change through the night.
pub(crate) struct SiteSky<'a> {
    pub(crate) site: &'a Site,
    pub(crate) field: FieldModel,
    pub(crate) place: MagneticCoordinates,
    pub(crate) magnetic_zenith: Horizontal,
    pub(crate) sampler: SkySampler,
    pub(crate) emission: EmissionTable,
    pub(crate) extinction: Extinction,
    towns: Vec<TownGlow>,
}

/// Sun, moon and the sky's own light at one instant.
pub(crate) struct SkyNow {
    pub(crate) sun: Horizontal,
    pub(crate) moon: Horizontal,
    pub(crate) moon_lit_fraction: f64,
    pub(crate) background: Background,
    pub(crate) clock: MagneticClock,
}

impl<'a> SiteSky<'a> {
    /// Prepares a site for a night around `at`, looking in the directions given.
    pub(crate) fn new(site: &'a Site, at: Timestamp, f107: f64, directions: Vec<Horizontal>) -> Result<Self, JobError> {
        JobError::check("f107", f107, 50.0, 500.0, "solar flux units")?;
        let field = FieldModel::at(at).map_err(|error| JobError::bad("night", error.to_string(), error.hint()))?;
        let (lat, lon) = (site.position.latitude_deg(), site.position.longitude_deg());
        let far = |message: String, hint: String| JobError::bad("site.position", message, hint);
        let place = geomag::trace(&field, lat, lon, EMISSION_HEIGHT_KM)
            .map_err(|error| far(error.to_string(), error.hint()))?;
        let magnetic_zenith = geomag::magnetic_zenith(&field.field(lat, lon, EMISSION_HEIGHT_KM));
        let extinction = Extinction::clear(site.position.height_m());
        let sampler = SkySampler::new(site.position, &field, &extinction, directions)
            .map_err(|error| far(error.to_string(), error.hint()))?;
        let towns = sky::towns::near(site.position, TOWN_RADIUS_KM);
        Ok(Self { site, field, place, magnetic_zenith, sampler, emission: EmissionTable::new(f107), extinction, towns })
    }

    /// Sun, moon and background light at an instant.
    pub(crate) fn at(&self, at: Timestamp) -> Result<SkyNow, JobError> {
        let bodies = sky::sun_moon(at, self.site.position)
            .map_err(|error| JobError::bad("night", error.to_string(), error.hint()))?;
        let (sun, moon) = (bodies.sun.horizontal, bodies.moon.horizontal);
        let conditions = SkyConditions {
            sky_quality: match self.site.sky_quality {
                SkyQuality::Measured { zenith_mag_arcsec2 } => {
                    SkyQualityOfBackground::MeasuredMagArcsec2(zenith_mag_arcsec2)
                }
                SkyQuality::Bortle { class } => SkyQualityOfBackground::Bortle(class),
                SkyQuality::FromTowns => SkyQualityOfBackground::FromTowns,
            },
            sun,
            moon: (moon.altitude_deg > -1.0).then_some(MoonLight {
                direction: moon,
                phase_angle_deg: bodies.moon.phase_angle_deg,
                distance_km: bodies.moon.distance_km,
            }),
            extinction: self.extinction,
            towns: self.towns.clone(),
            snow_cover: self.site.snow_cover,
            ..SkyConditions::default()
        };
        Ok(SkyNow {
            sun,
            moon,
            moon_lit_fraction: bodies.moon.lit_fraction.value(),
            background: Background::new(&conditions),
            clock: MagneticClock::new(&self.field, at),
        })
    }
}
