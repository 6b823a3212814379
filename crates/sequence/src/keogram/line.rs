use geomag::{FieldModel, Sightline};
use quantity::{GeoPosition, Horizontal, Timestamp};
use serde::Serialize;

use crate::SequenceError;

/// Usual peak of green light, km: means of 114 to 117 km over Lapland, lower edge 105 (Whiter et al., *Ann. Geophys.* 41, 1, 2023).
const USUAL_HEIGHT_KM: f64 = 110.0;
/// Finest step of a line, degrees.
const FINEST_DEG: f64 = 0.05;

/// How a line over the sky is divided.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SliceSettings {
    /// Length of a bin along the line, degrees of sky.
    pub step_deg: f64,
    /// Half width of the strip on either side of the line, degrees.
    pub half_width_deg: f64,
    /// Altitude at which the line ends, degrees: below it a degree is hundreds of km, and the air dims the light.
    pub least_altitude_deg: f64,
    /// Height at which the light is taken to be, km.
    pub height_km: f64,
}

impl Default for SliceSettings {
    /// Bins of 1 degree in a strip of 6, down to 10 degrees, light at 110 km.
    fn default() -> Self {
        Self { step_deg: 1.0, half_width_deg: 3.0, least_altitude_deg: 10.0, height_km: USUAL_HEIGHT_KM }
    }
}

/// Where a bin lies if its light is at the height assumed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BinPlace {
    /// Geographic latitude, degrees.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Distance from the observer, km.
    pub slant_km: f64,
    /// Way along the line in the layer from above the observer, km; the sign of the zenith angle.
    pub along_km: f64,
    /// Magnetic latitude as models of the oval use it, degrees; negative in the south. None where it cannot be had.
    pub magnetic_latitude_deg: Option<f64>,
}

/// One bin of a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SliceBin {
    /// Angle from the zenith along the line, degrees: positive toward the line's azimuth.
    pub zenith_angle_deg: f64,
    /// The direction of its middle, as seen.
    pub direction: Horizontal,
    /// Where it lies; none where the line of sight does not reach the height.
    pub place: Option<BinPlace>,
}

/// A great circle through the zenith, in bins, from one side of the sky to the other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SliceLine {
    /// Azimuth of the end toward which angles are positive, degrees from true north through east.
    pub azimuth_deg: f64,
    /// How it is divided.
    pub settings: SliceSettings,
    /// The observer.
    pub observer: GeoPosition,
    /// The bins, from the far side (negative angles) to the azimuth's side.
    pub bins: Vec<SliceBin>,
}

impl SliceLine {
    /// A line toward any azimuth, with magnetic latitudes of a date.
    ///
    /// # Errors
    ///
    /// Settings out of range, or a date outside the field model (1975 to 2030).
    pub fn toward(
        observer: GeoPosition,
        azimuth_deg: f64,
        at: Timestamp,
        settings: SliceSettings,
    ) -> Result<Self, SequenceError> {
        let within = |what, value: f64, low: f64, high: f64, bound| {
            if (low..=high).contains(&value) { Ok(()) } else { Err(SequenceError::OutOfRange { what, value, bound }) }
        };
        within("the azimuth in degrees", azimuth_deg, -720.0, 720.0, "finite")?;
        within("the step of the line in degrees", settings.step_deg, FINEST_DEG, 45.0, "0.05 to 45")?;
        within("the half width of the line in degrees", settings.half_width_deg, 0.0, 45.0, "0 to 45")?;
        within("the least altitude in degrees", settings.least_altitude_deg, 0.0, 80.0, "0 to 80")?;
        within("the height of the light in km", settings.height_km, 60.0, 1000.0, "60 to 1000")?;
        let field = FieldModel::at(at)?;
        let half = ((90.0 - settings.least_altitude_deg) / settings.step_deg).floor();
        #[expect(clippy::cast_possible_truncation, reason = "at most 1800")]
        let half = half as i32;
        let azimuth_deg = quantity::wrap_degrees_360(azimuth_deg);
        let bins = (-half..=half)
            .map(|index| bin(observer, azimuth_deg, f64::from(index) * settings.step_deg, &field, settings.height_km))
            .collect();
        Ok(Self { azimuth_deg, settings, observer, bins })
    }

    /// The magnetic meridian, poleward positive: for a keogram.
    ///
    /// # Errors
    ///
    /// As [`SliceLine::toward`].
    pub fn magnetic_meridian(
        observer: GeoPosition,
        at: Timestamp,
        settings: SliceSettings,
    ) -> Result<Self, SequenceError> {
        Self::toward(observer, poleward_azimuth_deg(observer, at, settings.height_km)?, at, settings)
    }

    /// Across the magnetic meridian, magnetic east positive: for an ewogram.
    ///
    /// # Errors
    ///
    /// As [`SliceLine::toward`].
    pub fn magnetic_east_west(
        observer: GeoPosition,
        at: Timestamp,
        settings: SliceSettings,
    ) -> Result<Self, SequenceError> {
        let poleward_deg = poleward_azimuth_deg(observer, at, settings.height_km)?;
        let southern = field_at(observer, at, settings.height_km)?.down_nt < 0.0;
        let east_deg = if southern { poleward_deg - 90.0 } else { poleward_deg + 90.0 };
        Self::toward(observer, east_deg, at, settings)
    }

    /// The direction at an angle along the line and an angle across it (positive to the right of its azimuth), as seen.
    pub fn direction(&self, zenith_angle_deg: f64, across_deg: f64) -> Horizontal {
        direction(self.azimuth_deg, zenith_angle_deg, across_deg)
    }
}

fn field_at(observer: GeoPosition, at: Timestamp, height_km: f64) -> Result<geomag::FieldVector, SequenceError> {
    Ok(FieldModel::at(at)?.field(observer.latitude_deg(), observer.longitude_deg(), height_km))
}

/// Azimuth of the nearer magnetic pole by the compass at the height of the light.
fn poleward_azimuth_deg(observer: GeoPosition, at: Timestamp, height_km: f64) -> Result<f64, SequenceError> {
    let field = field_at(observer, at, height_km)?;
    Ok(if field.down_nt < 0.0 { field.declination_deg() + 180.0 } else { field.declination_deg() })
}

fn direction(azimuth_deg: f64, zenith_angle_deg: f64, across_deg: f64) -> Horizontal {
    let (sin_az, cos_az) = azimuth_deg.to_radians().sin_cos();
    let (sin_zenith, cos_zenith) = zenith_angle_deg.to_radians().sin_cos();
    let (sin_across, cos_across) = across_deg.to_radians().sin_cos();
    Horizontal::from_east_north_up([
        cos_across * sin_zenith * sin_az + sin_across * cos_az,
        cos_across * sin_zenith * cos_az - sin_across * sin_az,
        cos_across * cos_zenith,
    ])
}

fn bin(observer: GeoPosition, azimuth_deg: f64, angle_deg: f64, field: &FieldModel, height_km: f64) -> SliceBin {
    let direction = direction(azimuth_deg, angle_deg, 0.0);
    let airless = sky::Air::default().airless(direction);
    let place = Sightline::new(observer, airless).at_height_km(height_km).map(|point| {
        let [latitude_deg, longitude_deg] = [point.latitude_deg, point.longitude_deg];
        let ground_km = GeoPosition::new(latitude_deg, longitude_deg, 0.0)
            .map_or(0.0, |under| geomag::ground_distance_km(observer, under));
        // the way in the layer is longer than that on the ground by its radius
        let layer = 1.0 + height_km / EARTH_RADIUS_KM;
        BinPlace {
            latitude_deg,
            longitude_deg,
            slant_km: point.slant_km,
            along_km: ground_km * layer * if angle_deg < 0.0 { -1.0 } else { 1.0 },
            magnetic_latitude_deg: geomag::trace(field, latitude_deg, longitude_deg, height_km)
                .ok()
                .map(|at| at.model_lat_deg),
        }
    });
    SliceBin { zenith_angle_deg: angle_deg, direction, place }
}

/// Mean radius of the Earth, km (IUGG).
pub(crate) const EARTH_RADIUS_KM: f64 = 6371.0;
