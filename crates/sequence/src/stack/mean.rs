use super::StackLimits;

/// Mean of the values that belong to their pixels.
///
/// Light is linear, red, green and blue of 0 to 65 535; 14 bytes a pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct MeanStack {
    sums: Vec<[u32; 3]>,
    frames: Vec<u16>,
    taken: u64,
    clipped: u64,
}

impl MeanStack {
    /// A stack of so many pixels.
    pub fn new(pixels: usize) -> Self {
        Self { sums: vec![[0; 3]; pixels], frames: vec![0; pixels], taken: 0, clipped: 0 }
    }

    /// Takes a frame's light at a pixel in, unless it lies outside the pixel's limits; at most 65 535 frames.
    pub fn push(&mut self, pixel: usize, light: [u16; 3], limits: &StackLimits) {
        let Some((sums, frames)) = self.sums.get_mut(pixel).zip(self.frames.get_mut(pixel)) else { return };
        if !limits.holds(pixel, light) {
            self.clipped += 1;
            return;
        }
        if *frames == u16::MAX {
            return;
        }
        self.taken += 1;
        *frames += 1;
        sums.iter_mut().zip(light).for_each(|(sum, value)| *sum = sum.saturating_add(u32::from(value)));
    }

    /// Share of the values that were left out as outliers, 0 to 1.
    pub fn clipped_share(&self) -> f64 {
        self.clipped as f64 / (self.clipped + self.taken).max(1) as f64
    }

    /// The mean of a pixel, 0 to 65 535, and of how many frames; `None` where no frame has it.
    pub fn pixel(&self, pixel: usize) -> Option<([f32; 3], u16)> {
        let (sums, frames) = (self.sums.get(pixel)?, *self.frames.get(pixel)?);
        (frames > 0).then(|| (sums.map(|sum| sum as f32 / f32::from(frames)), frames))
    }
}
