//! The parts of a frame with the narrowest and the widest stars: which they are, and both pixel for pixel.

use serde::{Deserialize, Serialize};

use super::opened::{Crop, OpenedPicture, UnreadablePicture};
use super::report::WidthMap;

/// Widest over narrowest up to which two parts are called alike (judgement: nobody sees a tenth, and the median of the few
/// stars in a part scatters by as much).
const ALIKE_RATIO: f64 = 1.15;
/// Columns of black between two parts.
const GAP_PX: usize = 8;

/// A part of the frame whose stars were measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FocusPart {
    /// Its middle as shares of the width and height as stored, from the top left, 0..1.
    pub middle: [f64; 2],
    /// Median half-flux diameter of its stars, px.
    pub hfd_px: f64,
    /// Where it lies in the picture as stored, in words ("top left").
    pub place: String,
}

/// Where stars are narrowest and widest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FocusParts {
    /// Where they are narrowest.
    pub sharpest: FocusPart,
    /// Where they are widest.
    pub softest: FocusPart,
    /// Whether the two hardly differ.
    pub alike: bool,
    /// Both in one sentence.
    pub words: String,
}

impl WidthMap {
    /// The parts with the narrowest and the widest stars; `None` where fewer than two parts say anything.
    pub(super) fn parts(&self) -> Option<FocusParts> {
        let mut parts: Vec<FocusPart> = self
            .hfd_px
            .iter()
            .zip(0u32..)
            .filter_map(|(hfd, cell)| {
                let (column, row) = (cell.checked_rem(self.columns)?, cell.checked_div(self.columns)?);
                let middle = [
                    (f64::from(column) + 0.5) / f64::from(self.columns),
                    (f64::from(row) + 0.5) / f64::from(self.rows.max(1)),
                ];
                Some(FocusPart { middle, hfd_px: (*hfd)?, place: place(middle) })
            })
            .collect();
        parts.sort_by(|one, other| one.hfd_px.total_cmp(&other.hfd_px));
        let softest = parts.pop()?;
        let sharpest = parts.into_iter().next()?;
        let alike = softest.hfd_px <= ALIKE_RATIO * sharpest.hfd_px;
        let said = |part: &FocusPart| format!("{}, stars {:.1} px wide", part.place, part.hfd_px);
        let words = if alike {
            format!("alike: {} at best, {} at worst", said(&sharpest), said(&softest))
        } else {
            format!("sharpest {}; softest {}", said(&sharpest), said(&softest))
        };
        Some(FocusParts { sharpest, softest, alike, words })
    }
}

fn place([across, down]: [f64; 2]) -> String {
    let third = |share: f64, names: [&'static str; 3]| match share {
        first if first < 1.0 / 3.0 => names[0],
        last if last > 2.0 / 3.0 => names[2],
        _middle => names[1],
    };
    let (down, across) = (third(down, ["top", "middle", "bottom"]), third(across, ["left", "middle", "right"]));
    if down == across { down.to_owned() } else { format!("{down} {across}") }
}

/// Two parts side by side, pixel for pixel, the sharpest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartsPicture {
    /// Columns and rows.
    pub size_px: [usize; 2],
    /// Red, green, blue of each pixel.
    pub rgb: Vec<u8>,
}

impl OpenedPicture {
    /// The sharpest and the softest part side by side, as the picture is shown.
    ///
    /// * `side_px`: columns and rows of each, at most 4096; less where the picture is smaller.
    ///
    /// # Errors
    ///
    /// None that an opened picture can cause.
    pub fn parts(&self, parts: &FocusParts, side_px: usize) -> Result<PartsPicture, UnreadablePicture> {
        let sharpest = self.around(parts.sharpest.middle, side_px)?;
        let softest = self.around(parts.softest.middle, side_px)?;
        let width = sharpest.width + GAP_PX + softest.width;
        let mut rgb = Vec::with_capacity(width * sharpest.height * 3);
        let gap = [0u8; 3 * GAP_PX];
        let rows = |crop: &Crop| 3 * crop.width.max(1);
        for (left, right) in sharpest.rgb.chunks_exact(rows(&sharpest)).zip(softest.rgb.chunks_exact(rows(&softest))) {
            for row in [left, &gap, right] {
                rgb.extend_from_slice(row);
            }
        }
        Ok(PartsPicture { size_px: [width, sharpest.height], rgb })
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    #[test]
    fn parts_that_hardly_differ_are_alike() {
        let map = |hfd_px: [Option<f64>; 6]| WidthMap { columns: 3, rows: 2, hfd_px: hfd_px.to_vec() };
        let parts = map([Some(2.0), None, Some(3.1), Some(2.2), None, None]).parts().unwrap();
        assert_eq!((parts.sharpest.place.as_str(), parts.softest.place.as_str()), ("top left", "top right"));
        assert!(!parts.alike && parts.softest.middle == [2.5 / 3.0, 0.25], "{parts:?}");
        let parts = map([Some(2.0), None, None, Some(2.2), None, None]).parts().unwrap();
        assert!(parts.alike && parts.words.starts_with("alike: top left"), "{}", parts.words);
        assert_eq!(map([Some(2.0), None, None, None, None, None]).parts(), None);
    }
}
