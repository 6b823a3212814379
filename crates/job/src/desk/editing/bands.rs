//! Bands of a picture in the numbers that its file holds, for measures of how these came about.

use std::ops::ControlFlow;

use frame::Frame;
use optics::Channel;

/// Rows of a band: one row of JPEG's blocks.
pub(super) const BAND_ROWS: usize = 8;
/// Bands looked at, at most, spread evenly over the picture.
const BANDS: usize = 60;
/// Weights of red, green and blue in JPEG's luminance (ITU-R BT.601, as JFIF 1.02 has it).
const WEIGHTS: [f32; 3] = [0.299, 0.587, 0.114];

/// Some bands of eight rows, steps of 8 bits, as stored.
pub(super) struct Bands {
    pub(super) columns: usize,
    /// Row by row; eight rows a band.
    pub(super) values: Vec<f32>,
}

impl Bands {
    /// Luminance as the file writes it; `None` for a picture of less than one band, and one that cannot be read by rows.
    pub(super) fn of(frame: &Frame) -> Option<Self> {
        let [columns, rows] = frame.stored_size;
        let step = (rows / BAND_ROWS).div_ceil(BANDS).max(1);
        let bands = rows / BAND_ROWS / step;
        if bands == 0 || columns < BAND_ROWS {
            return None;
        }
        let mut values = vec![0.0f32; columns * BAND_ROWS * bands];
        for (channel, weight) in [Channel::Red, Channel::Green, Channel::Blue].into_iter().zip(WEIGHTS) {
            let read = frame.each_row(channel, |y, light| {
                let (band, row) = (y / BAND_ROWS / step, y % BAND_ROWS);
                if (y / BAND_ROWS).is_multiple_of(step) && band < bands {
                    let start = (band * BAND_ROWS + row) * columns;
                    for (value, light) in values[start..start + columns].iter_mut().zip(light) {
                        *value += weight * written(*light);
                    }
                }
                ControlFlow::Continue(())
            });
            read.ok()?;
        }
        Some(Self { columns, values })
    }

    pub(super) fn rows(&self) -> impl Iterator<Item = &[f32]> {
        self.values.chunks_exact(self.columns.max(1))
    }
}

/// A share of full light as sRGB writes it in 8 bits (IEC 61966-2-1), whole steps.
fn written(light: f32) -> f32 {
    let light = light.clamp(0.0, 1.0);
    let coded = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    (255.0 * coded).round()
}
