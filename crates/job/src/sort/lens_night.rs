//! What one camera with one lens did at its best this night: the measure of its duds.

use std::collections::BTreeMap;

use super::measures;
use super::request::MeasuredFrame;
use super::spread::{median, quantile, sigma};

/// Place in order of the width that counts as this night's best: one frame in ten may be sharper by luck.
const BEST_PLACE: f64 = 0.1;

/// A night with one camera and lens.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct LensNight {
    /// Width of the sharpest stars, px.
    pub(super) best_hfd_px: Option<f64>,
    /// Scatter of widths from frame to frame, relative.
    pub(super) hfd_scatter: f64,
    /// Median trail, px.
    pub(super) trail_px: f64,
    /// Scatter of the trails, px.
    pub(super) trail_sigma_px: f64,
    /// Median level of the sky, stops from mid-grey, over the frames that have one.
    pub(super) sky_stops: Option<f64>,
    /// Median share of the sky that is burnt out.
    pub(super) clipped_share: f64,
    /// Median share of the frame in glare, and its scatter.
    pub(super) glare: (f64, f64),
    /// Frames.
    pub(super) frames: usize,
}

type Key = (Option<String>, Option<String>, Option<i64>, [u32; 2]);

fn key(frame: &MeasuredFrame) -> Key {
    let settings = &frame.report.settings;
    let mut size = frame.report.size_px.unwrap_or_default();
    size.sort_unstable();
    #[expect(clippy::cast_possible_truncation, reason = "a focal length in tenths of a millimetre; saturates")]
    let focal = settings.focal_mm.map(|focal_mm| (10.0 * focal_mm).round() as i64);
    (settings.camera.clone(), settings.lens.clone(), focal, size)
}

/// The nights of all lenses, and which is each frame's.
///
/// * `glare`: share of each frame in the moon's glare, where there is any.
/// * `order`: indices in the order of time.
pub(super) fn nights(
    frames: &[&MeasuredFrame],
    order: &[usize],
    glare: &[Option<f64>],
) -> (Vec<LensNight>, Vec<usize>) {
    let mut groups: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for index in order {
        groups.entry(key(frames[*index])).or_default().push(*index);
    }
    let mut of = vec![0; frames.len()];
    let mut nights = Vec::with_capacity(groups.len());
    for members in groups.into_values() {
        for index in &members {
            of[*index] = nights.len();
        }
        nights.push(night(frames, &members, glare));
    }
    (nights, of)
}

fn night(frames: &[&MeasuredFrame], members: &[usize], glare: &[Option<f64>]) -> LensNight {
    let reports = || members.iter().map(|index| &frames[*index].report);
    let widths: Vec<f64> = reports().filter_map(measures::hfd_px).collect();
    let held: Vec<f64> = reports().filter(|report| measures::held(report)).filter_map(measures::hfd_px).collect();
    let steps: Vec<f64> = widths.windows(2).map(|pair| (pair[1] / pair[0]).ln()).collect();
    let trails: Vec<f64> = reports().filter_map(measures::trail_px).collect();
    let glares: Vec<f64> = members.iter().filter_map(|index| glare[*index]).collect();
    LensNight {
        best_hfd_px: quantile(if held.is_empty() { widths } else { held }, BEST_PLACE),
        // two frames differ by the scatter of both
        hfd_scatter: sigma(&steps).unwrap_or(0.0) / std::f64::consts::SQRT_2,
        trail_px: median(trails.iter().copied()).unwrap_or(0.0),
        trail_sigma_px: sigma(&trails).unwrap_or(0.0),
        sky_stops: median(reports().filter_map(measures::sky_stops)),
        clipped_share: median(reports().filter_map(measures::clipped_share)).unwrap_or(0.0),
        glare: (median(glares.iter().copied()).unwrap_or(0.0), sigma(&glares).unwrap_or(0.0)),
        frames: members.len(),
    }
}
