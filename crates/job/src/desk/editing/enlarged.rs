//! Traces of a picture having been made larger.
//!
//! New pixels between old ones are smoother than these, so the mean second difference along the rows repeats with the spacing
//! of the old ones: Gallagher 2005, "Detection of linear and cubic interpolation in JPEG compressed images", Proc. 2nd Canadian
//! Conference on Computer and Robot Vision, 65. Pictures made smaller leave no such trace.

use super::bands::Bands;

/// Columns looked at, at most.
const COLUMNS: usize = 4096;
/// Columns that a spectrum needs, at least.
const LEAST_COLUMNS: usize = 256;
/// Columns over which slow changes are taken off, half of it to either side.
const SLOW: usize = 16;
/// Lowest frequency looked at, turns a pixel: nobody makes a picture more than ten times larger.
const LOWEST: f64 = 0.1;
/// Frequencies so near to an eighth of a turn and its multiples belong to JPEG's blocks, and a half to the sensor's mosaic.
const OF_BLOCKS: f64 = 0.006;

/// The strongest repetition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Repetition {
    /// Its period, px.
    pub(super) period_px: f64,
    /// Its strength over that of the middle one of all frequencies; chance alone gives 3 to 4.
    pub(super) strength: f64,
}

pub(super) fn repetition(bands: &Bands) -> Option<Repetition> {
    let columns = bands.columns.min(COLUMNS);
    if columns < LEAST_COLUMNS {
        return None;
    }
    let mut mean = vec![0.0f64; columns - 2];
    for row in bands.rows() {
        for (mean, three) in mean.iter_mut().zip(row.windows(3)) {
            *mean += f64::from((2.0 * three[1] - three[0] - three[2]).abs());
        }
    }
    let flat = without_slow(&mean);
    let turns: Vec<usize> = (1..flat.len() / 2).filter(|turns| is_asked(*turns as f64 / flat.len() as f64)).collect();
    let strengths: Vec<f64> = turns.iter().map(|turns| strength(&flat, *turns)).collect();
    let mut sorted = strengths.clone();
    sorted.sort_by(f64::total_cmp);
    let middle = *sorted.get(sorted.len() / 2)?;
    let (index, most) = strengths.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    (middle > 0.0).then(|| Repetition {
        period_px: flat.len() as f64 / *turns.get(index).unwrap_or(&1) as f64,
        strength: most / middle,
    })
}

fn is_asked(frequency: f64) -> bool {
    let eighth = (frequency * 8.0).round() / 8.0;
    frequency >= LOWEST && (frequency - eighth).abs() > OF_BLOCKS
}

fn without_slow(values: &[f64]) -> Vec<f64> {
    (0..values.len())
        .map(|index| {
            let around = &values[index.saturating_sub(SLOW)..(index + SLOW + 1).min(values.len())];
            values[index] - around.iter().sum::<f64>() / around.len() as f64
        })
        .collect()
}

/// Amplitude at so many turns over all (Goertzel 1958).
fn strength(values: &[f64], turns: usize) -> f64 {
    let twice = 2.0 * (std::f64::consts::TAU * turns as f64 / values.len() as f64).cos();
    let (mut last, mut before) = (0.0, 0.0);
    for value in values {
        (last, before) = (value + twice * last - before, last);
    }
    (last * last + before * before - twice * last * before).max(0.0).sqrt()
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::OpenedPicture;

    pub(in super::super) struct Decoded {
        pub(in super::super) frame: frame::Frame,
        pub(in super::super) rgb: Vec<u8>,
    }

    pub(in super::super) fn decoded(bytes: &[u8]) -> Decoded {
        let opened = OpenedPicture::open(bytes, false).unwrap();
        let [width, height] = opened.size_px();
        let crop = opened.crop([0.5 * width as f64, 0.5 * height as f64], [width, height]).unwrap();
        let (frame, _stars) = crate::check::frame_and_stars(bytes).unwrap();
        Decoded { frame, rgb: crop.rgb }
    }

    pub(in super::super) fn packed(rgb: &[u8], side: usize, quality: u8) -> Vec<u8> {
        let mut file = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut file, quality);
        encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::R_4_4_4);
        let side = u16::try_from(side).unwrap();
        encoder.encode(rgb, side, side, jpeg_encoder::ColorType::Rgb).unwrap();
        file
    }

    /// Light with detail of every size, the same each time (Steele et al. 2014, SplitMix64).
    pub(in super::super) fn noise(side: usize) -> Vec<u8> {
        let at = |x: usize, y: usize, size: usize| {
            // rows of patches are moved against each other: no column is an edge of all of them
            let x = x + ((y / size).wrapping_mul(2_654_435_761) >> 7) % size;
            let mut bits = ((x / size) as u64) << 32 | ((y / size) as u64) << 8 | size as u64;
            bits = bits.wrapping_mul(0x9E37_79B9_7F4A_7C15);
            bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            ((bits ^ (bits >> 31)) >> 56) as f64 / 255.0
        };
        let value = |x: usize, y: usize| {
            let sum: f64 =
                [(1, 24.0), (3, 40.0), (7, 60.0), (29, 80.0)].iter().map(|(size, high)| high * at(x, y, *size)).sum();
            crate::desk::grey::whole(20.0 + sum).min(255)
        };
        (0..side * side).flat_map(|index| [u8::try_from(value(index % side, index / side)).unwrap(); 3]).collect()
    }

    /// Read between its pixels.
    fn larger(rgb: &[u8], side: usize, to: usize) -> Vec<u8> {
        let value = |x: usize, y: usize| f64::from(rgb[3 * (y.min(side - 1) * side + x.min(side - 1))]);
        let scale = side as f64 / to as f64;
        let at = |column: usize, row: usize| {
            let (x, y) = (column as f64 * scale, row as f64 * scale);
            let (left, top) = (crate::desk::grey::whole(x), crate::desk::grey::whole(y));
            let (fx, fy) = (x - left as f64, y - top as f64);
            let above = value(left, top) * (1.0 - fx) + value(left + 1, top) * fx;
            let below = value(left, top + 1) * (1.0 - fx) + value(left + 1, top + 1) * fx;
            u8::try_from(crate::desk::grey::whole((above * (1.0 - fy) + below * fy).round())).unwrap()
        };
        (0..to * to).flat_map(|index| [at(index % to, index / to); 3]).collect()
    }

    #[test]
    fn a_picture_made_larger_repeats_and_another_does_not() {
        let plain = noise(480);
        let found =
            |rgb: &[u8], side: usize| repetition(&Bands::of(&decoded(&packed(rgb, side, 92)).frame).unwrap()).unwrap();
        let of_plain = found(&plain, 480);
        assert!(of_plain.strength < super::super::REPETITION, "{of_plain:?}");
        // by 1.4: the old pixels lie 1.4 px apart, seen at 1 / (1 - 1 / 1.4) = 3.5 px
        let of_larger = found(&larger(&noise(400), 400, 560), 560);
        assert!(of_larger.strength > super::super::REPETITION, "{of_larger:?}");
        assert!((of_larger.period_px - 3.5).abs() < 0.05, "{of_larger:?}");
    }
}
