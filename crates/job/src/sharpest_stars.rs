use frame::MotionKind;
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::JobError;
use crate::check::CheckReport;

/// The sharpest stars known of a lens on a camera: what later frames are measured against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SharpestStars {
    /// Their half-flux diameter, px of that frame.
    pub hfd_px: f64,
    /// Columns of the frame.
    pub width_px: u32,
    /// Its rows.
    pub height_px: u32,
    /// The f-number it was taken at, where the file says so: stopped down the same lens is sharper.
    pub f_number: Option<f64>,
    /// When it was taken, where that is known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub taken_at: Option<Timestamp>,
    /// Its file.
    pub frame: String,
}

impl SharpestStars {
    /// Of a frame whose stars can stand as a reference.
    ///
    /// # Errors
    ///
    /// Why they cannot: not measured, drawn out by movement.
    pub fn of(report: &CheckReport) -> Result<Self, String> {
        let width = report.focus.as_ref().and_then(|focus| focus.hfd_px);
        let (Some(hfd), Some([width_px, height_px])) = (width, report.size_px) else {
            return Err("the width of its stars could not be measured".to_owned());
        };
        if let Some(motion) = report.motion.as_ref().filter(|motion| motion.kind != MotionKind::Held) {
            let words = motion.words.first().map_or("its stars are drawn out", String::as_str);
            return Err(format!("its stars were not held still: {words}"));
        }
        Ok(Self {
            hfd_px: hfd.value,
            width_px,
            height_px,
            f_number: report.settings.f_number,
            taken_at: report.taken.as_ref().and_then(|taken| taken.utc),
            frame: report.file.clone(),
        })
    }

    /// Their width on a picture of so many columns and rows, px; `None` for another size: a picture made smaller has its
    /// stars rounded by its own pixels, and a cut one shows another part of the lens.
    pub(crate) fn on(&self, [width, height]: [usize; 2]) -> Option<f64> {
        let own = [self.width_px, self.height_px].map(|side| usize::try_from(side).unwrap_or(usize::MAX));
        (own == [width, height] || own == [height, width]).then_some(self.hfd_px)
    }

    pub(crate) fn check(&self) -> Result<(), JobError> {
        JobError::check("kit.lens.sharpest.hfd_px", self.hfd_px, 0.5, 100.0, "px").map(|_width| ())
    }
}
