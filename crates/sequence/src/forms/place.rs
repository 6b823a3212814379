//! Where a form lies: magnetic latitude, magnetic local time, and how far from the oval's equatorward border.

use geomag::FieldModel;
use quantity::{GeoPosition, Horizontal, Timestamp};
use serde::{Deserialize, Serialize};

use crate::keogram::EARTH_RADIUS_KM;

/// Height error of light whose height is assumed, as a share of it: 10 of 110 km (means of 114 to 117 km over Lapland, lower edge
/// 105; Whiter et al., *Ann. Geophys.* 41, 1, 2023).
const HEIGHT_SHARE: f64 = 0.1;
/// Altitude below which the layer is not followed, degrees.
const LEAST_ALTITUDE_DEG: f64 = 2.0;

/// Where a camera stands in magnetic coordinates, and how disturbed the field was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagneticStand {
    /// Magnetic latitude above the camera at the height of the light, as models of the oval use it, degrees, without its sign.
    pub latitude_deg: f64,
    /// Magnetic local time, hours.
    pub local_time_h: f64,
    /// Kp of the three hours, 0 to 9, where it is known.
    pub kp: Option<f64>,
}

impl MagneticStand {
    /// Of a place and an instant.
    ///
    /// * `height_km`: of the light.
    ///
    /// None outside the span of the field model (1975 to 2030).
    pub fn of(place: GeoPosition, at: Timestamp, height_km: f64, kp: Option<f64>) -> Option<Self> {
        let field = FieldModel::at(at).ok()?;
        let above = geomag::trace(&field, place.latitude_deg(), place.longitude_deg(), height_km).ok()?;
        let local_time_h = geomag::magnetic_local_time_h(above.qd_lon_deg, at, &field);
        Some(Self { latitude_deg: above.model_lat_deg.abs(), local_time_h, kp })
    }

    /// The place of light so many km poleward of the camera.
    ///
    /// * `altitude_deg`: of its middle, for the error; `direction_sigma_deg`: one standard deviation of that altitude.
    pub fn place_of(&self, poleward_km: f64, height_km: f64, altitude_deg: f64, direction_sigma_deg: f64) -> FormPlace {
        let degrees = |km: f64| (km / (EARTH_RADIUS_KM + height_km)).to_degrees();
        let arc_km = |altitude_deg: f64, height_km: f64| layer_arc_km(altitude_deg.max(LEAST_ALTITUDE_DEG), height_km);
        let by_direction = 0.5
            * (arc_km(altitude_deg - direction_sigma_deg, height_km)
                - arc_km((altitude_deg + direction_sigma_deg).min(90.0), height_km));
        let by_height = arc_km(altitude_deg, height_km * (1.0 + HEIGHT_SHARE)) - arc_km(altitude_deg, height_km);
        let latitude_deg = self.latitude_deg + degrees(poleward_km);
        let border_deg = self.kp.map(|kp| aurora::diffuse_border_deg(kp, self.local_time_h));
        FormPlace {
            magnetic_latitude_deg: latitude_deg,
            sigma_deg: degrees(by_direction.hypot(by_height)),
            magnetic_local_time_h: self.local_time_h,
            kp: self.kp,
            equatorward_of_oval_deg: border_deg.map(|border_deg| border_deg - latitude_deg),
        }
    }

    /// The place of light in a direction, by the compass at the camera.
    ///
    /// None outside the span of the field model.
    pub fn place_toward(
        &self,
        camera: GeoPosition,
        at: Timestamp,
        direction: Horizontal,
        height_km: f64,
        direction_sigma_deg: f64,
    ) -> Option<FormPlace> {
        let field = FieldModel::at(at).ok()?.field(camera.latitude_deg(), camera.longitude_deg(), height_km);
        let turn = if field.down_nt < 0.0 { 180.0 } else { 0.0 };
        let off = (direction.azimuth_deg - field.declination_deg() - turn).to_radians();
        let poleward_km = layer_arc_km(direction.altitude_deg.max(LEAST_ALTITUDE_DEG), height_km) * off.cos();
        Some(self.place_of(poleward_km, height_km, direction.altitude_deg, direction_sigma_deg))
    }

    /// Whether it is evening or before: 18 to 1 magnetic local time, when STEVE is seen (20 to 24 typically; from memory).
    pub(super) fn is_evening(&self) -> bool {
        self.local_time_h >= 18.0 || self.local_time_h <= 1.0
    }
}

/// Way along the layer from above the camera to light at an altitude, km.
pub(super) fn layer_arc_km(altitude_deg: f64, height_km: f64) -> f64 {
    let altitude = altitude_deg.to_radians();
    let radius_km = EARTH_RADIUS_KM + height_km;
    radius_km * ((EARTH_RADIUS_KM * altitude.cos() / radius_km).acos() - altitude)
}

/// Where a form lies against the oval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FormPlace {
    /// Magnetic latitude of its middle at the height assumed, degrees, without its sign.
    pub magnetic_latitude_deg: f64,
    /// One standard deviation by direction and height, degrees.
    pub sigma_deg: f64,
    /// Magnetic local time of the camera, hours.
    pub magnetic_local_time_h: f64,
    /// Kp that the oval is drawn for.
    pub kp: Option<f64>,
    /// How far equatorward of the oval's diffuse border for that Kp, degrees; negative: within the oval or poleward of it.
    /// The border itself is good to [`aurora::BORDER_SIGMA_DEG`].
    pub equatorward_of_oval_deg: Option<f64>,
}

impl FormPlace {
    /// One standard deviation of the distance from the border, degrees.
    pub fn border_sigma_deg(&self) -> f64 {
        self.sigma_deg.hypot(aurora::BORDER_SIGMA_DEG)
    }

    /// Whether it lies equatorward of the border by more than its error.
    pub(super) fn is_beyond_oval(&self) -> bool {
        self.equatorward_of_oval_deg.is_some_and(|beyond| beyond > self.border_sigma_deg())
    }

    /// Whether it lies within the oval's border by more than its error.
    pub(super) fn is_within_oval(&self) -> bool {
        self.equatorward_of_oval_deg.is_some_and(|beyond| beyond < -self.border_sigma_deg())
    }

    /// In words.
    pub fn words(&self) -> String {
        let against = match (self.equatorward_of_oval_deg, self.kp) {
            (Some(beyond), Some(kp)) => {
                let (size, side) = (beyond.abs(), if beyond >= 0.0 { "equatorward" } else { "poleward" });
                let sigma = self.border_sigma_deg();
                format!(", {size:.0} +- {sigma:.0} degrees {side} of the oval's equatorward border at Kp {kp:.1}")
            }
            _ => "; no Kp was given to set it against the oval".to_owned(),
        };
        let (latitude, sigma, hour) = (self.magnetic_latitude_deg, self.sigma_deg, self.magnetic_local_time_h);
        format!("at magnetic latitude {latitude:.1} +- {sigma:.1} degrees and {hour:.1} h magnetic local time{against}")
    }
}
