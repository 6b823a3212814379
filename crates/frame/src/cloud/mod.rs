//! Cloud in a frame: from the stars that are missing, or from the colour of the light.

mod by_catalogue;
mod by_colour;
mod by_density;
mod regions;

use quantity::Estimate;
use serde::{Deserialize, Serialize};

use crate::sky_mask::features::are_stars;
use crate::{LensSolution, LightMap, SkyMask, StarField};
pub use regions::CloudMap;

/// What the cloud was told by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CloudMethod {
    /// Stars of the catalogue that should be seen, against those that are.
    CatalogueStars,
    /// Stars per area against the frame's own richest parts.
    StarDensity,
    /// White or blue.
    Colour,
}

/// Cloud over the sky of a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct CloudCover {
    /// Share of the sky in the frame that cloud hides or dims by more than [`DIMMED_MAG`], 0..1, with its 68 % range; `None`
    /// where it cannot be told.
    pub fraction: Option<Estimate>,
    /// What told it.
    pub method: Option<CloudMethod>,
    /// Cover by region, where stars told it.
    pub map: Option<CloudMap>,
    /// Stars (or cells, for colour) it rests on.
    pub counted: usize,
    /// Why, or why not.
    pub why: String,
}

/// Loss of a star's light from which its place is under cloud, magnitudes: thin cirrus of optical depth 0.5, which eyes and
/// cameras notice (judgement).
pub const DIMMED_MAG: f64 = 0.6;

impl CloudCover {
    /// Judges a frame.
    ///
    /// * `field`: its stars.
    /// * `cells`: its light.
    /// * `mask`: its sky: what the foreground hides is not cloud.
    /// * `lens`: lens and direction, where the stars say so.
    pub fn of(field: &StarField, cells: &LightMap, mask: &SkyMask, lens: Option<&LensSolution>) -> Self {
        let mut why = Vec::new();
        if let Some(lens) = lens {
            match by_catalogue::cover(field, mask, lens) {
                Ok(cover) => return cover,
                Err(reason) => why.push(reason),
            }
        }
        if are_stars(field) {
            match by_density::cover(field, mask) {
                Ok(cover) => return cover,
                Err(reason) => why.push(reason),
            }
        } else {
            match by_colour::cover(cells, mask) {
                Ok(cover) => return cover,
                Err(reason) => why.push(reason),
            }
        }
        Self { fraction: None, method: None, map: None, counted: 0, why: why.join("; ") }
    }
}
