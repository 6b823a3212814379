use frame::{Frame, FrameError, LightMap};
use optics::Channel;
use sequence::LightGrid;
use serde::{Deserialize, Serialize};

/// Longest side up to which pixels are taken as they are, px: recorders of all-sky cameras write such pictures, and their cells of
/// twelve pixels would be wider than the bins of a line.
const LARGEST_BY_PIXELS_PX: usize = 1024;

/// The light of one frame, small enough to be handed on: green, or grey. Written down without its values, which go beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SequenceLight {
    columns: usize,
    rows: usize,
    cell_px: f64,
    #[serde(skip)]
    values: Vec<f32>,
    /// Whether the light is a share of full scale; the file's own numbers otherwise.
    is_share: bool,
}

impl SequenceLight {
    /// Light of a frame as stored: pixels of a picture of up to 1024, medians of cells of a larger one.
    ///
    /// # Errors
    ///
    /// None that an opened frame can cause.
    pub fn of(frame: &Frame) -> Result<Self, FrameError> {
        if is_by_pixels(frame) { Self::of_pixels(frame) } else { Ok(Self::of_green(&LightMap::of(frame)?, frame)) }
    }

    /// The same of a frame whose cells are measured already.
    pub(super) fn of_measured(frame: &Frame, map: &LightMap) -> Result<Self, FrameError> {
        if is_by_pixels(frame) { Self::of_pixels(frame) } else { Ok(Self::of_green(map, frame)) }
    }

    fn of_pixels(frame: &Frame) -> Result<Self, FrameError> {
        let plane = frame.plane(Channel::Green)?;
        let (columns, rows, values) = (plane.width(), plane.height(), plane.samples().to_vec());
        Ok(Self { columns, rows, cell_px: 1.0, values, is_share: frame.ceiling.is_some() })
    }

    fn of_green(map: &LightMap, frame: &Frame) -> Self {
        let values = map.green().map(|green| {
            let hidden = |cell: usize| green.is_light.get(cell).copied().unwrap_or(false);
            green.medians.iter().enumerate().map(|(cell, light)| if hidden(cell) { f32::NAN } else { *light }).collect()
        });
        let (columns, rows, cell_px) = (map.columns, map.rows, map.cell_px);
        Self { columns, rows, cell_px, values: values.unwrap_or_default(), is_share: frame.ceiling.is_some() }
    }

    /// Its values, row by row.
    pub fn values(&self) -> &[f32] {
        &self.values
    }

    /// Puts the next values in the place of those that were not written down with it; none where there are too few.
    pub fn fill(&mut self, values: &mut dyn Iterator<Item = f32>) -> Option<()> {
        let count = self.columns.checked_mul(self.rows)?;
        self.values = values.take(count).collect();
        (self.values.len() == count).then_some(())
    }

    /// Values of the cells of a map.
    pub(super) fn of_cells(map: &LightMap, values: Vec<f32>) -> Self {
        Self { columns: map.columns, rows: map.rows, cell_px: map.cell_px, values, is_share: false }
    }

    /// Lower and upper quartile of the cells of a mask; none where none is finite.
    pub(super) fn quartiles(&self, mask: &[bool]) -> Option<[f64; 2]> {
        let masked = self.values.iter().zip(mask).filter(|(value, masked)| **masked && value.is_finite());
        let mut held: Vec<f32> = masked.map(|(value, _)| *value).collect();
        held.sort_by(f32::total_cmp);
        let at =
            |quarters: usize| held.get((held.len().checked_sub(1)? * quarters).div_ceil(4)).copied().map(f64::from);
        Some([at(1)?, at(3)?])
    }

    /// The unit of its light, in words.
    pub(super) fn unit(&self) -> &'static str {
        if self.is_share { "share of full scale" } else { "the file's own numbers" }
    }

    pub(super) fn is_share(&self) -> bool {
        self.is_share
    }

    /// The same light at the settings of another frame.
    pub(super) fn scale(&mut self, factor: f32) {
        for value in &mut self.values {
            *value *= factor;
        }
    }

    pub(super) fn grid(&self) -> Option<LightGrid<'_>> {
        LightGrid::new(self.columns, self.rows, self.cell_px, &self.values)
    }

    /// Whether a frame has the size of this one.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        (self.columns, self.rows, self.cell_px.to_bits(), self.is_share)
            == (other.columns, other.rows, other.cell_px.to_bits(), other.is_share)
    }

    /// Mean over the picture; NaN where nothing is finite.
    pub(super) fn mean(&self) -> f64 {
        let finite = self.values.iter().filter(|value| value.is_finite());
        let (sum, count) = finite.fold((0.0, 0_u32), |(sum, count), value| (sum + f64::from(*value), count + 1));
        sum / f64::from(count)
    }
}

/// Whether the pixels of a frame are taken as they are.
fn is_by_pixels(frame: &Frame) -> bool {
    frame.stored_size.iter().all(|side| *side <= LARGEST_BY_PIXELS_PX)
}
