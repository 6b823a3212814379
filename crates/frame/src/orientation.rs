use serde::{Deserialize, Serialize};

/// How the stored rows and columns lie when the picture is shown, as EXIF tag 0x0112 (Orientation) numbers it.
///
/// The pixels of a [`crate::Frame`] stay as stored: sharpness, trails and the lens belong to the sensor's own axes.
///
/// # Source
///
/// CIPA DC-008 (Exif 2.32), tag 274: where row 0 and column 0 are seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Orientation {
    /// 1: as stored.
    #[default]
    Upright,
    /// 2: left and right change places.
    MirroredAcross,
    /// 3: half a turn.
    TurnedHalf,
    /// 4: top and bottom change places.
    MirroredDown,
    /// 5: mirrored along the diagonal from the top left.
    MirroredDiagonal,
    /// 6: shown a quarter turn clockwise.
    TurnedClockwise,
    /// 7: mirrored along the diagonal from the top right.
    MirroredOtherDiagonal,
    /// 8: shown a quarter turn anticlockwise.
    TurnedAnticlockwise,
}

impl Orientation {
    /// By its EXIF number; `None` outside 1..=8.
    pub fn from_exif(number: u32) -> Option<Self> {
        Some(match number {
            1 => Self::Upright,
            2 => Self::MirroredAcross,
            3 => Self::TurnedHalf,
            4 => Self::MirroredDown,
            5 => Self::MirroredDiagonal,
            6 => Self::TurnedClockwise,
            7 => Self::MirroredOtherDiagonal,
            8 => Self::TurnedAnticlockwise,
            _ => return None,
        })
    }

    /// Whether rows become columns.
    pub fn swaps_sides(self) -> bool {
        match self {
            Self::MirroredDiagonal
            | Self::TurnedClockwise
            | Self::MirroredOtherDiagonal
            | Self::TurnedAnticlockwise => true,
            Self::Upright | Self::MirroredAcross | Self::TurnedHalf | Self::MirroredDown => false,
        }
    }

    /// Width and height as shown.
    pub fn displayed_size(self, stored: [usize; 2]) -> [usize; 2] {
        if self.swaps_sides() { [stored[1], stored[0]] } else { stored }
    }

    /// Where a stored position is shown. Pixel centres lie at integers, (0, 0) is the top left in both.
    pub fn displayed(self, [x, y]: [f64; 2], stored: [usize; 2]) -> [f64; 2] {
        let right = stored[0] as f64 - 1.0;
        let bottom = stored[1] as f64 - 1.0;
        match self {
            Self::Upright => [x, y],
            Self::MirroredAcross => [right - x, y],
            Self::TurnedHalf => [right - x, bottom - y],
            Self::MirroredDown => [x, bottom - y],
            Self::MirroredDiagonal => [y, x],
            Self::TurnedClockwise => [bottom - y, x],
            Self::MirroredOtherDiagonal => [bottom - y, right - x],
            Self::TurnedAnticlockwise => [y, right - x],
        }
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    /// Exif 2.32, tag 274, for a picture of 4 by 3: where the stored first pixel is seen.
    #[test]
    fn the_first_pixel_is_where_the_standard_says() {
        let corners = [
            (1, [0.0, 0.0]),
            (2, [3.0, 0.0]),
            (3, [3.0, 2.0]),
            (4, [0.0, 2.0]),
            (5, [0.0, 0.0]),
            (6, [2.0, 0.0]),
            (7, [2.0, 3.0]),
            (8, [0.0, 3.0]),
        ];
        for (number, seen) in corners {
            let orientation = Orientation::from_exif(number).unwrap();
            assert_eq!(orientation.displayed([0.0, 0.0], [4, 3]), seen, "orientation {number}");
        }
    }

    /// Exif 2.32, tag 274: at 6 the stored top row is seen on the right, at 8 on the left.
    #[test]
    fn a_row_becomes_the_right_column_at_6_and_the_left_at_8() {
        assert_eq!(Orientation::TurnedClockwise.displayed([3.0, 0.0], [4, 3]), [2.0, 3.0]);
        assert_eq!(Orientation::TurnedAnticlockwise.displayed([3.0, 0.0], [4, 3]), [0.0, 0.0]);
        assert_eq!(Orientation::from_exif(0), None);
    }
}
