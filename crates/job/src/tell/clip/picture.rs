//! One frame of a clip: cut, made small in linear light, and shown by a factor.

use std::ops::ControlFlow;

use frame::{CellKind, Frame, FrameError, Layout, LightMap, SkyMask};
use optics::Channel;

use super::shrink::shrunk;
use super::turn::Turn;
use super::{ClipColours, ClipGeometry};

/// Cells of the picture that its background is told from, across and down.
const CELLS: [usize; 2] = [32, 18];
/// One in this many cells must be sky, or the mask is not believed: half of the quarter that the background is told from.
const LEAST_SKY: usize = 8;
/// Full light in the small picture's whole numbers: in the dark a step is a twentieth of one of 8 bits under the sRGB curve.
const FULL: f32 = 65_535.0;
/// Places in order of the levels that are shown as black and white where the numbers are in proportion to light: the darkest
/// pixels are masks and hot-pixel dips, the brightest are stars.
const BLACK_PLACE: f64 = 0.005;
const WHITE_PLACE: f64 = 0.998;
/// Rows left out between those that these levels are found on.
const ROWS_STEP: usize = 8;

impl ClipColours {
    /// How frames like these are shown: all by the same levels.
    pub fn of(frames: &[Frame]) -> Self {
        let Some(first) = frames.iter().find(|frame| frame.linearity.is_linear()) else {
            return Self::Finished { is_adobe_rgb: frames.iter().any(|frame| frame.metadata.is_adobe_rgb) };
        };
        let levels: Vec<[f32; 2]> = frames.iter().filter_map(levels).collect();
        let black = levels.iter().map(|level| level[0]).fold(f32::INFINITY, f32::min);
        let white = levels.iter().map(|level| level[1]).fold(f32::NEG_INFINITY, f32::max);
        if !(black.is_finite() && white > black) {
            return Self::Linear { black: 0.0, white: 1.0, balanced: first.neutral.is_some() };
        }
        Self::Linear { black, white, balanced: first.neutral.is_some() }
    }
}

fn levels(frame: &Frame) -> Option<[f32; 2]> {
    let mut found = Vec::new();
    for channel in Channel::ALL {
        let share = balance(frame, channel);
        let seen = frame.each_row(channel, |y, row| {
            if y.is_multiple_of(ROWS_STEP) {
                found
                    .extend(row.iter().step_by(ROWS_STEP).filter(|light| light.is_finite()).map(|light| light * share));
            }
            ControlFlow::Continue(())
        });
        seen.ok()?;
        if frame.layout == Layout::Grey {
            break;
        }
    }
    found.sort_by(f32::total_cmp);
    let at = |place: f64| found.get(whole(place * found.len().saturating_sub(1) as f64)).copied();
    Some([at(BLACK_PLACE)?, at(WHITE_PLACE)?])
}

/// What a channel is multiplied with for the camera's own white.
fn balance(frame: &Frame, channel: Channel) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "a ratio near one")]
    let share = frame.neutral.map_or(1.0, |neutral| neutral[channel.index()].max(1e-6).recip()) as f32;
    share
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places inside a picture; saturates")]
pub(in crate::tell) fn whole(place: f64) -> usize {
    place as usize
}

/// A frame's part of a clip as linear light, before a factor.
#[derive(Debug, Clone, PartialEq)]
pub struct ClipPicture {
    /// Width and height as shown, px: as placed on the clip.
    pub size_px: [usize; 2],
    /// Red, green and blue of each pixel: 65 535 is white.
    light: Vec<u16>,
    /// Mean light of the cells, channel by channel, row by row.
    cells: [Vec<f32>; 3],
}

impl ClipPicture {
    /// Cuts a frame and makes it as large as it is placed, by averaging light over areas.
    ///
    /// # Errors
    ///
    /// None that a frame from [`frame::open`] can cause.
    pub fn of(frame: &Frame, geometry: &ClipGeometry, colours: ClipColours) -> Result<Self, FrameError> {
        let turn = Turn::of(frame.orientation, frame.stored_size);
        let part = turn.stored_part(geometry.part_px);
        let shown = [geometry.placed_px[2], geometry.placed_px[3]];
        let small = if frame.orientation.swaps_sides() { [shown[1], shown[0]] } else { shown };
        let mut light = vec![0_u16; shown[0] * shown[1] * 3];
        let channels: &[Channel] = if frame.layout == Layout::Grey { &[Channel::Green] } else { &Channel::ALL };
        for channel in channels {
            let plane = shrunk(frame, *channel, part, small)?;
            let (share, black, range) = match colours {
                ClipColours::Finished { .. } => (1.0, 0.0, 1.0),
                ClipColours::Linear { black, white, .. } => {
                    (balance(frame, *channel), black, (white - black).max(1e-12))
                }
            };
            let place = if channels.len() == 1 { 0 } else { channel.index() };
            turn.lay(&plane, small, |pixel, value| {
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped; NaN becomes 0")]
                let value = ((value * share - black) / range).clamp(0.0, 1.0).mul_add(FULL, 0.5) as u16;
                if let Some(held) = light.get_mut(3 * pixel + place) {
                    *held = value;
                }
            });
        }
        if channels.len() == 1 {
            for pixel in light.as_chunks_mut::<3>().0 {
                *pixel = [pixel[0]; 3];
            }
        }
        let cells = cells(&light, shown);
        Ok(Self { size_px: shown, light, cells })
    }

    /// Background of red, green and blue in shares of white, from the cells that are sky; `None` where a channel has no light.
    ///
    /// * `sky`: of [`ClipPicture::sky_cells`]; all where it is empty.
    pub fn background(&self, sky: &[bool]) -> Option<[f64; 3]> {
        let mut levels = [0.0; 3];
        for (level, cells) in levels.iter_mut().zip(&self.cells) {
            let of_sky: Vec<f32> = cells
                .iter()
                .enumerate()
                .filter(|(cell, _)| sky.get(*cell).copied().unwrap_or(true))
                .map(|(_, light)| *light)
                .collect();
            *level = sequence::background_level(&of_sky)?;
        }
        Some(levels)
    }

    /// Which cells show sky, in the order of [`ClipPicture::background`]: told once a sequence, whose tripod stands still.
    ///
    /// Empty where no sky can be told from ground: then all cells count.
    ///
    /// # Errors
    ///
    /// None that a frame from [`frame::open`] can cause.
    pub fn sky_cells(frame: &Frame, geometry: &ClipGeometry) -> Result<Vec<bool>, FrameError> {
        let stars = frame::find_stars(&frame.luminance()?, &frame::StarSearch::default());
        let mask = SkyMask::of(&LightMap::of(frame)?, &stars, None, frame.orientation);
        let turn = Turn::of(frame.orientation, frame.stored_size);
        let [left, top, width, height] = geometry.part_px;
        let of = |i: usize| {
            let [column, row] = [i % CELLS[0], i / CELLS[0]].map(|place| place as f64 + 0.5);
            let shown = [left + width * column / CELLS[0] as f64 - 0.5, top + height * row / CELLS[1] as f64 - 0.5];
            mask.at(turn.stored_place(shown)) == CellKind::Sky
        };
        let cells: Vec<bool> = (0..CELLS[0] * CELLS[1]).map(of).collect();
        let sky = cells.iter().filter(|cell| **cell).count();
        Ok(if sky * LEAST_SKY < cells.len() { Vec::new() } else { cells })
    }

    /// Red, green and blue of each pixel as linear light, row by row: 65 535 is white.
    pub fn pixels(&self) -> &[[u16; 3]] {
        self.light.as_chunks::<3>().0
    }

    /// The whole picture of the clip: 8 bits of sRGB, red, green and blue, row by row, black beside what is placed.
    ///
    /// * `gains`: factors on linear light.
    pub fn shown(&self, geometry: &ClipGeometry, gains: [f64; 3], out: &mut Vec<u8>) {
        let [width, height] = geometry.clip_px;
        let [left, top, ..] = geometry.placed_px;
        out.clear();
        out.resize(width * height * 3, 0);
        let curves = gains.map(curve);
        let rows = self.light.chunks_exact(3 * self.size_px[0].max(1));
        for (row, shown) in rows.zip(out.chunks_exact_mut(3 * width.max(1)).skip(top)) {
            let shown = shown.get_mut(3 * left..).unwrap_or_default();
            for (light, pixel) in row.as_chunks::<3>().0.iter().zip(shown.as_chunks_mut::<3>().0) {
                for ((value, light), curve) in pixel.iter_mut().zip(light).zip(&curves) {
                    *value = curve.get(usize::from(*light)).copied().unwrap_or(u8::MAX);
                }
            }
        }
    }
}

/// From 16 bits of linear light to 8 bits of sRGB (IEC 61966-2-1), after a factor.
fn curve(gain: f64) -> Vec<u8> {
    let narrow = |value: u16| u8::try_from(value).unwrap_or(u8::MAX);
    srgb_values(gain, u16::from(u8::MAX)).into_iter().map(narrow).collect()
}

/// From 16 bits of linear light, after a factor, to whole sRGB values (IEC 61966-2-1) up to `most`.
pub(in crate::tell) fn srgb_values(gain: f64, most: u16) -> Vec<u16> {
    let srgb = frame::TransferCurve::Srgb;
    let mut table = Vec::with_capacity(usize::from(u16::MAX) + 1);
    for value in 0..=most {
        // up to the light half-way to the next value
        let half_way = (f64::from(value) + 0.5) / f64::from(most);
        let end = if value == most { f64::INFINITY } else { srgb.light(half_way) / gain };
        let end = whole((end * f64::from(FULL)).ceil().min(f64::from(FULL) + 1.0));
        if end > table.len() {
            table.resize(end, value);
        }
    }
    table
}

fn cells(light: &[u16], [width, height]: [usize; 2]) -> [Vec<f32>; 3] {
    let mut sums = vec![[0_u64; 3]; CELLS[0] * CELLS[1]];
    let mut counts = vec![0_u64; sums.len()];
    for (y, row) in light.chunks_exact(3 * width.max(1)).enumerate() {
        let first = y * CELLS[1] / height.max(1) * CELLS[0];
        for (x, pixel) in row.as_chunks::<3>().0.iter().enumerate() {
            let cell = first + x * CELLS[0] / width.max(1);
            if let Some((sum, count)) = sums.get_mut(cell).zip(counts.get_mut(cell)) {
                sum.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += u64::from(*value));
                *count += 1;
            }
        }
    }
    let mean = |channel: usize| {
        let of = |(sum, count): (&[u64; 3], &u64)| sum[channel] as f32 / (*count).max(1) as f32 / FULL;
        sums.iter().zip(&counts).map(of).collect()
    };
    [mean(0), mean(1), mean(2)]
}
