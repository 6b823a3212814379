use std::ops::ControlFlow;

use frame::{Frame, FrameError, Layout, Orientation, Star};
use optics::Channel;

/// Part of the picture that is brighter than white in a small copy of numbers that count light.
const WHITE_PLACE: f64 = 0.998;
/// Samples that white is found from.
const WHITE_SAMPLES: usize = 20_000;

/// A picture made small, for looking at: 8 bits of sRGB, row by row, the way up it is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Preview {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green, blue of each pixel.
    pub rgb: Vec<u8>,
    /// Place of each star on it, px, in the order of the stars.
    pub stars: Vec<[f64; 2]>,
    /// Pixels of the frame for one of the copy.
    pub factor: f64,
    /// How rows and columns of the frame became those of the copy.
    orientation: Orientation,
    stored: [usize; 2],
}

impl Preview {
    /// Averages blocks of pixels until the longest side is at most `longest_px`.
    pub(crate) fn of(frame: &Frame, stars: &[Star], longest_px: usize) -> Result<Self, FrameError> {
        let stored = frame.stored_size;
        let step = stored[0].max(stored[1]).div_ceil(longest_px.max(1)).max(1);
        let small = stored.map(|side| side.div_ceil(step));
        let planes = planes(frame, step, small)?;
        let shown = of_planes(frame, small, planes);
        let [width, height] = frame.orientation.displayed_size(small);
        let rgb = turned(frame.orientation, small, &shown);
        let mut preview =
            Self { width, height, rgb, stars: Vec::new(), factor: step as f64, orientation: frame.orientation, stored };
        preview.stars = stars.iter().map(|star| preview.place([star.x_px, star.y_px])).collect();
        Ok(preview)
    }

    /// Where a place of the stored frame lies on the copy, px from its left and top edge.
    pub fn place(&self, position: [f64; 2]) -> [f64; 2] {
        self.orientation.displayed(position, self.stored).map(|px| (px + 0.5) / self.factor)
    }
}

/// Means of blocks of pixels, a plane for each channel that a picture is shown by.
pub(crate) fn planes(frame: &Frame, step: usize, small: [usize; 2]) -> Result<Vec<Vec<f32>>, FrameError> {
    channels(frame).iter().map(|channel| shrunk(frame, *channel, step, small)).collect()
}

/// Light of a small copy by the camera's own white, so that a raw picture is not green; white is 1.
pub(crate) fn balanced(frame: &Frame, mut planes: Vec<Vec<f32>>) -> Vec<Vec<f32>> {
    let neutral = frame.neutral.unwrap_or([1.0; 3]);
    for (plane, channel) in planes.iter_mut().zip(channels(frame)) {
        #[expect(clippy::cast_possible_truncation, reason = "a ratio near one")]
        let share = neutral[channel.index()] as f32;
        for light in plane.iter_mut() {
            *light /= share.max(1e-6);
        }
    }
    planes
}

/// 8 bits of sRGB from the planes of a small copy, as stored.
pub(crate) fn of_planes(frame: &Frame, small: [usize; 2], planes: Vec<Vec<f32>>) -> Vec<u8> {
    let planes = balanced(frame, planes);
    let scale = if frame.linearity.is_linear() { white(&planes).recip() } else { 1.0 };
    let mut rgb = Vec::with_capacity(3 * small[0] * small[1]);
    for cell in 0..small[0] * small[1] {
        for channel in 0..3 {
            let plane = planes.get(channel).or_else(|| planes.first());
            rgb.push(encoded(plane.map_or(0.0, |plane| plane[cell]) * scale));
        }
    }
    rgb
}

/// Pixels as stored brought the way up they are shown.
pub(crate) fn turned(orientation: Orientation, stored: [usize; 2], rgb: &[u8]) -> Vec<u8> {
    let [width, _] = orientation.displayed_size(stored);
    let mut shown = vec![0u8; rgb.len()];
    for (cell, pixel) in rgb.chunks_exact(3).enumerate() {
        let place = [(cell % stored[0]) as f64, (cell / stored[0]) as f64];
        let [column, row] = orientation.displayed(place, stored).map(index);
        if let Some(out) = shown.get_mut((row * width + column) * 3..).and_then(|rest| rest.get_mut(..3)) {
            out.copy_from_slice(pixel);
        }
    }
    shown
}

/// The channels that a picture is shown by.
pub(crate) fn channels(frame: &Frame) -> &'static [Channel] {
    match frame.layout {
        Layout::Grey => &[Channel::Green],
        Layout::Rgb | Layout::Mosaic(_) => &Channel::ALL,
    }
}

pub(crate) fn shrunk(
    frame: &Frame,
    channel: Channel,
    step: usize,
    [columns, rows]: [usize; 2],
) -> Result<Vec<f32>, FrameError> {
    let mut small = Vec::with_capacity(columns * rows);
    let mut sums = vec![(0.0f32, 0.0f32); columns];
    frame.each_row(channel, |y, row| {
        for (sum, samples) in sums.iter_mut().zip(row.chunks(step)) {
            let all: f32 = samples.iter().sum();
            if all.is_finite() {
                sum.0 += all;
                sum.1 += count(samples.len());
            } else {
                for sample in samples.iter().filter(|sample| sample.is_finite()) {
                    sum.0 += sample;
                    sum.1 += 1.0;
                }
            }
        }
        if (y + 1).is_multiple_of(step) || y + 1 == frame.stored_size[1] {
            small.extend(sums.iter().map(|(sum, count)| if *count > 0.0 { sum / count } else { 0.0 }));
            sums.fill((0.0, 0.0));
        }
        ControlFlow::Continue(())
    })?;
    Ok(small)
}

#[expect(clippy::cast_precision_loss, reason = "pixels along the side of a block")]
fn count(samples: usize) -> f32 {
    samples as f32
}

/// The level that is shown as white.
pub(crate) fn white(planes: &[Vec<f32>]) -> f32 {
    let all: usize = planes.iter().map(Vec::len).sum();
    let mut levels: Vec<f32> = planes.iter().flatten().copied().step_by((all / WHITE_SAMPLES).max(1)).collect();
    levels.sort_by(f32::total_cmp);
    let place = index((levels.len().saturating_sub(1)) as f64 * WHITE_PLACE);
    levels.get(place).copied().filter(|level| *level > 0.0).unwrap_or(1.0)
}

pub(crate) fn encoded(light: f32) -> u8 {
    optics::srgb_byte(f64::from(light))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places inside a picture; saturates")]
fn index(place: f64) -> usize {
    place.round() as usize
}
