//! A picture in 16 by 16 cells: enough to tell whether two frames show the same, and what changed between them.

use frame::{ChannelLight, LightMap};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Cells along each side.
pub(super) const SIDE: usize = 16;
/// Cells.
pub(super) const CELLS: usize = SIDE * SIDE;
/// Steps of a stored level in one stop.
const STEPS_PER_STOP: f32 = 16.0;
/// Stops below full scale under which levels are noise of 8 bits: taken as alike.
const FLOOR_STOPS: f32 = 10.0;
/// The same as a stored level.
const FLOOR_LEVEL: u8 = 160;

/// A picture's light in 16 by 16 cells and one or three channels, as stored (not turned).
///
/// Level of a cell: the mean of the medians in it, in stops below full scale (65 535 for numbers without one), in sixteenths
/// of a stop; 255 for the dark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrameSignature {
    /// Channel by channel, row by row.
    levels: Vec<u8>,
}

/// What the numbers of a file without full scale are taken as shares of: 16 bits.
const NO_SCALE: f32 = 65_535.0;

impl FrameSignature {
    /// Of a measured picture; `None` where no cell holds light.
    ///
    /// * `has_scale`: whether the levels are shares of full scale.
    pub fn of(map: &LightMap, has_scale: bool) -> Option<Self> {
        if map.columns == 0 || map.rows == 0 || map.channels.is_empty() {
            return None;
        }
        let full = if has_scale { 1.0 } else { NO_SCALE };
        let levels = map.channels.iter().flat_map(|channel| coarse(channel, map, full)).collect();
        Some(Self { levels })
    }

    /// From stored levels: 256 or 768 of them, else `None`.
    pub fn from_levels(levels: Vec<u8>) -> Option<Self> {
        (levels.len() == CELLS || levels.len() == 3 * CELLS).then_some(Self { levels })
    }

    /// The levels as they are stored.
    pub fn levels(&self) -> &[u8] {
        &self.levels
    }

    /// Whether there are three channels.
    pub(super) fn has_colour(&self) -> bool {
        self.levels.len() > CELLS
    }

    /// Level of a cell, stops against full scale, not below the floor.
    pub(super) fn stops(&self, channel: usize, cell: usize) -> f32 {
        let level = self.channel(channel).get(cell).copied().unwrap_or(u8::MAX);
        (-f32::from(level) / STEPS_PER_STOP).max(-FLOOR_STOPS)
    }

    /// The green channel, or the only one.
    pub(super) fn green(&self) -> [f32; CELLS] {
        std::array::from_fn(|cell| self.stops(1, cell))
    }

    /// Root mean square difference of two pictures, stops, after an even change of brightness is taken out.
    ///
    /// 0 for the same; two frames of one scene some seconds apart differ by less than 0.1.
    pub fn distance_stops(&self, other: &Self) -> f64 {
        let channels: &[usize] = if self.has_colour() && other.has_colour() { &[0, 1, 2] } else { &[1] };
        let mut variance = 0.0;
        for channel in channels {
            let (mut sum, mut squares) = (0i32, 0i32);
            for (here, there) in self.channel(*channel).iter().zip(other.channel(*channel)) {
                let step = i32::from(*here.min(&FLOOR_LEVEL)) - i32::from(*there.min(&FLOOR_LEVEL));
                sum += step;
                squares += step * step;
            }
            let mean = f64::from(sum) / CELLS as f64;
            variance += (f64::from(squares) / CELLS as f64 - mean * mean).max(0.0);
        }
        (variance / channels.len() as f64).sqrt() / f64::from(STEPS_PER_STOP)
    }

    /// The stored levels of one channel; those of the only one where there is one.
    fn channel(&self, channel: usize) -> &[u8] {
        let channel = if self.has_colour() { channel } else { 0 };
        self.levels.get(channel * CELLS..(channel + 1) * CELLS).unwrap_or_default()
    }

    /// Pearson's correlation of the two patterns of light, -1..1; `None` where one of them is even.
    pub(super) fn correlation(&self, other: &Self) -> Option<f64> {
        correlation(self.green().iter().copied().zip(other.green()))
    }

    /// The shift along one axis, in cells, at which the patterns fit best, with the correlation there and at rest.
    pub(super) fn shift(&self, other: &Self, most: usize) -> Option<Shift> {
        let (here, there) = (self.green(), other.green());
        let at_rest = correlation(here.iter().copied().zip(there))?;
        let mut best: Option<Shift> = None;
        for across in [true, false] {
            for cells in 1..=most {
                for forward in [true, false] {
                    let pairs = (0..CELLS).filter_map(|cell| {
                        let (column, row) = (cell % SIDE, cell / SIDE);
                        let along = if across { column } else { row };
                        let moved = if forward { along + cells } else { along.checked_sub(cells)? };
                        let partner = if across { row * SIDE + moved } else { moved * SIDE + column };
                        (moved < SIDE).then(|| (here[cell], there[partner]))
                    });
                    let Some(fit) = correlation(pairs) else { continue };
                    if best.is_none_or(|best| fit > best.fit) {
                        best = Some(Shift { cells, fit, at_rest });
                    }
                }
            }
        }
        best
    }
}

/// A shift between two pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shift {
    /// How far, along rows or columns.
    pub(super) cells: usize,
    pub(super) fit: f64,
    pub(super) at_rest: f64,
}

/// Least spread of a pattern, stops, that says anything.
const LEAST_SPREAD_STOPS: f64 = 0.05;

fn correlation(pairs: impl Iterator<Item = (f32, f32)>) -> Option<f64> {
    let (mut n, mut x, mut y, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (a, b) in pairs {
        let (a, b) = (f64::from(a), f64::from(b));
        n += 1.0;
        x += a;
        y += b;
        xx += a * a;
        yy += b * b;
        xy += a * b;
    }
    if n < 2.0 {
        return None;
    }
    let (sx, sy) = ((xx / n - (x / n).powi(2)).max(0.0).sqrt(), (yy / n - (y / n).powi(2)).max(0.0).sqrt());
    (sx > LEAST_SPREAD_STOPS && sy > LEAST_SPREAD_STOPS).then(|| (xy / n - x * y / (n * n)) / (sx * sy))
}

fn coarse(channel: &ChannelLight, map: &LightMap, full: f32) -> Vec<u8> {
    let span = |index: usize, count: usize| {
        let first = index * count / SIDE;
        first..((index + 1) * count / SIDE).max(first + 1).min(count)
    };
    let mut levels = Vec::with_capacity(CELLS);
    for row in 0..SIDE {
        for column in 0..SIDE {
            let (mut sum, mut count) = (0.0f32, 0.0f32);
            for y in span(row, map.rows) {
                for x in span(column, map.columns) {
                    if let Some(level) = channel.medians.get(y * map.columns + x).filter(|level| level.is_finite()) {
                        sum += level.max(0.0);
                        count += 1.0;
                    }
                }
            }
            levels.push(encoded(if count > 0.0 { sum / count / full } else { 0.0 }));
        }
    }
    levels
}

fn encoded(level: f32) -> u8 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates at 0 and 255")]
    let steps = (-level.log2() * STEPS_PER_STOP).round() as u8;
    if level > 0.0 { steps } else { u8::MAX }
}

impl Serialize for FrameSignature {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use std::fmt::Write;
        let mut text = String::with_capacity(2 * self.levels.len());
        for level in &self.levels {
            // writing to a String cannot fail
            let _written = write!(text, "{level:02x}");
        }
        serializer.serialize_str(&text)
    }
}

impl<'de> Deserialize<'de> for FrameSignature {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let levels: Option<Vec<u8>> = text
            .as_bytes()
            .chunks(2)
            .map(|pair| std::str::from_utf8(pair).ok().and_then(|pair| u8::from_str_radix(pair, 16).ok()))
            .collect();
        levels.and_then(Self::from_levels).ok_or_else(|| serde::de::Error::custom("no signature of 16 by 16 cells"))
    }
}
