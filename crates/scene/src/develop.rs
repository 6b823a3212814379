//! From the sensor's numbers to a picture in colour.

use optics::Channel;
use serde::{Deserialize, Serialize};

use crate::Mosaic;
use crate::readout::Numbers;

/// How the camera makes a picture of its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Development {
    /// Factors on red, green and blue.
    pub white_balance: [f64; 3],
    /// From the camera's colours, balanced, to those of sRGB: rows red, green, blue.
    pub matrix: [[f64; 3]; 3],
    /// Factor on all before the curve: 1 puts the clipping of green at white, 1.4 the mid-grey of ISO 12232 (a 7.8th of
    /// the clipping) at 18 %.
    pub gain: f64,
    /// Quality of the JPEG, 1..=100.
    pub quality: u8,
}

impl Default for Development {
    /// Balanced for a cold white, the camera's own colours, sRGB's curve, quality 92.
    fn default() -> Self {
        Self {
            white_balance: [1.6, 1.0, 1.85],
            matrix: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            gain: 1.4,
            quality: 92,
        }
    }
}

/// Entries of the curve's table.
const CURVE_STEPS: usize = 4096;

impl Development {
    /// Linear light of each pixel, red, green, blue, given row by row; 1 is white.
    pub(crate) fn each_row(&self, numbers: &Numbers, mut take: impl FnMut(usize, &[[f32; 3]])) {
        #[expect(clippy::cast_possible_truncation, reason = "factors")]
        let (matrix, balance) = (
            self.matrix.map(|row| row.map(|x| x as f32)),
            self.white_balance.map(|x| (x * self.gain) as f32 / f32::from(numbers.white - numbers.black)),
        );
        let mut row = vec![[0.0f32; 3]; numbers.width];
        for y in 0..numbers.height {
            for (x, pixel) in row.iter_mut().enumerate() {
                let raw = demosaiced(numbers, x, y);
                let balanced: [f32; 3] = std::array::from_fn(|i| (raw[i] * balance[i]).clamp(0.0, 1.0));
                *pixel = matrix.map(|row| row.iter().zip(balanced).map(|(a, b)| a * b).sum());
            }
            take(y, &row);
        }
    }

    /// 8-bit picture, red, green, blue.
    pub(crate) fn eight_bits(&self, numbers: &Numbers) -> Vec<u8> {
        let curve: Vec<u8> = curve(255.0);
        let mut bytes = Vec::with_capacity(3 * numbers.width * numbers.height);
        self.each_row(numbers, |_, row| bytes.extend(row.iter().flatten().map(|light| curve[step(*light)])));
        bytes
    }

    /// Rows of 16-bit numbers, big-endian, red, green, blue, given one by one: a whole picture of them is large.
    pub(crate) fn sixteen_bits(&self, numbers: &Numbers, mut take: impl FnMut(&[u8])) {
        let mut bytes = Vec::with_capacity(6 * numbers.width);
        self.each_row(numbers, |_, row| {
            bytes.clear();
            for light in row.iter().flatten() {
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=65535")]
                let value = (srgb(f64::from(light.clamp(0.0, 1.0))) * 65_535.0).round() as u16;
                bytes.extend(value.to_be_bytes());
            }
            take(&bytes);
        });
    }
}

fn step(light: f32) -> usize {
    // the square root spreads the dark end over more entries
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..CURVE_STEPS")]
    let index = (light.clamp(0.0, 1.0).sqrt() * (CURVE_STEPS - 1) as f32 + 0.5) as usize;
    index
}

fn curve(greatest: f64) -> Vec<u8> {
    (0..CURVE_STEPS)
        .map(|i| {
            let light = (i as f64 / (CURVE_STEPS - 1) as f64).powi(2);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=255")]
            let value = (srgb(light) * greatest).round() as u8;
            value
        })
        .collect()
}

/// Encoding of sRGB (IEC 61966-2-1).
fn srgb(light: f64) -> f64 {
    if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

/// Colours of a pixel, less black: its own, and the mean of its nearest neighbours of the others.
fn demosaiced(numbers: &Numbers, x: usize, y: usize) -> [f32; 3] {
    let (w, h) = (numbers.width, numbers.height);
    let at = |x: usize, y: usize| f32::from(numbers.values[y * w + x]) - f32::from(numbers.black);
    let (left, right) =
        (if x > 0 { x - 1 } else { (x + 1).min(w - 1) }, if x + 1 < w { x + 1 } else { x.saturating_sub(1) });
    let (up, down) =
        (if y > 0 { y - 1 } else { (y + 1).min(h - 1) }, if y + 1 < h { y + 1 } else { y.saturating_sub(1) });
    let across = || 0.5 * (at(left, y) + at(right, y));
    let along = || 0.5 * (at(x, up) + at(x, down));
    let corners = || 0.25 * (at(left, up) + at(right, up) + at(left, down) + at(right, down));
    match (Mosaic::channel(x, y), y % 2) {
        (Channel::Red, _) => [at(x, y), 0.5 * (across() + along()), corners()],
        (Channel::Blue, _) => [corners(), 0.5 * (across() + along()), at(x, y)],
        (Channel::Green, 0) => [across(), at(x, y), along()],
        (Channel::Green, _) => [along(), at(x, y), across()],
    }
}
