//! Light that reaches an eye, cell by cell.

use quantity::LineBrightness;

use crate::OpticsError;
use crate::error::within;
use crate::eye::LAMP_SP_RATIO;
use crate::luminance::{photopic_cd_m2, scotopic_cd_m2, xyz_cd_m2};

/// Cells that a view may have, at most: a screen of 8192 by 8192.
const MOST_CELLS: f64 = 67_108_864.0;
/// Cells between which an eye can be at work: a second of arc, and a fist at arm's length.
const CELLS_DEG: (f64, f64) = (1.0 / 3600.0, 10.0);

/// Light along lines of sight at the ground, in even cells, row by row from the top left.
///
/// The aurora is given as lines, all else (sky, ground, lamps, moon) as tristimulus values, for an eye in the dark sees
/// the two unlike: rods count a blue line 45 times as much as cones do, and other light about as a lamp's.
#[derive(Debug, Clone, PartialEq)]
pub struct EyeScene {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Side of a cell, degrees.
    pub cell_deg: f64,
    /// 427.8, 557.7 and 630.0 nm of each cell, kR, the loss in the air taken off.
    pub lines_kr: Vec<[f32; 3]>,
    /// CIE 1931 tristimulus values of all other light of each cell, Y in cd m⁻².
    pub other_xyz_cd_m2: Vec<[f32; 3]>,
    /// Luminance that the picture shows as white, cd m⁻²: by day the view keeps it.
    pub white_cd_m2: f64,
}

impl EyeScene {
    /// Checks sizes and angles.
    ///
    /// # Errors
    ///
    /// No cells, too many, lists of another length, a cell that is no angle, white that is no light.
    pub fn check(&self) -> Result<(), OpticsError> {
        let cells = self.width as f64 * self.height as f64;
        within("number of cells", cells, 1.0, MOST_CELLS)?;
        within("number of cells with aurora", self.lines_kr.len() as f64, cells, cells)?;
        within("number of cells with other light", self.other_xyz_cd_m2.len() as f64, cells, cells)?;
        within("angle of a cell in degrees", self.cell_deg, CELLS_DEG.0, CELLS_DEG.1)?;
        crate::error::positive("luminance of white", self.white_cd_m2)
    }

    pub(super) fn lines(&self, cell: usize) -> LineBrightness {
        let [blue, green, red] = self.lines_kr[cell].map(|kr| f64::from(clean(kr)));
        LineBrightness { blue_4278_kr: blue, green_5577_kr: green, red_6300_kr: red }
    }

    /// Luminance of all light but the aurora's.
    pub(super) fn other_luminance_cd_m2(&self, cell: usize) -> f64 {
        f64::from(clean(self.other_xyz_cd_m2[cell][1]))
    }

    /// The aurora's and the other light's tristimulus values, and scotopic luminance of both together.
    pub(super) fn light(&self, cell: usize) -> CellLight {
        let other = self.other_xyz_cd_m2[cell].map(|value| f64::from(clean(value)));
        let [blue, green, red] = self.lines_kr[cell].map(clean);
        if blue + green + red <= 0.0 {
            return CellLight { aurora: [0.0; 3], other, scotopic: LAMP_SP_RATIO * other[1] };
        }
        let lines = self.lines(cell);
        let aurora = xyz_cd_m2(&lines);
        debug_assert!((aurora[1] - photopic_cd_m2(&lines)).abs() <= 1e-6 * aurora[1]);
        CellLight { aurora, other, scotopic: scotopic_cd_m2(&lines) + LAMP_SP_RATIO * other[1] }
    }
}

/// One cell's light.
#[derive(Debug, Clone, Copy)]
pub(super) struct CellLight {
    pub(super) aurora: [f64; 3],
    pub(super) other: [f64; 3],
    pub(super) scotopic: f64,
}

/// Light is never negative, and what is no number is none.
fn clean(value: f32) -> f32 {
    if value.is_finite() && value > 0.0 { value } else { 0.0 }
}
