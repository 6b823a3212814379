use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::light::SkyLight;
use super::mirror::{MirrorStretch, fresnel_reflectance};
use crate::framing::Framing;

/// Nodes along the longer side of the picture.
const LONG_SIDE_NODES: u32 = 49;

/// Predicted green light over the picture.
///
/// Nodes stand evenly from the first pixel to the last: node `i * columns + j` is at
/// `x = j (width - 1) / (columns - 1)`, `y = i (height - 1) / (rows - 1)`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameGrid {
    /// Nodes across.
    pub columns: u32,
    /// Nodes down.
    pub rows: u32,
    /// 557.7 nm of the mean oval as it reaches the observer, kR; none below the horizon and beyond the lens's image.
    pub green_5577_kr: Vec<Option<f64>>,
    /// The same mirrored in water and weakened by its reflectance, kR; none where no water of the site lies.
    pub mirrored_5577_kr: Vec<Option<f64>>,
}

impl FrameGrid {
    pub(super) fn new(light: &SkyLight, framing: &Framing, mirror: &[MirrorStretch]) -> Self {
        let [width, height] = framing.size_px().map(f64::from);
        let across = (f64::from(LONG_SIDE_NODES) * width / width.max(height)).ceil().max(2.0);
        let down = (f64::from(LONG_SIDE_NODES) * height / width.max(height)).ceil().max(2.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "2 to 49")]
        let (columns, rows) = (across as u32, down as u32);
        let place = |n: u32, count: u32, size: f64| f64::from(n) * (size - 1.0) / f64::from(count - 1);
        let directions = (0..rows).flat_map(|i| {
            (0..columns).map(move |j| framing.direction_of([place(j, columns, width), place(i, rows, height)]))
        });
        let mut grid = Self { columns, rows, green_5577_kr: Vec::new(), mirrored_5577_kr: Vec::new() };
        for direction in directions {
            grid.green_5577_kr.push(direction.and_then(|d| above(d, light)));
            grid.mirrored_5577_kr.push(direction.and_then(|d| below(d, light, mirror)));
        }
        grid
    }
}

fn above(direction: Horizontal, light: &SkyLight) -> Option<f64> {
    (direction.altitude_deg >= 0.0).then(|| rounded(light.green_kr(direction)))
}

fn below(direction: Horizontal, light: &SkyLight, mirror: &[MirrorStretch]) -> Option<f64> {
    let wet = direction.altitude_deg < 0.0 && mirror.iter().any(|stretch| stretch.holds(direction.azimuth_deg));
    wet.then(|| {
        let sky = Horizontal::new(-direction.altitude_deg, direction.azimuth_deg);
        rounded(light.green_kr(sky) * fresnel_reflectance(sky.altitude_deg))
    })
}

/// Four decimals: a tenth of a rayleigh.
fn rounded(kr: f64) -> f64 {
    (kr * 1e4).round() / 1e4
}
