//! The level of no light.

use optics::Channel;
use serde::{Deserialize, Serialize};

use super::fit::median;
use super::geometry::Geometry;
use crate::window::Windows;
use crate::{FileKind, Frame};

/// How the level of no light is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BlackLevel {
    /// It was given.
    Given,
    /// The raw file tells it, and it was taken off.
    File,
    /// The corners outside the image of an all-sky lens show it.
    DarkCorners,
    /// A developed picture is taken to begin at 0.
    Developed,
    /// Nobody tells it: differences of levels can be measured, a level alone cannot.
    Unknown,
}

/// Angle off the axis beyond which no lens forms an image, degrees: the widest fisheyes for all-sky work reach 95.
const BEYOND_IMAGE_DEG: f64 = 105.0;
/// Places along the long side at which the corners are looked at.
const PLACES_ALONG: usize = 48;
/// Samples along one side of a place.
const PLACE_SAMPLES: usize = 8;
/// Fewest dark places.
const LEAST_PLACES: usize = 16;
/// Scatter of the dark places, as a share of their distance from the sky, from which they are not simply dark.
const MOST_SCATTER_SHARE: f64 = 0.2;

/// Levels of no light in each channel with their errors, and how they are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Black {
    pub(crate) source: BlackLevel,
    pub(crate) level: [f64; 3],
    pub(crate) sigma: [f64; 3],
}

impl Black {
    pub(crate) fn of(
        frame: &Frame,
        windows: &Windows<'_>,
        geometry: Option<&Geometry<'_>>,
        given: Option<f64>,
    ) -> Self {
        if let Some(level) = given {
            return Self { source: BlackLevel::Given, level: [level; 3], sigma: [0.0; 3] };
        }
        let plain = |source| Self { source, level: [0.0; 3], sigma: [0.0; 3] };
        if matches!(frame.kind, FileKind::Dng | FileKind::CameraRaw) && frame.linearity.is_linear() {
            return plain(BlackLevel::File);
        }
        if let Some(corners) = geometry.and_then(|geometry| corners(windows, geometry)) {
            return corners;
        }
        plain(if frame.linearity.is_linear() { BlackLevel::Unknown } else { BlackLevel::Developed })
    }
}

fn corners(windows: &Windows<'_>, geometry: &Geometry<'_>) -> Option<Black> {
    let [columns, rows] = windows.size;
    let step = columns.max(rows).div_ceil(PLACES_ALONG).max(PLACE_SAMPLES);
    let beyond = BEYOND_IMAGE_DEG.to_radians().cos();
    let (mut dark, mut lit) = (Vec::new(), Vec::new());
    for row in (0..rows.saturating_sub(PLACE_SAMPLES)).step_by(step) {
        for column in (0..columns.saturating_sub(PLACE_SAMPLES)).step_by(step) {
            let middle = [column, row].map(|c| (c + PLACE_SAMPLES / 2) as f64 * windows.sample_px as f64);
            // a lens whose law ends before has no image there either
            match geometry.cos_off_axis(middle) {
                Some(cos) if cos > 0.0 => lit.push([column, row]),
                Some(cos) if cos > beyond => {}
                Some(_) | None => dark.push([column, row]),
            }
        }
    }
    if dark.len() < LEAST_PLACES || lit.len() < LEAST_PLACES {
        return None;
    }
    let mut black = Black { source: BlackLevel::DarkCorners, level: [0.0; 3], sigma: [0.0; 3] };
    let mut buffer = Vec::new();
    for channel in Channel::ALL {
        let mut levels = |places: &[[usize; 2]]| -> Option<(f64, f64)> {
            let mut medians: Vec<f64> = places
                .iter()
                .filter_map(|corner| {
                    windows.read(channel, *corner, [PLACE_SAMPLES; 2], &mut buffer);
                    let mut values: Vec<f64> = buffer.iter().map(|v| f64::from(*v)).filter(|v| v.is_finite()).collect();
                    median(&mut values)
                })
                .collect();
            let level = median(&mut medians)?;
            let mut distances: Vec<f64> = medians.iter().map(|value| (value - level).abs()).collect();
            Some((level, 1.4826 * median(&mut distances)?))
        };
        let (level, scatter) = levels(&dark)?;
        let (sky, _) = levels(&lit)?;
        if scatter > MOST_SCATTER_SHARE * (sky - level) {
            return None;
        }
        black.level[channel.index()] = level;
        black.sigma[channel.index()] = scatter;
    }
    Some(black)
}
