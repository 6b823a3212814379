use serde::{Deserialize, Serialize};

use super::mesh::Mesh;
use super::moments::Moments;

/// How stars are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct StarSearch {
    /// Least significance of a star: height of the matched filter's answer over its noise. Above 0; 5 is common practice,
    /// about one false star in a million places of pure noise.
    pub threshold_sigma: f64,
    /// Stars measured at most, the most significant ones.
    pub most_stars: usize,
    /// Sample value from which a pixel is full, in the plane's unit; found from the picture if `None`.
    pub saturation: Option<f64>,
}

impl Default for StarSearch {
    fn default() -> Self {
        Self { threshold_sigma: 5.0, most_stars: 5000, saturation: None }
    }
}

/// One star. Lengths in pixels, pixel centres at whole numbers, the first pixel at (0, 0), y down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Star {
    /// Centre, from the left.
    pub x_px: f64,
    /// Centre, from the top.
    pub y_px: f64,
    /// Light within two FWHM of the centre less the sky, in the plane's unit times pixels.
    pub flux: f64,
    /// Highest sample less the sky.
    pub peak: f64,
    /// Level of the sky around it.
    pub background: f64,
    /// Second moments in a Gaussian window made to fit the star: they weigh the core, not the wings.
    pub moments: Moments,
    /// Full width at half maximum of the round Gaussian with those moments.
    pub fwhm_px: f64,
    /// Diameter of the circle that holds half of the flux; wings count.
    pub hfd_px: f64,
    /// `1 - b/a`.
    pub elongation: f64,
    /// Long axis from +x towards +y (down), degrees, -90 to 90.
    pub angle_deg: f64,
    /// Significance: height of the matched filter's answer over its noise.
    pub snr: f64,
    /// Whether its pixels are full; its shape and flux then mean little.
    pub saturated: bool,
    /// Whether its own shape could be measured; a faint star's shape is only a guess near the typical one.
    pub shape_measured: bool,
}

impl Star {
    /// Square of the distance to another star, px²: what a search among all pairs compares.
    pub(crate) fn apart_px2(&self, other: &Self) -> f64 {
        (self.x_px - other.x_px).powi(2) + (self.y_px - other.y_px).powi(2)
    }
}

/// What most stars of a plane look like.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct StarShape {
    /// Median second moments.
    pub moments: Moments,
    /// Of those moments.
    pub fwhm_px: f64,
    /// Median half-flux diameter.
    pub hfd_px: f64,
    /// `1 - b/a` of those moments.
    pub elongation: f64,
    /// Long axis of those moments, from +x towards +y, degrees.
    pub angle_deg: f64,
    /// Stars it is the median of.
    pub stars: usize,
}

/// Something a reader of the field should know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "note")]
#[non_exhaustive]
pub enum StarNote {
    /// Too few stars are alike to say what a star looks like here; patches about 2.5 px wide were looked for.
    NoTypicalShape,
    /// Bright patches differ from each other by more than the stars of any lens: foreground, clouds or noise, hardly stars.
    UnlikePatches,
    /// More stars were found than asked for.
    NotAllMeasured {
        /// Stars left out, all of them fainter.
        left_out: usize,
    },
    /// Patches of light taken for hot pixels or cosmic rays.
    Dots {
        /// How many.
        count: usize,
    },
    /// Patches that are part of a line: satellites, aircraft, branches, edges, auroral bands.
    Ridges {
        /// How many peaks of lines.
        count: usize,
    },
    /// Patches in the wings of a much brighter star.
    Wings {
        /// How many.
        count: usize,
    },
    /// Patches much wider than a star: lamps, cloud, glow.
    Wide {
        /// How many.
        count: usize,
    },
}

/// Stars of a plane, the most significant first, and what they stand on.
#[derive(Debug, Clone, PartialEq)]
pub struct StarField {
    /// Columns and rows of the plane.
    pub size_px: [usize; 2],
    /// Stars, the most significant first.
    pub stars: Vec<Star>,
    /// Level of the sky.
    pub background: Mesh,
    /// Noise of one pixel.
    pub noise: Mesh,
    /// What most stars look like; `None` where too few say so.
    pub typical: Option<StarShape>,
    /// What the reader should know.
    pub notes: Vec<StarNote>,
}
