//! An earlier, coarser packing under the last one.
//!
//! A picture that was packed coarsely and then finely keeps the steps of the first packing: its coefficients lie near
//! multiples of them. Which tables leave the least remainder is asked for every quality of the standard's tables: Farid 2009,
//! "Exposing digital forgeries from JPEG ghosts", IEEE Trans. Information Forensics and Security 4, 154. A first packing that
//! was finer than the last one leaves nothing to be found.

use super::bands::{BAND_ROWS, Bands};
use super::packing::{LUMINANCE, table_of_luminance};

/// Coefficients of a block that are asked: the first ones of the zigzag after the mean, (row, column). Higher ones are nothing
/// in most blocks.
const ASKED: [(usize, usize); 9] = [(0, 1), (1, 0), (2, 0), (1, 1), (0, 2), (0, 3), (1, 2), (2, 1), (3, 0)];
/// Qualities tried.
const QUALITIES: std::ops::RangeInclusive<u32> = 30..=97;
/// A step must be so much coarser than the last packing's to show beside it.
const COARSER: f32 = 1.3;
/// Coefficients that lie a step or more from nothing, at least: fewer fit by chance.
const LEAST: usize = 1_500;
/// Coefficients of the nine for which that must hold, at least.
const LEAST_KINDS: usize = 5;

/// What fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ghost {
    /// Quality of the standard's tables, 1..100, whose steps fit best.
    pub(super) quality: f64,
    /// Mean square of what is left over, in shares of what is left over where nothing fits; small is a good fit.
    pub(super) remainder: f64,
}

/// The best fit among coarser tables; `None` for other files, and where too little is there to ask.
pub(super) fn ghost(bands: &Bands, bytes: &[u8]) -> Option<Ghost> {
    let own = table_of_luminance(bytes)?;
    let found = coefficients(bands);
    let fits = QUALITIES.filter_map(|quality| {
        Some(Ghost { quality: f64::from(quality), remainder: remainder(&found, &own, quality)? })
    });
    fits.min_by(|a, b| a.remainder.total_cmp(&b.remainder))
}

/// Mean square of the distance from the nearest step over a twelfth of the step's square, which is that of even chance.
fn remainder(found: &[Vec<f32>; 9], own: &[u16; 64], quality: u32) -> Option<f64> {
    let (mut left, mut chance, mut count, mut kinds) = (0.0f64, 0.0f64, 0usize, 0usize);
    for (index, values) in found.iter().enumerate() {
        let step = scaled(LUMINANCE[index + 1], quality);
        if step < COARSER * f32::from(own[index + 1]) {
            continue;
        }
        kinds += 1;
        for value in values.iter().filter(|value| value.abs() >= 0.5 * step) {
            left += f64::from(value - step * (value / step).round()).powi(2);
            chance += f64::from(step * step) / 12.0;
            count += 1;
        }
    }
    (kinds >= LEAST_KINDS && count >= LEAST).then(|| left / chance)
}

/// A step of the standard's table at a quality, as the Independent JPEG Group's library scales it (`jpeg_quality_scaling`).
fn scaled(step: u16, quality: u32) -> f32 {
    let percent = if quality < 50 { 5_000 / quality } else { 200 - 2 * quality };
    let scaled = (u32::from(step) * percent + 50) / 100;
    f32::from(u16::try_from(scaled.clamp(1, 255)).unwrap_or(255))
}

/// The coefficients asked for of all blocks: discrete cosine transform of ITU-T T.81, A.3.3.
fn coefficients(bands: &Bands) -> [Vec<f32>; 9] {
    let wave: [[f32; BAND_ROWS]; 4] = std::array::from_fn(|turns| {
        std::array::from_fn(|place| {
            let norm = if turns == 0 { std::f32::consts::FRAC_1_SQRT_2 } else { 1.0 };
            let angle = (2 * place + 1) as f32 * turns as f32 * std::f32::consts::PI / 16.0;
            0.5 * norm * angle.cos()
        })
    });
    let mut found: [Vec<f32>; 9] = Default::default();
    for band in bands.values.chunks_exact(bands.columns * BAND_ROWS) {
        for left in (0..bands.columns + 1 - BAND_ROWS).step_by(BAND_ROWS) {
            // rows first: four waves across each
            let across: [[f32; 4]; BAND_ROWS] = std::array::from_fn(|row| {
                let line = &band[row * bands.columns + left..][..BAND_ROWS];
                std::array::from_fn(|turns| line.iter().zip(&wave[turns]).map(|(value, wave)| value * wave).sum())
            });
            for ((down, turns), values) in ASKED.iter().zip(&mut found) {
                values.push(across.iter().zip(&wave[*down]).map(|(row, wave)| row[*turns] * wave).sum());
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::enlarged::tests::{decoded, noise, packed};
    use super::*;

    /// Tables of neighbouring qualities differ by less than a step.
    const NEAR: f64 = 3.0;

    #[test]
    fn a_coarse_packing_shows_under_a_finer_one_and_not_without_it() {
        let side = 320;
        let original = noise(side);
        for first in [50u8, 70, 80] {
            let once = decoded(&packed(&original, side, first));
            let twice = packed(&once.rgb, side, 95);
            let found = ghost(&Bands::of(&decoded(&twice).frame).unwrap(), &twice).unwrap();
            assert!((found.quality - f64::from(first)).abs() <= NEAR && found.remainder < 0.35, "{first}: {found:?}");
        }
        let once = packed(&original, side, 95);
        let found = ghost(&Bands::of(&decoded(&once).frame).unwrap(), &once);
        assert!(found.is_none_or(|found| found.remainder > 0.7), "{found:?}");
    }
}
