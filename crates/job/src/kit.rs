use serde::{Deserialize, Serialize};

use crate::JobError;

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
}

impl Kit {
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
        JobError::check("kit.exposure_s", self.exposure_s, 1e-4, 3600.0, "s")?;
        JobError::check("kit.iso", self.iso, 10.0, 1e7, "for ISO")?;
        Ok(())
    }
}
