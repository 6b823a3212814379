use serde::{Deserialize, Serialize};

use crate::{JobError, LensProfile, SharpestStars};

/// A camera body, as far as light is concerned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CameraBody {
    /// What its owner calls it.
    pub name: String,
    /// Distance between pixel centres, micrometres.
    pub pixel_um: f64,
    /// Picture width, pixels.
    pub width_px: u32,
    /// Picture height, pixels.
    pub height_px: u32,
    /// Peak quantum efficiency of the red, green and blue pixels, filter included, 0..1.
    pub peak_quantum_efficiency: [f64; 3],
    /// Read noise at the ISO used at night, electrons.
    pub read_noise_e: f64,
    /// Full well at base ISO, electrons.
    pub full_well_e: f64,
    /// Base ISO.
    pub base_iso: f64,
}

/// A lens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Lens {
    /// What its owner calls it.
    pub name: String,
    /// Focal length, mm.
    pub focal_mm: f64,
    /// Widest f-number used at night.
    pub f_number: f64,
    /// Share of light that comes through the glass, 0..1.
    pub transmission: f64,
    /// How it maps angles to the picture.
    #[serde(default)]
    pub projection: LensProjection,
    /// How much darker the far corner is than the middle, wide open, stops.
    #[serde(default = "default_corner_loss_stops")]
    pub corner_loss_stops: f64,
    /// The lens on this camera as stars showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional = nullable))]
    pub profile: Option<LensProfile>,
    /// The sharpest stars it is known to make on this camera.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional = nullable))]
    pub sharpest: Option<SharpestStars>,
}

/// A fast wide lens wide open loses this much by its mount and glass, beside the natural fall-off (common practice).
fn default_corner_loss_stops() -> f64 {
    1.0
}

/// How a lens maps the angle off axis to the distance from the middle of the picture.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum LensProjection {
    /// Straight lines stay straight.
    #[default]
    Rectilinear,
    /// Fisheye that keeps shapes.
    Stereographic,
    /// Fisheye with even scale along the radius.
    Equidistant,
    /// Fisheye that keeps areas; most fisheyes for photography.
    Equisolid,
    /// Fisheye with a crowded edge.
    Orthographic,
}

impl From<optics::Projection> for LensProjection {
    fn from(projection: optics::Projection) -> Self {
        match projection {
            optics::Projection::Rectilinear => Self::Rectilinear,
            optics::Projection::Stereographic => Self::Stereographic,
            optics::Projection::Equidistant => Self::Equidistant,
            optics::Projection::Equisolid => Self::Equisolid,
            optics::Projection::Orthographic => Self::Orthographic,
        }
    }
}

impl From<LensProjection> for optics::Projection {
    fn from(projection: LensProjection) -> Self {
        match projection {
            LensProjection::Rectilinear => Self::Rectilinear,
            LensProjection::Stereographic => Self::Stereographic,
            LensProjection::Equidistant => Self::Equidistant,
            LensProjection::Equisolid => Self::Equisolid,
            LensProjection::Orthographic => Self::Orthographic,
        }
    }
}

/// What limits a long evening: card, battery, and what the camera lets its owner set.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct KitLimits {
    /// Free space on the card, GB.
    #[serde(default)]
    pub card_gb: Option<f64>,
    /// Size of one stored frame, MB.
    #[serde(default)]
    pub frame_mb: Option<f64>,
    /// Frames a full battery is rated for at room temperature.
    #[serde(default)]
    pub battery_frames: Option<f64>,
    /// Longest exposure the camera can be set to, s (phones).
    #[serde(default)]
    pub longest_exposure_s: Option<f64>,
    /// Highest ISO the camera can be set to.
    #[serde(default)]
    pub highest_iso: Option<f64>,
    /// Whether the aperture is fixed (phones).
    #[serde(default)]
    pub fixed_aperture: bool,
}

/// A camera body and a lens, with the exposure its owner would start with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Kit {
    /// What its owner calls it.
    pub name: String,
    /// The body.
    pub camera: CameraBody,
    /// The lens.
    pub lens: Lens,
    /// Exposure time counted on for a faint aurora, s.
    pub exposure_s: f64,
    /// ISO counted on.
    pub iso: f64,
    /// Card, battery and what can be set.
    #[serde(default)]
    pub limits: KitLimits,
}

impl Kit {
    /// A plain full-frame body with a fast wide lens: the kit where none is given.
    ///
    /// Numbers of the trade, not of one product: 6 um pixels, half of the green light counted, 1.8 electrons of
    /// read noise.
    pub fn plain() -> Self {
        Self {
            name: "Full frame, 20 mm f/1.8".to_owned(),
            camera: CameraBody {
                name: "a full-frame body of 24 megapixels".to_owned(),
                pixel_um: 5.95,
                width_px: 6048,
                height_px: 4024,
                peak_quantum_efficiency: [0.40, 0.50, 0.43],
                read_noise_e: 1.8,
                full_well_e: 60_000.0,
                base_iso: 100.0,
            },
            lens: Lens {
                name: "a 20 mm f/1.8".to_owned(),
                focal_mm: 20.0,
                f_number: 1.8,
                transmission: 0.88,
                projection: LensProjection::Rectilinear,
                corner_loss_stops: 1.0,
                profile: None,
                sharpest: None,
            },
            exposure_s: 5.0,
            iso: 3200.0,
            limits: KitLimits::default(),
        }
    }

    /// Checks everything the types cannot.
    ///
    /// # Errors
    ///
    /// A number that no camera or lens has: zero pitch, an f-number of 0, an efficiency over 1.
    pub fn check(&self) -> Result<(), JobError> {
        let camera = &self.camera;
        JobError::check("kit.camera.pixel_um", camera.pixel_um, 0.3, 50.0, "micrometres")?;
        JobError::check("kit.camera.width_px", f64::from(camera.width_px), 64.0, 60_000.0, "pixels")?;
        JobError::check("kit.camera.height_px", f64::from(camera.height_px), 64.0, 60_000.0, "pixels")?;
        for efficiency in camera.peak_quantum_efficiency {
            JobError::check(
                "kit.camera.peak_quantum_efficiency",
                efficiency,
                0.01,
                1.0,
                "for each of red, green, blue",
            )?;
        }
        JobError::check("kit.camera.read_noise_e", camera.read_noise_e, 0.0, 1000.0, "electrons")?;
        JobError::check("kit.camera.full_well_e", camera.full_well_e, 100.0, 1e7, "electrons")?;
        JobError::check("kit.camera.base_iso", camera.base_iso, 10.0, 10_000.0, "for base ISO")?;
        JobError::check("kit.lens.focal_mm", self.lens.focal_mm, 1.0, 3000.0, "mm")?;
        JobError::check("kit.lens.f_number", self.lens.f_number, 0.5, 64.0, "for the f-number")?;
        JobError::check("kit.lens.transmission", self.lens.transmission, 0.05, 1.0, "for transmission")?;
        JobError::check("kit.lens.corner_loss_stops", self.lens.corner_loss_stops, 0.0, 8.0, "stops")?;
        self.lens.profile.as_ref().map_or(Ok(()), LensProfile::check)?;
        self.lens.sharpest.as_ref().map_or(Ok(()), SharpestStars::check)?;
        self.limits.check()?;
        JobError::check("kit.exposure_s", self.exposure_s, 1e-4, 3600.0, "s")?;
        JobError::check("kit.iso", self.iso, 10.0, 1e7, "for ISO")?;
        Ok(())
    }
}

impl KitLimits {
    fn check(&self) -> Result<(), JobError> {
        let ranges = [
            ("card_gb", self.card_gb, 0.0, 100_000.0, "GB"),
            ("frame_mb", self.frame_mb, 0.01, 2000.0, "MB"),
            ("battery_frames", self.battery_frames, 1.0, 1e6, "frames"),
            ("longest_exposure_s", self.longest_exposure_s, 1e-4, 36_000.0, "s"),
            ("highest_iso", self.highest_iso, 10.0, 1e7, "for ISO"),
        ];
        for (name, value, low, high, unit) in ranges {
            if let Some(value) = value {
                JobError::check(&format!("kit.limits.{name}"), value, low, high, unit)?;
            }
        }
        Ok(())
    }
}
