//! Light over the frame, in coarse cells: how bright, and what is clipped where.

use optics::Channel;
use serde::{Deserialize, Serialize};

use crate::{Frame, FrameError, Layout, Plane, Star};

/// Cells along the long side: fine enough for lamps, coarse enough for a median of many pixels.
const CELLS_ALONG: usize = 256;
/// Narrowest cell, px of the plane: a star fills less than half of it, so that its median is the sky.
const LEAST_CELL_PX: usize = 12;
/// Samples along one side of a cell that its median rests on, at most.
const SAMPLED_ALONG: usize = 12;
/// Share of full scale from which a pixel is full: one step below the last of 8 bits under the sRGB curve, where packing
/// as JPEG leaves clipped pixels.
const FULL_SHARE: f32 = 0.99;
/// Share of the frame up to which a patch of full pixels is a lamp, a star or the moon: a disc of 3 % of the width.
const LARGEST_LIGHT_SHARE: f64 = 0.001;
/// How far around a star there is sky, as a share of the long side.
const SKY_AROUND_STAR: f64 = 1.0 / 32.0;

/// A channel of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LightChannel {
    /// Red.
    Red,
    /// Green.
    Green,
    /// Blue.
    Blue,
    /// The one channel of a grey picture.
    Grey,
}

/// One channel of a [`LightMap`].
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelLight {
    /// Which.
    pub channel: LightChannel,
    /// Median of each cell, row by row: a share of full scale where the frame has one ([`Frame::ceiling`]), the file's own
    /// numbers otherwise. Stars are narrower than half a cell, so this is the sky between them. NaN where a cell holds no
    /// finite sample.
    pub medians: Vec<f32>,
    /// Interquartile range of each cell, in the same unit: noise, and texture finer than a cell.
    pub spreads: Vec<f32>,
    /// Full pixels in patches too large for lamps.
    pub full_in_sky: u64,
    /// All full pixels.
    pub full: u64,
    /// All pixels.
    pub pixels: u64,
    /// Cells that hold a small light (star, lamp, moon) that is full: no sky.
    pub is_light: Vec<bool>,
}

/// Light over a frame as stored in coarse square cells, every channel in the same.
#[derive(Debug, Clone, PartialEq)]
pub struct LightMap {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Side of a cell, px of the frame: cell (c, r) covers the pixels from `c * cell_px` on across and `r * cell_px` down.
    pub cell_px: f64,
    /// Red, green, blue; or one grey.
    pub channels: Vec<ChannelLight>,
}

impl LightMap {
    /// Measures a frame.
    ///
    /// # Errors
    ///
    /// None that a frame from [`crate::open`] can cause.
    pub fn of(frame: &Frame) -> Result<Self, FrameError> {
        // without a full scale cells are in the file's own numbers, and nothing is full
        let ceiling = frame.ceiling.filter(|ceiling| *ceiling > 0.0);
        let named = [
            (LightChannel::Red, Channel::Red),
            (LightChannel::Green, Channel::Green),
            (LightChannel::Blue, Channel::Blue),
        ];
        let mut cells = Self { columns: 0, rows: 0, cell_px: 1.0, channels: Vec::new() };
        match frame.layout {
            Layout::Grey => cells.add(LightChannel::Grey, &frame.plane(Channel::Green)?, ceiling, 1.0),
            Layout::Rgb => {
                for (name, channel) in named {
                    cells.add(name, &frame.plane(channel)?, ceiling, 1.0);
                }
            }
            Layout::Mosaic(_) => {
                for (name, channel) in named {
                    if let Some(plane) = frame.cells(channel) {
                        cells.add(name, &plane, ceiling, 2.0);
                    }
                }
            }
        }
        Ok(cells)
    }

    fn add(&mut self, channel: LightChannel, plane: &Plane, ceiling: Option<f32>, frame_px: f64) {
        let side = plane.width().max(plane.height()).div_ceil(CELLS_ALONG).max(LEAST_CELL_PX);
        self.columns = plane.width().div_ceil(side);
        self.rows = plane.height().div_ceil(side);
        self.cell_px = side as f64 * frame_px;
        self.channels.push(channel_cells(channel, plane, ceiling, side));
    }

    /// The channel by which brightness is judged.
    pub fn green(&self) -> Option<&ChannelLight> {
        self.channels.iter().find(|cells| matches!(cells.channel, LightChannel::Green | LightChannel::Grey))
    }

    /// Cells near stars, row by row: those within 1/32 of the long side of one, or all cells where no star is given.
    pub fn sky(&self, stars: &[Star]) -> Vec<bool> {
        if stars.is_empty() {
            return vec![true; self.columns * self.rows];
        }
        let mut sky = vec![false; self.columns * self.rows];
        let reach = (self.columns.max(self.rows) as f64 * SKY_AROUND_STAR).max(1.0);
        for star in stars {
            let [x, y] = [star.x_px, star.y_px].map(|px| px / self.cell_px);
            let span = |middle: f64, most: usize| whole(middle - reach)..whole(middle + reach + 1.0).min(most);
            for row in span(y, self.rows) {
                for column in span(x, self.columns) {
                    sky[row * self.columns + column] = true;
                }
            }
        }
        sky
    }
}

impl ChannelLight {
    /// A level of the sky by its place in order, 0..1; lights are left out.
    pub fn quantile(&self, sky: &[bool], place: f64) -> Option<f64> {
        let wanted = sky.iter().zip(&self.is_light).map(|(sky, light)| *sky && !*light);
        let mut levels: Vec<f32> = self
            .medians
            .iter()
            .zip(wanted)
            .filter(|(level, sky)| *sky && level.is_finite())
            .map(|pair| *pair.0)
            .collect();
        levels.sort_by(f32::total_cmp);
        let last = levels.len().checked_sub(1)?;
        levels.get(whole((last as f64 * place).round())).map(|level| f64::from(*level))
    }
}

fn channel_cells(channel: LightChannel, plane: &Plane, ceiling: Option<f32>, side: usize) -> ChannelLight {
    let [columns, rows] = [plane.width().div_ceil(side), plane.height().div_ceil(side)];
    let scale = ceiling.map_or(1.0, f32::recip);
    let full_from = ceiling.map_or(f32::INFINITY, |ceiling| FULL_SHARE * ceiling);
    let step = side.div_ceil(SAMPLED_ALONG).max(1);
    let mut full = vec![0u64; columns * rows];
    for y in 0..plane.height() {
        let row = &mut full[y / side * columns..][..columns];
        for (count, samples) in row.iter_mut().zip(plane.row(y).chunks(side)) {
            *count += samples.iter().filter(|sample| **sample >= full_from).count() as u64;
        }
    }
    let mut medians = Vec::with_capacity(columns * rows);
    let mut spreads = Vec::with_capacity(columns * rows);
    let mut pixels_of = Vec::with_capacity(columns * rows);
    let mut samples: Vec<f32> = Vec::new();
    for row in 0..rows {
        let ys = row * side..((row + 1) * side).min(plane.height());
        for column in 0..columns {
            let xs = column * side..((column + 1) * side).min(plane.width());
            samples.clear();
            for y in ys.clone().step_by(step) {
                let line = plane.row(y).get(xs.clone()).unwrap_or_default();
                samples.extend(line.iter().step_by(step).filter(|sample| sample.is_finite()));
            }
            samples.sort_by(f32::total_cmp);
            let quantile = |quarters: usize| samples.get(samples.len() * quarters / 4).map_or(f32::NAN, |s| s * scale);
            medians.push(quantile(2));
            spreads.push(quantile(3) - quantile(1));
            pixels_of.push((xs.len() * ys.len()) as u64);
        }
    }
    let is_full: Vec<bool> = full.iter().zip(&pixels_of).map(|(full, pixels)| 2 * full > *pixels).collect();
    let in_large = large_patches(&is_full, columns);
    let full_in_sky = full.iter().zip(&in_large).filter(|pair| *pair.1).map(|pair| pair.0).sum();
    let is_light = full.iter().zip(&in_large).map(|(full, large)| *full > 0 && !large).collect();
    ChannelLight {
        channel,
        medians,
        spreads,
        full_in_sky,
        full: full.iter().sum(),
        pixels: pixels_of.iter().sum(),
        is_light,
    }
}

/// Cells of connected patches that are too large for lamps.
fn large_patches(is_full: &[bool], columns: usize) -> Vec<bool> {
    let least = (is_full.len() as f64 * LARGEST_LIGHT_SHARE).max(2.0);
    let mut seen = vec![false; is_full.len()];
    let mut large = vec![false; is_full.len()];
    let mut patch = Vec::new();
    for start in 0..is_full.len() {
        if !is_full[start] || seen[start] {
            continue;
        }
        patch.clear();
        patch.push(start);
        seen[start] = true;
        let mut next = 0;
        while let Some(&cell) = patch.get(next) {
            next += 1;
            for beside in neighbours(cell, columns, is_full.len()) {
                if is_full[beside] && !seen[beside] {
                    seen[beside] = true;
                    patch.push(beside);
                }
            }
        }
        if patch.len() as f64 > least {
            for cell in &patch {
                large[*cell] = true;
            }
        }
    }
    large
}

fn neighbours(cell: usize, columns: usize, count: usize) -> impl Iterator<Item = usize> {
    let column = cell % columns;
    [
        (column > 0).then(|| cell - 1),
        (column + 1 < columns).then_some(cell + 1),
        cell.checked_sub(columns),
        Some(cell + columns).filter(|below| *below < count),
    ]
    .into_iter()
    .flatten()
}

/// A place as an index; what is below zero or not a number becomes 0.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
fn whole(place: f64) -> usize {
    place as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lamp_is_small_and_a_burnt_sky_is_large() {
        let mut full = vec![false; 100 * 100];
        full[50 * 100 + 50] = true;
        full[50 * 100 + 51] = true;
        assert!(large_patches(&full, 100).iter().all(|large| !large));
        for row in 0..10 {
            for column in 0..20 {
                full[row * 100 + column] = true;
            }
        }
        assert_eq!(large_patches(&full, 100).iter().filter(|large| **large).count(), 200);
    }
}
