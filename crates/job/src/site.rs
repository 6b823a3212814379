use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use crate::JobError;

/// How dark the sky of a site is when neither moon, twilight nor aurora lights it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SkyQuality {
    /// Measured at the zenith with a meter, V magnitudes per square arcsecond.
    Measured {
        /// The reading, mag/arcsec².
        zenith_mag_arcsec2: f64,
    },
    /// Class 1 (darkest) to 9 on Bortle's scale, by eye.
    Bortle {
        /// The class, 1 to 9.
        class: u8,
    },
    /// Not measured: estimated from the towns around.
    FromTowns,
}

/// One corner of a horizon profile.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct HorizonPoint {
    /// Azimuth from true north through east, degrees.
    pub azimuth_deg: f64,
    /// Altitude of the skyline there, degrees.
    pub altitude_deg: f64,
}

/// A stretch of bearings with water in front, in which the sky may be mirrored.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WaterBearing {
    /// First azimuth, degrees; the stretch runs from here through east (clockwise).
    pub from_deg: f64,
    /// Last azimuth, degrees.
    pub to_deg: f64,
    /// Whether it lies in the lee (a pond, a narrow bay): it stays flat in more wind than open water.
    #[serde(default)]
    pub sheltered: bool,
}

/// Something that stands in front: a hut, a tree line, a boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ForegroundObject {
    /// What it is.
    pub name: String,
    /// Azimuth of its middle, degrees.
    pub bearing_deg: f64,
    /// How far away, m.
    pub distance_m: f64,
    /// How much higher its top is than the camera, m.
    pub height_m: f64,
    /// How wide, m.
    pub width_m: f64,
}

/// A place to stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Site {
    /// What people call it.
    pub name: String,
    /// Where it is.
    pub position: GeoPosition,
    /// IANA zone for every time shown ("Europe/Oslo"); "UTC" where it does not matter.
    pub time_zone: String,
    /// How dark it is.
    pub sky_quality: SkyQuality,
    /// The skyline, in any order; empty means a flat horizon. Straight lines between corners.
    #[serde(default)]
    pub horizon: Vec<HorizonPoint>,
    /// Whether the ground is snow-covered (it lightens moonlit and town-lit skies).
    #[serde(default)]
    pub snow_cover: bool,
    /// Remarks on roads, ground and owner, as the keeper of the site wrote them.
    #[serde(default)]
    pub notes: String,
    /// Where water lies in front.
    #[serde(default)]
    pub water: Vec<WaterBearing>,
    /// What stands in front.
    #[serde(default)]
    pub foreground: Vec<ForegroundObject>,
    /// Minutes on the road from where the keeper usually starts; none where not known.
    #[serde(default)]
    pub drive_minutes: Option<f64>,
}

impl Site {
    /// A site of which only the place is known: flat horizon, sky judged from the towns around, times in UTC.
    pub fn bare(name: impl Into<String>, position: GeoPosition) -> Self {
        Self {
            name: name.into(),
            position,
            time_zone: "UTC".to_owned(),
            sky_quality: SkyQuality::FromTowns,
            horizon: Vec::new(),
            snow_cover: false,
            notes: String::new(),
            water: Vec::new(),
            foreground: Vec::new(),
            drive_minutes: None,
        }
    }
}

impl Site {
    /// Checks everything the types cannot.
    ///
    /// # Errors
    ///
    /// A sky quality or horizon outside its range, an unknown time zone.
    pub fn check(&self) -> Result<(), JobError> {
        match self.sky_quality {
            SkyQuality::Measured { zenith_mag_arcsec2 } => {
                JobError::check("site.sky_quality.zenith_mag_arcsec2", zenith_mag_arcsec2, 14.0, 22.2, "mag/arcsec2")?;
            }
            SkyQuality::Bortle { class } => {
                JobError::check("site.sky_quality.class", f64::from(class), 1.0, 9.0, "on Bortle's scale")?;
            }
            SkyQuality::FromTowns => {}
        }
        for (index, point) in self.horizon.iter().enumerate() {
            JobError::check(&format!("site.horizon[{index}].altitude_deg"), point.altitude_deg, -5.0, 90.0, "degrees")?;
            JobError::check(
                &format!("site.horizon[{index}].azimuth_deg"),
                point.azimuth_deg,
                -360.0,
                720.0,
                "degrees",
            )?;
        }
        self.check_surroundings()?;
        self.zone().map(|_| ())
    }

    fn check_surroundings(&self) -> Result<(), JobError> {
        for (index, water) in self.water.iter().enumerate() {
            for (name, bearing) in [("from_deg", water.from_deg), ("to_deg", water.to_deg)] {
                JobError::check(&format!("site.water[{index}].{name}"), bearing, -360.0, 720.0, "degrees")?;
            }
        }
        for (index, object) in self.foreground.iter().enumerate() {
            let field = format!("site.foreground[{index}]");
            JobError::check(&format!("{field}.bearing_deg"), object.bearing_deg, -360.0, 720.0, "degrees")?;
            JobError::check(&format!("{field}.distance_m"), object.distance_m, 0.1, 200_000.0, "m")?;
            JobError::check(&format!("{field}.height_m"), object.height_m, -1000.0, 9000.0, "m")?;
            JobError::check(&format!("{field}.width_m"), object.width_m, 0.0, 100_000.0, "m")?;
        }
        if let Some(minutes) = self.drive_minutes {
            JobError::check("site.drive_minutes", minutes, 0.0, 72.0 * 60.0, "minutes")?;
        }
        Ok(())
    }

    /// The site's time zone, from the zone table compiled into the program.
    ///
    /// # Errors
    ///
    /// The name is not an IANA zone.
    pub fn zone(&self) -> Result<jiff::tz::TimeZone, JobError> {
        jiff::tz::TimeZoneDatabase::bundled()
            .get(&self.time_zone)
            .map_err(|_unknown| JobError::UnknownTimeZone { name: self.time_zone.clone() })
    }

    /// Altitude of the skyline at an azimuth, degrees.
    pub fn skyline_deg(&self, azimuth_deg: f64) -> f64 {
        let azimuth = quantity::wrap_degrees_360(azimuth_deg);
        let mut corners: Vec<(f64, f64)> =
            self.horizon.iter().map(|p| (quantity::wrap_degrees_360(p.azimuth_deg), p.altitude_deg)).collect();
        if corners.is_empty() {
            return 0.0;
        }
        corners.sort_by(|a, b| a.0.total_cmp(&b.0));
        let after = corners.partition_point(|corner| corner.0 <= azimuth);
        let last = corners.len() - 1;
        let before = if after == 0 { corners[last] } else { corners[after - 1] };
        let next = if after > last { corners[0] } else { corners[after] };
        let span = quantity::wrap_degrees_360(next.0 - before.0);
        if span <= 0.0 {
            return before.1;
        }
        let share = quantity::wrap_degrees_360(azimuth - before.0) / span;
        before.1 + share * (next.1 - before.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bay(horizon: &[(f64, f64)]) -> Site {
        Site {
            time_zone: "Europe/Oslo".into(),
            horizon: horizon
                .iter()
                .map(|&(azimuth_deg, altitude_deg)| HorizonPoint { azimuth_deg, altitude_deg })
                .collect(),
            ..Site::bare("Test bay", GeoPosition::new(69.0, 15.0, 0.0).unwrap())
        }
    }

    #[test]
    fn the_skyline_is_joined_across_north() {
        let site = bay(&[(350.0, 2.0), (10.0, 4.0), (180.0, 0.0)]);
        assert!((site.skyline_deg(0.0) - 3.0).abs() < 1e-9);
        assert!((site.skyline_deg(355.0) - 2.5).abs() < 1e-9);
        assert!((site.skyline_deg(10.0) - 4.0).abs() < 1e-9);
    }

    #[test]
    fn a_site_without_profile_has_a_flat_horizon() {
        assert!(bay(&[]).skyline_deg(123.0).abs() < f64::EPSILON);
        assert!((bay(&[(90.0, 5.0)]).skyline_deg(270.0) - 5.0).abs() < f64::EPSILON);
    }

    #[test]
    fn an_unknown_zone_is_named() {
        let mut site = bay(&[]);
        site.time_zone = "Mars/Olympus".into();
        assert!(site.check().unwrap_err().to_string().contains("Mars/Olympus"));
    }
}
