//! Frames as stored and as shown.

use frame::Orientation;

use super::picture::whole;

/// From stored pixels to shown ones.
pub(in crate::tell) struct Turn {
    orientation: Orientation,
    stored: [usize; 2],
}

impl Turn {
    pub(in crate::tell) fn of(orientation: Orientation, stored: [usize; 2]) -> Self {
        Self { orientation, stored }
    }

    /// Part of the stored frame that a part of the shown one is; left, top, width, height.
    pub(super) fn stored_part(&self, [left, top, width, height]: [f64; 4]) -> [f64; 4] {
        // edges, not middles, of pixels
        let corner = |x: f64, y: f64| self.stored_place([x - 0.5, y - 0.5]).map(|px| px + 0.5);
        let [a, b] = [corner(left, top), corner(left + width, top + height)];
        [a[0].min(b[0]), a[1].min(b[1]), (a[0] - b[0]).abs(), (a[1] - b[1]).abs()]
    }

    /// Where a place of the shown frame is stored, px.
    pub(in crate::tell) fn stored_place(&self, shown: [f64; 2]) -> [f64; 2] {
        // a quarter turn is undone by the other one, everything else by itself
        let back = match self.orientation {
            Orientation::TurnedClockwise => Orientation::TurnedAnticlockwise,
            Orientation::TurnedAnticlockwise => Orientation::TurnedClockwise,
            other => other,
        };
        back.displayed(shown, self.orientation.displayed_size(self.stored))
    }

    /// Lays a small stored picture down as it is shown: `each` gets the pixel's number and its value.
    pub(super) fn lay(&self, plane: &[f32], small: [usize; 2], mut each: impl FnMut(usize, f32)) {
        let width = self.orientation.displayed_size(small)[0];
        if self.orientation == Orientation::Upright {
            plane.iter().enumerate().for_each(|(pixel, value)| each(pixel, *value));
            return;
        }
        for (y, row) in plane.chunks_exact(small[0].max(1)).enumerate() {
            for (x, value) in row.iter().enumerate() {
                let [column, line] = self.orientation.displayed([x as f64, y as f64], small);
                each(whole(line + 0.5) * width + whole(column + 0.5), *value);
            }
        }
    }
}
