//! Light over the frame, in coarse cells: how bright, and what is clipped where.

mod cells;

use optics::Channel;
use serde::{Deserialize, Serialize};

use self::cells::{Grid, Measured};
use crate::whole_numbers::WholeLight;
use crate::{Frame, FrameError, Layout, Star};

/// Cells along the long side: fine enough for lamps, coarse enough for a median of many pixels.
const CELLS_ALONG: usize = 256;
/// Narrowest cell, px of the plane: a star fills less than half of it, so that its median is the sky.
const LEAST_CELL_PX: usize = 12;
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

impl LightChannel {
    const COLOURS: [Self; 3] = [Self::Red, Self::Green, Self::Blue];
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
        let full_from = ceiling.map_or(f32::INFINITY, |ceiling| FULL_SHARE * ceiling);
        // the colours of a mosaic are looked at in its cells of two by two
        let (names, frame_px): (&[LightChannel], usize) = match frame.layout {
            Layout::Grey => (&[LightChannel::Grey], 1),
            Layout::Rgb => (&LightChannel::COLOURS, 1),
            Layout::Mosaic(_) => (&LightChannel::COLOURS, 2),
        };
        let size = frame.stored_size.map(|side| side / frame_px);
        if size.contains(&0) {
            return Ok(Self { columns: 0, rows: 0, cell_px: 1.0, channels: Vec::new() });
        }
        let grid = Grid::new(size, size[0].max(size[1]).div_ceil(CELLS_ALONG).max(LEAST_CELL_PX));
        let measured = match frame.whole_light().filter(WholeLight::rises) {
            Some(light) if frame_px == 1 => {
                let places = &frame.places[..names.len()];
                cells::of_whole(&grid, full_from, &frame.values, places, &light)
            }
            _ => {
                Channel::ALL[..names.len()].iter().map(|channel| of_light(frame, &grid, full_from, *channel)).collect()
            }
        };
        let channels = names.iter().zip(&measured).map(|(name, found)| channel_light(*name, &grid, found, ceiling));
        Ok(Self {
            columns: grid.columns,
            rows: grid.rows,
            cell_px: (grid.side * frame_px) as f64,
            channels: channels.collect(),
        })
    }

    /// Middle of a cell, px of the frame as stored.
    pub fn middle_px(&self, cell: usize) -> [f64; 2] {
        let columns = self.columns.max(1);
        [cell % columns, cell / columns].map(|place| (place as f64 + 0.5) * self.cell_px - 0.5)
    }

    /// Whether a cell is burnt out in a channel, or holds a light that is.
    pub fn is_full(&self, cell: usize) -> bool {
        self.channels.iter().any(|channel| channel.is_light[cell] || channel.medians[cell] >= FULL_SHARE)
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

/// One channel, made light row by row.
fn of_light(frame: &Frame, grid: &Grid, full_from: f32, channel: Channel) -> Measured {
    let table = frame.table();
    let place = frame.places[channel.index()];
    let mut pair = Vec::new();
    match frame.layout {
        Layout::Mosaic(pattern) => cells::of_rows(grid, full_from, |y, row| {
            frame.pair_of_rows(place, 2 * y, table.as_deref(), &mut pair);
            row.clear();
            crate::mosaic::extend_cells(&pair, frame.stored_size[0], pattern, channel, row);
        }),
        Layout::Grey | Layout::Rgb => cells::of_rows(grid, full_from, |y, row| {
            if y % 2 == 0 {
                frame.pair_of_rows(place, y, table.as_deref(), &mut pair);
            }
            row.clear();
            row.extend(pair.chunks_exact(grid.size[0]).nth(y % 2).unwrap_or_default());
        }),
    }
}

fn channel_light(channel: LightChannel, grid: &Grid, found: &Measured, ceiling: Option<f32>) -> ChannelLight {
    let scale = ceiling.map_or(1.0, f32::recip);
    let full = &found.full;
    let is_full: Vec<bool> = full.iter().zip(grid.pixels()).map(|(full, pixels)| 2 * full > pixels).collect();
    let in_large = large_patches(&is_full, grid.columns);
    ChannelLight {
        channel,
        medians: found.quartiles.iter().map(|[_, median, _]| median * scale).collect(),
        spreads: found.quartiles.iter().map(|[lower, _, upper]| upper * scale - lower * scale).collect(),
        full_in_sky: full.iter().zip(&in_large).filter(|pair| *pair.1).map(|pair| pair.0).sum(),
        full: full.iter().sum(),
        pixels: grid.pixels().sum(),
        is_light: full.iter().zip(&in_large).map(|(full, large)| *full > 0 && !large).collect(),
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
