use frame::{AuroraFinding, CellKind, CloudCover, LightMap, SkyMask};

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
    /// Cells that are no sky.
    pub ground: Vec<bool>,
    /// Cells of sky that cloud hides, where stars tell it.
    pub cloud: Vec<bool>,
    /// Cells with aurora.
    pub aurora: Vec<bool>,
}

/// Cover of a region from which cloud is drawn there.
const CLOUDY: f64 = 0.5;

impl FrameLayers {
    pub(super) fn of(
        map: &LightMap,
        has_full_scale: bool,
        mask: &SkyMask,
        cloud: Option<&CloudCover>,
        aurora: &AuroraFinding,
    ) -> Self {
        let cells = map.columns * map.rows;
        let is_sky = mask.sky();
        let cover = cloud.and_then(|cloud| cloud.map.as_ref());
        let is_cloudy = |cell: usize| {
            is_sky[cell] && cover.and_then(|cover| cover.at(map.middle_px(cell))).is_some_and(|cover| cover >= CLOUDY)
        };
        Self {
            columns: map.columns,
            rows: map.rows,
            cell_px: map.cell_px,
            clipped: (0..cells).map(|cell| has_full_scale && map.is_full(cell)).collect(),
            ground: mask.kinds.iter().map(|kind| matches!(kind, CellKind::Foreground | CellKind::Lamp)).collect(),
            cloud: (0..cells).map(is_cloudy).collect(),
            aurora: aurora.mask.clone(),
        }
    }
}
