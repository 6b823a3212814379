//! Where the sky of the reference's pixels is on another frame, and its light there.

use frame::{LensModel, Orientation};

use crate::tell::clip::picture::whole;
use crate::tell::clip::turn::Turn;

/// Distance of the points between which places are interpolated, px of the stack: how the sky's turn moves a pixel changes
/// over hundreds of them.
pub(super) const STEP_PX: usize = 16;

/// Pixels of the stack and directions of the camera.
#[derive(Debug, Clone, Copy)]
pub(super) struct Optics {
    pub(super) model: LensModel,
    pub(super) orientation: Orientation,
    pub(super) stored: [usize; 2],
    /// Width and height of the stack, px.
    pub(super) size_px: [usize; 2],
}

impl Optics {
    fn scales(&self) -> [f64; 2] {
        let shown = self.orientation.displayed_size(self.stored);
        [0, 1].map(|axis: usize| self.size_px[axis] as f64 / shown[axis].max(1) as f64)
    }

    /// Stored pixel of the frame at a place of the stack.
    pub(super) fn stored_place(&self, place: [f64; 2]) -> [f64; 2] {
        let scales = self.scales();
        let shown = [0, 1].map(|axis: usize| (place[axis] + 0.5) / scales[axis] - 0.5);
        Turn::of(self.orientation, self.stored).stored_place(shown)
    }

    /// Where the direction seen at a place of the reference is on a frame; both as places of the stack.
    fn there(&self, place: [f64; 2], to_frame: &[[f64; 3]; 3]) -> Option<[f64; 2]> {
        let seen = self.model.direction_of(self.stored_place(place))?;
        let turned = to_frame.map(|row| row.iter().zip(seen).map(|(a, b)| a * b).sum());
        let shown = self.orientation.displayed(self.model.pixel_of(turned)?, self.stored);
        let scales = self.scales();
        Some([0, 1].map(|axis: usize| (shown[axis] + 0.5) * scales[axis] - 0.5))
    }

    /// For every pixel of the stack whose sky is on the frame: its number and where that is.
    ///
    /// * `turn`: from the frame's camera axes to the reference's.
    pub(super) fn each_place(&self, turn: &[[f64; 3]; 3], mut each: impl FnMut(usize, [f64; 2])) {
        let to_frame = [0, 1, 2].map(|i: usize| [0, 1, 2].map(|j: usize| turn[j][i]));
        let [width, height] = self.size_px;
        let columns = width.div_ceil(STEP_PX) + 1;
        let node = |row: usize| -> Vec<Option<[f64; 2]>> {
            let y = (row * STEP_PX) as f64;
            (0..columns).map(|column| self.there([(column * STEP_PX) as f64, y], &to_frame)).collect()
        };
        let mut below = node(0);
        for row in 0..height.div_ceil(STEP_PX) {
            let above = std::mem::replace(&mut below, node(row + 1));
            for y in row * STEP_PX..((row + 1) * STEP_PX).min(height) {
                let down = (y - row * STEP_PX) as f64 / STEP_PX as f64;
                for (column, (top, bottom)) in above.windows(2).zip(below.windows(2)).enumerate() {
                    let ([Some(a), Some(b)], [Some(c), Some(d)]) = (top, bottom) else { continue };
                    let between = |a: &[f64; 2], b: &[f64; 2], share: f64| {
                        [0, 1].map(|axis: usize| share.mul_add(b[axis] - a[axis], a[axis]))
                    };
                    let (left, right) = (between(a, c, down), between(b, d, down));
                    for x in column * STEP_PX..((column + 1) * STEP_PX).min(width) {
                        let across = (x - column * STEP_PX) as f64 / STEP_PX as f64;
                        each(y * width + x, between(&left, &right, across));
                    }
                }
            }
        }
    }
}

/// Light between four pixels, by straight lines; `None` beyond the middles of the outermost pixels.
pub(super) fn between_pixels(light: &[[u16; 3]], [width, height]: [usize; 2], [x, y]: [f64; 2]) -> Option<[u16; 3]> {
    if !(x >= 0.0 && y >= 0.0 && x <= width as f64 - 1.0 && y <= height as f64 - 1.0) {
        return None;
    }
    let (column, line) = (whole(x), whole(y));
    #[expect(clippy::cast_possible_truncation, reason = "shares of a pixel")]
    let [across, down] = [(x - column as f64) as f32, (y - line as f64) as f32];
    let first = line * width + column;
    // on the last column or row the neighbour has no share
    let (right, below) = (usize::from(column + 1 < width), if line + 1 < height { width } else { 0 });
    let of = |pixel: usize| light.get(pixel).copied();
    let [a, b, c, d] = [of(first)?, of(first + right)?, of(first + below)?, of(first + below + right)?];
    Some(std::array::from_fn(|channel| {
        let [a, b, c, d] = [a, b, c, d].map(|pixel: [u16; 3]| f32::from(pixel[channel]));
        let (top, bottom) = (across.mul_add(b - a, a), across.mul_add(d - c, c));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between values of 16 bits")]
        let value = down.mul_add(bottom - top, top).round() as u16;
        value
    }))
}
