use crate::FrameError;

/// Pixels of the largest body sold to photographers, with a little room: 14 204 by 10 652 is 151.3 million.
const MOST_PIXELS: u64 = 155_000_000;
/// Memory that a laptop with 4 GB can give to one picture beside a browser. Common practice, no source.
const MOST_BYTES: u64 = 700_000_000;
/// The longest side that a JPEG can have; no camera, and no panorama that people hand on, is longer.
const LONGEST_SIDE: u64 = 65_535;

/// How large a picture may be. Sizes are read from the head of the file and judged before any pixel is decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Width times height.
    pub most_pixels: u64,
    /// Bytes of the file, and likewise bytes that decoding takes at its peak, as far as that can be told before.
    pub most_bytes: u64,
    /// Longest side, pixels.
    pub longest_side: u64,
}

impl Default for Limits {
    /// 155 million pixels, 700 MB, 65 535 pixels a side.
    fn default() -> Self {
        Self { most_pixels: MOST_PIXELS, most_bytes: MOST_BYTES, longest_side: LONGEST_SIDE }
    }
}

impl Limits {
    /// Refuses a file that is too large to look at.
    pub(crate) fn judge_file(&self, bytes: &[u8]) -> Result<(), FrameError> {
        let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        at_most("bytes of the file", size, self.most_bytes)
    }

    /// Refuses a picture by its size alone, and gives the size in the form that indices need.
    ///
    /// * `bytes_per_pixel`: what decoding takes at its peak, output included.
    ///
    /// # Errors
    ///
    /// No pixels, or more of anything than is let in.
    pub fn judge(&self, width: u64, height: u64, bytes_per_pixel: u64) -> Result<[usize; 2], FrameError> {
        if width == 0 || height == 0 {
            return Err(FrameError::NoPixels);
        }
        at_most("pixels on the longest side", width.max(height), self.longest_side)?;
        let pixels = width.saturating_mul(height);
        at_most("pixels", pixels, self.most_pixels)?;
        at_most("bytes of memory", pixels.saturating_mul(bytes_per_pixel), self.most_bytes)?;
        let too_wide = |_cause| FrameError::TooLarge { quantity: "pixels", value: pixels, limit: self.most_pixels };
        Ok([usize::try_from(width).map_err(too_wide)?, usize::try_from(height).map_err(too_wide)?])
    }

    /// The byte limit in the form that decoders take.
    pub(crate) fn most_bytes_usize(&self) -> usize {
        usize::try_from(self.most_bytes).unwrap_or(usize::MAX)
    }
}

fn at_most(quantity: &'static str, value: u64, limit: u64) -> Result<(), FrameError> {
    if value > limit { Err(FrameError::TooLarge { quantity, value, limit }) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_of_150_megapixels_in_8_bits_is_let_in_and_a_bomb_is_not() {
        let limits = Limits::default();
        assert_eq!(limits.judge(14_204, 10_652, 3), Ok([14_204, 10_652]));
        assert!(matches!(limits.judge(60_000, 60_000, 3), Err(FrameError::TooLarge { quantity: "pixels", .. })));
        assert!(matches!(limits.judge(u64::MAX, u64::MAX, u64::MAX), Err(FrameError::TooLarge { .. })));
        assert_eq!(limits.judge(0, 7, 3), Err(FrameError::NoPixels));
    }
}
