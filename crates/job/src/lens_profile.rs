use frame::{LensModel, LensSolution};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{JobError, LensProjection};

/// A lens on a camera as the stars of one frame showed it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LensProfile {
    /// How it maps angles.
    pub projection: LensProjection,
    /// Focal length, pixels of a picture of `width_px` columns.
    pub focal_px: f64,
    /// Columns of the picture it was measured on.
    pub width_px: u32,
    /// Rows of that picture.
    pub height_px: u32,
    /// Where the optical axis meets the picture, right of and below its middle, pixels.
    pub centre_offset_px: [f64; 2],
    /// Radial distortion `r (1 + k1 r² + k2 r⁴)`, `r` in focal lengths.
    pub k1: f64,
    /// Second coefficient of the distortion.
    pub k2: f64,
    /// Whether the camera stores pictures as in a mirror.
    pub mirrored: bool,
    /// Width of a pixel over its height; the focal length counts heights.
    pub pixel_aspect: f64,
    /// Stars it rests on.
    pub stars: u32,
    /// How far they lie from their places, root mean square, pixels.
    pub residual_px: f64,
    /// When that frame was taken, where it is known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub taken_at: Option<Timestamp>,
    /// The frame's file.
    pub frame: String,
}

/// Sides of a picture and of the profile's in the same proportion within this: scaled, not cut. Half a per cent moves the axis
/// of a picture that was cut on one side by no more than a quarter per cent of that side.
const SAME_SHAPE: f64 = 0.005;

impl LensProfile {
    /// From the stars of a frame of so many columns and rows.
    pub fn of(solution: &LensSolution, [width, height]: [usize; 2], name: &str, taken_at: Option<Timestamp>) -> Self {
        let model = &solution.model;
        let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
        let offset = |centre: f64, pixels: usize| centre - 0.5 * (pixels as f64 - 1.0);
        Self {
            projection: model.projection.into(),
            focal_px: model.focal_px,
            width_px: side(width),
            height_px: side(height),
            centre_offset_px: [offset(model.centre_px[0], width), offset(model.centre_px[1], height)],
            k1: model.k1,
            k2: model.k2,
            mirrored: model.mirrored,
            pixel_aspect: model.pixel_aspect,
            stars: u32::try_from(solution.matched).unwrap_or(u32::MAX),
            residual_px: solution.residual_px,
            taken_at,
            frame: name.to_owned(),
        }
    }

    /// The lens on a picture of another size; `None` for a picture of another shape, which was cut or turned.
    pub fn model_for(&self, [width, height]: [usize; 2]) -> Option<LensModel> {
        let scale = [width as f64 / f64::from(self.width_px), height as f64 / f64::from(self.height_px)];
        if (scale[0] / scale[1] - 1.0).abs() > SAME_SHAPE {
            return None;
        }
        let centre = |pixels: usize, offset: f64, scale: f64| 0.5 * (pixels as f64 - 1.0) + offset * scale;
        Some(LensModel {
            projection: self.projection.into(),
            focal_px: self.focal_px * scale[1],
            centre_px: [
                centre(width, self.centre_offset_px[0], scale[0]),
                centre(height, self.centre_offset_px[1], scale[1]),
            ],
            k1: self.k1,
            k2: self.k2,
            mirrored: self.mirrored,
            pixel_aspect: self.pixel_aspect,
        })
    }

    /// Focal length on a sensor with this pixel pitch and this many columns along its longer side, mm.
    pub fn focal_mm(&self, pixel_um: f64, longer_side_px: u32) -> f64 {
        let longer = f64::from(self.width_px.max(self.height_px));
        self.focal_px * f64::from(longer_side_px) / longer * pixel_um * 1e-3
    }

    pub(crate) fn check(&self) -> Result<(), JobError> {
        let [x, y] = self.centre_offset_px;
        let ranges = [
            ("focal_px", self.focal_px, 1.0, 1e7, "pixels"),
            ("width_px", f64::from(self.width_px), 16.0, 1e5, "pixels"),
            ("height_px", f64::from(self.height_px), 16.0, 1e5, "pixels"),
            ("centre_offset_px", x, -1e5, 1e5, "pixels"),
            ("centre_offset_px", y, -1e5, 1e5, "pixels"),
            ("k1", self.k1, -10.0, 10.0, "for k1"),
            ("k2", self.k2, -10.0, 10.0, "for k2"),
            ("pixel_aspect", self.pixel_aspect, 0.1, 10.0, "for a pixel's proportion"),
        ];
        for (name, value, low, high, unit) in ranges {
            JobError::check(&format!("kit.lens.profile.{name}"), value, low, high, unit)?;
        }
        Ok(())
    }
}
