use crate::FrameError;

/// One channel of a picture: linear light, row by row from the top left.
///
/// Pixel centres lie at integers: the middle of the first pixel is (0, 0). A sample is an `f32` in whatever linear unit
/// its owner says (relative to full scale, or electrons); it may be NaN where nothing was recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    width: usize,
    height: usize,
    samples: Vec<f32>,
}

impl Plane {
    /// A plane of `width` by `height` samples, row by row.
    ///
    /// # Errors
    ///
    /// When the number of samples is not `width * height`, or either side is zero.
    pub fn new(width: usize, height: usize, samples: Vec<f32>) -> Result<Self, FrameError> {
        if width == 0 || height == 0 || width.checked_mul(height) != Some(samples.len()) {
            return Err(FrameError::PlaneSize { width, height, samples: samples.len() });
        }
        Ok(Self { width, height, samples })
    }

    /// Samples in a row.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// All samples, row by row.
    pub fn samples(&self) -> &[f32] {
        &self.samples
    }

    /// Changes samples at their places for others, which then hold what was there; done twice, nothing has changed.
    pub(crate) fn exchange(&mut self, others: &mut [(usize, f32)]) {
        for (place, value) in others {
            if let Some(sample) = self.samples.get_mut(*place) {
                std::mem::swap(sample, value);
            }
        }
    }

    /// The samples of row `y`, or an empty slice below the last row.
    pub fn row(&self, y: usize) -> &[f32] {
        let start = y.saturating_mul(self.width);
        self.samples.get(start..start.saturating_add(self.width)).unwrap_or_default()
    }
}
