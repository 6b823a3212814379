//! Whether a picture is a photograph at all: what its numbers look like beside each other.

use serde::{Deserialize, Serialize};

use crate::{FileKind, Frame, Plane, SampleUnit};

/// Rows looked at, at most, evenly over the picture: of 6,000 px each they hold a million and a half pairs, and thousands are enough.
const ROWS: usize = 250;
/// Side of the blocks of JPEG, px.
const BLOCK: usize = 8;
/// Numbers between these shares of full scale can differ; outside them black and white are alike in photographs too.
const COMPARED: [f32; 2] = [0.004, 0.95];
/// Pairs compared at least: fewer say nothing.
const LEAST_COMPARED: usize = 2_000;
/// Share of neighbours with the very same numbers from which a picture is drawn: noise makes neighbours differ, but
/// strong packing as JPEG evens out a half of them (judgement).
const SAME_NEIGHBOURS: f64 = 0.9;
/// Share of the steps that lie on the edges of JPEG's blocks, from which packing has made the neighbours alike: by chance it
/// is an eighth; a drawing's own edges and their ringing lie anywhere.
const STEPS_ON_BLOCKS: f64 = 0.3;
/// The same neighbours, white ones too, and between black and white alone, of a page or a screen with a picture in it.
const SAME_ON_PAGE: f64 = 0.9;
const SAME_IN_PICTURE: f64 = 0.6;
/// Share of neighbours alike from which there is nothing in a picture at all, camera or not.
const NOTHING_BUT_ONE: f64 = 0.9999;

/// What the numbers of a picture look like beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct PictureNature {
    /// Share of neighbours across with the very same number, between black and white.
    pub same: f64,
    /// The same with white ones.
    pub same_on_page: f64,
    /// Share of the steps between unlike neighbours that lie on every eighth pixel.
    pub steps_on_blocks: f64,
    /// Pairs compared between black and white.
    pub compared: usize,
    /// Pairs with white ones.
    pub compared_on_page: usize,
}

impl PictureNature {
    /// Of a plane of a picture whose full scale is 1: luminance, for a drawing may vary in one channel alone.
    pub fn of(plane: &Plane) -> Self {
        let step = plane.height().div_ceil(ROWS).max(1);
        let (mut same, mut compared, mut same_on_page, mut on_page) = (0usize, 0usize, 0usize, 0usize);
        let (mut steps, mut on_blocks) = (0usize, 0usize);
        let mut room = Vec::new();
        for y in (step / 2..plane.height()).step_by(step) {
            for (x, pair) in plane.row(y).samples(&mut room).windows(2).enumerate() {
                if pair[0].is_nan() || pair[0] <= COMPARED[0] {
                    continue;
                }
                let is_same = pair[0].to_bits() == pair[1].to_bits();
                on_page += 1;
                same_on_page += usize::from(is_same);
                if pair[0] < COMPARED[1] {
                    compared += 1;
                    same += usize::from(is_same);
                    steps += usize::from(!is_same);
                    on_blocks += usize::from(!is_same && (x + 1) % BLOCK == 0);
                }
            }
        }
        let share = |of: usize, all: usize| if all == 0 { 0.0 } else { of as f64 / all as f64 };
        Self {
            same: share(same, compared),
            same_on_page: share(same_on_page, on_page),
            steps_on_blocks: share(on_blocks, steps),
            compared,
            compared_on_page: on_page,
        }
    }

    /// Why a picture is no photograph; `None` where it may be one.
    pub fn not_a_photograph(&self, frame: &Frame) -> Option<&'static str> {
        if frame.unit == SampleUnit::FileUnits {
            return None;
        }
        if self.compared >= LEAST_COMPARED && self.same >= NOTHING_BUT_ONE {
            return Some("every pixel has the same number: no sensor does that");
        }
        if frame.metadata.camera().is_some() {
            return None;
        }
        let is_packed = frame.kind == FileKind::Jpeg && self.steps_on_blocks > STEPS_ON_BLOCKS;
        if self.compared >= LEAST_COMPARED && self.same > SAME_NEIGHBOURS && !is_packed {
            return Some("neighbouring pixels are alike to the last step, and no camera is named: drawn or rendered");
        }
        // a page needs no more than its white to be told
        let is_page = self.compared_on_page >= LEAST_COMPARED
            && self.same_on_page > SAME_ON_PAGE
            && self.same > SAME_IN_PICTURE
            && self.compared > 0;
        if is_page && frame.kind != FileKind::Jpeg {
            return Some(
                "most neighbouring pixels are alike to the last step, and no camera is named: a page, a diagram or a screen",
            );
        }
        None
    }
}
