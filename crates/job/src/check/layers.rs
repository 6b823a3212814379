use frame::LightMap;

/// What was found where in a frame, in square cells, row by row from the first of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct FrameLayers {
    /// Cells across.
    pub columns: usize,
    /// Cells down.
    pub rows: usize,
    /// Side of a cell, px of the frame as stored: cell (c, r) begins at `c * cell_px` and `r * cell_px`.
    pub cell_px: f64,
    /// Cells that hold full pixels.
    pub clipped: Vec<bool>,
}

/// Median from which a cell is full, share of full scale: as for single pixels.
const FULL_MEDIAN: f32 = 0.99;

impl FrameLayers {
    pub(super) fn of(map: &LightMap, has_full_scale: bool) -> Self {
        let is_full = |cell: usize| {
            map.channels.iter().any(|channel| channel.is_light[cell] || channel.medians[cell] >= FULL_MEDIAN)
        };
        let cells = map.columns * map.rows;
        Self {
            columns: map.columns,
            rows: map.rows,
            cell_px: map.cell_px,
            clipped: (0..cells).map(|cell| has_full_scale && is_full(cell)).collect(),
        }
    }
}
