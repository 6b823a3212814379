//! From a picture to the sky and back.

use frame::{ChannelLight, LensSolution, LightMap};
use quantity::Horizontal;

/// Where directions of the sky lie in a picture, as seen from the ground. Pixel centres lie at whole numbers, y down.
pub trait SkyView {
    /// The pixel of a direction; none where the lens makes no image.
    fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]>;
    /// The direction of a pixel; none beyond the image.
    fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal>;
}

impl SkyView for LensSolution {
    fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        self.pixel_of_horizontal(direction)
    }
    fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.horizontal_of(pixel)
    }
}

/// Light over a picture in square cells, in any unit; a plane of pixels has cells of one.
#[derive(Debug, Clone, Copy)]
pub struct LightGrid<'a> {
    columns: usize,
    rows: usize,
    cell_px: f64,
    values: &'a [f32],
    hidden: Option<&'a [bool]>,
}

impl<'a> LightGrid<'a> {
    /// A grid of values, row by row; none where the list does not fit the size.
    ///
    /// * `cell_px`: side of a cell, px of the picture.
    pub fn new(columns: usize, rows: usize, cell_px: f64, values: &'a [f32]) -> Option<Self> {
        let fits = columns.checked_mul(rows) == Some(values.len()) && cell_px > 0.0 && cell_px.is_finite();
        fits.then_some(Self { columns, rows, cell_px, values, hidden: None })
    }

    /// One channel of a map; cells with lamps or the moon in them are hidden.
    pub fn of_channel(map: &LightMap, channel: &'a ChannelLight) -> Option<Self> {
        let grid = Self::new(map.columns, map.rows, map.cell_px, &channel.medians)?;
        let hidden = Some(channel.is_light.as_slice()).filter(|hidden| hidden.len() == channel.medians.len());
        Some(Self { hidden, ..grid })
    }

    /// Cells across.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Cells down.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Side of a cell, px.
    pub fn cell_px(&self) -> f64 {
        self.cell_px
    }

    /// The value of a cell by its place in the list; none where it is hidden or not finite.
    pub fn value(&self, index: usize) -> Option<f32> {
        let hidden = self.hidden.and_then(|hidden| hidden.get(index)).copied().unwrap_or(false);
        self.values.get(index).copied().filter(|value| value.is_finite() && !hidden)
    }

    /// Size and cell: what a sampler made for another picture must share.
    pub(crate) fn shape(&self) -> GridShape {
        GridShape { columns: self.columns, rows: self.rows, cell_px: self.cell_px }
    }
}

/// Size of a grid and of its cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct GridShape {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    pub(crate) cell_px: f64,
}

impl GridShape {
    /// The cell that holds a pixel.
    pub(crate) fn cell_of(&self, [x, y]: [f64; 2]) -> Option<usize> {
        // pixel centres at whole numbers: the first cell begins half a pixel before the first centre
        let [column, row] = [(x + 0.5) / self.cell_px, (y + 0.5) / self.cell_px];
        let inside = column >= 0.0 && row >= 0.0 && column < self.columns as f64 && row < self.rows as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to lie in the grid")]
        let index = inside.then(|| row as usize * self.columns + column as usize);
        index
    }

    /// The pixel in the middle of a cell, which may lie between two.
    pub(crate) fn middle_px(&self, column: f64, row: f64) -> [f64; 2] {
        [(column + 0.5) * self.cell_px - 0.5, (row + 0.5) * self.cell_px - 0.5]
    }
}
