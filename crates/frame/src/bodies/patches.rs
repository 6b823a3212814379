//! Burnt-out patches of a plane, looked at in blocks of a few pixels.

use crate::sky_mask::features::quantile;
use crate::whole::index;
use crate::{CellKind, Plane, SkyMask};

/// Blocks along the long side: the moon is a three-hundredth of a wide frame.
const BLOCKS_ALONG: usize = 1500;
/// Share of the way from the sky to full from which light is burnt out.
const FULL_SHARE: f64 = 0.95;
/// Patches kept, the largest ones; and how many are looked at before the frame is held for one of many lights.
const MOST_PATCHES: usize = 2000;
/// Samples from which the level of the sky is taken.
const LEVEL_SAMPLES: usize = 4000;
/// Place in their order of the one taken for black.
const BLACK_PLACE: f64 = 0.01;

/// A plane thinned out.
#[derive(Debug)]
pub(super) struct Blocks {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Side of a block, px.
    pub(super) side_px: f64,
    values: Vec<f32>,
    /// Highest number among them.
    top: f32,
}

/// Levels of a plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Levels {
    pub(super) black: f64,
    pub(super) sky: f64,
    pub(super) full: f64,
}

/// Connected blocks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patch {
    pub(super) blocks: usize,
    /// Middle, blocks.
    pub(super) middle: [f64; 2],
    /// Second moments, blocks².
    moments: [f64; 3],
}

impl Patch {
    fn of(members: &[usize], columns: usize) -> Self {
        let n = members.len() as f64;
        let place = |i: &usize| [(i % columns) as f64, (i / columns) as f64];
        let sum = members.iter().map(place).fold([0.0; 2], |sum, at| [sum[0] + at[0], sum[1] + at[1]]);
        let middle = sum.map(|sum| sum / n);
        // of one block itself
        let mut moments = [1.0 / 12.0, 1.0 / 12.0, 0.0];
        for [x, y] in members.iter().map(place) {
            let [dx, dy] = [x - middle[0], y - middle[1]];
            moments[0] += dx * dx / n;
            moments[1] += dy * dy / n;
            moments[2] += dx * dy / n;
        }
        Self { blocks: members.len(), middle, moments }
    }

    /// Radius of the disc of the same area, blocks.
    pub(super) fn radius(&self) -> f64 {
        (self.blocks as f64 / std::f64::consts::PI).sqrt()
    }

    /// Area over that of the even ellipse with its moments: 1 for discs, less for what is ragged or bent.
    pub(super) fn fill(&self) -> f64 {
        let [xx, yy, xy] = self.moments;
        self.blocks as f64 / (4.0 * std::f64::consts::PI * (xx * yy - xy * xy).max(f64::MIN_POSITIVE).sqrt())
    }

    /// Short over long axis.
    pub(super) fn axis(&self) -> f64 {
        let [xx, yy, xy] = self.moments;
        let (mean, difference) = (0.5 * (xx + yy), (0.25 * (xx - yy).powi(2) + xy * xy).sqrt());
        ((mean - difference).max(0.0) / (mean + difference)).sqrt()
    }
}

impl Blocks {
    pub(super) fn of(plane: &Plane) -> Self {
        let side = plane.width().max(plane.height()).div_ceil(BLOCKS_ALONG).max(1);
        let [columns, rows] = [plane.width(), plane.height()].map(|along| along.div_ceil(side));
        let mut values = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            let line = plane.row((row * side + side / 2).min(plane.height() - 1));
            values.extend((0..columns).map(|column| line.at((column * side + side / 2).min(line.len() - 1))));
        }
        let top = values.iter().copied().filter(|value| value.is_finite()).fold(f32::NEG_INFINITY, f32::max);
        Self { columns, rows, side_px: side as f64, values, top }
    }

    pub(super) fn count(&self) -> usize {
        self.values.len()
    }

    pub(super) fn long_px(&self) -> f64 {
        self.columns.max(self.rows) as f64 * self.side_px
    }

    /// Pixel of a place in blocks.
    pub(super) fn place_px(&self, place: [f64; 2]) -> [f64; 2] {
        place.map(|at| (at + 0.5) * self.side_px - 0.5)
    }

    /// Value at a place in blocks; `None` outside, and where it is no number.
    pub(super) fn at(&self, [x, y]: [f64; 2]) -> Option<f64> {
        let inside = x >= -0.5 && y >= -0.5 && x < self.columns as f64 - 0.5 && y < self.rows as f64 - 0.5;
        let value = inside.then(|| self.values[index((y + 0.5).floor()) * self.columns + index((x + 0.5).floor())])?;
        value.is_finite().then_some(f64::from(value))
    }

    /// Black, sky and full; `None` where the sky itself is full or nothing is brighter than it.
    pub(super) fn levels(&self, mask: &SkyMask, ceiling: Option<f32>) -> Option<Levels> {
        let step = self.values.len().div_ceil(LEVEL_SAMPLES).max(1);
        let (mut all, mut sky) = (Vec::new(), Vec::new());
        for i in (0..self.values.len()).step_by(step) {
            let value = f64::from(self.values[i]);
            all.push(value);
            if mask.at(self.place_px([(i % self.columns) as f64, (i / self.columns) as f64])) == CellKind::Sky {
                sky.push(value);
            }
        }
        let levels = Levels {
            black: quantile(&all, BLACK_PLACE)?,
            sky: quantile(&sky, 0.5)?,
            full: f64::from(ceiling.map_or(self.top, |ceiling| ceiling.min(self.top))),
        };
        (levels.full > levels.sky).then_some(levels)
    }

    /// Connected blocks that are full, the largest ones.
    pub(super) fn patches(&self, levels: &Levels) -> Vec<Patch> {
        let threshold = levels.sky + FULL_SHARE * (levels.full - levels.sky);
        let mut seen: Vec<bool> =
            self.values.iter().map(|value| f64::from(*value) < threshold || value.is_nan()).collect();
        let mut found = Vec::new();
        let mut members = Vec::new();
        for start in 0..self.values.len() {
            if seen[start] {
                continue;
            }
            members.clear();
            members.push(start);
            seen[start] = true;
            let mut next = 0;
            while let Some(&i) = members.get(next) {
                next += 1;
                let (column, row) = (i % self.columns, i / self.columns);
                let beside = [
                    (column > 0).then(|| i - 1),
                    (column + 1 < self.columns).then_some(i + 1),
                    (row > 0).then(|| i - self.columns),
                    (row + 1 < self.rows).then_some(i + self.columns),
                ];
                for other in beside.into_iter().flatten() {
                    if !seen[other] {
                        seen[other] = true;
                        members.push(other);
                    }
                }
            }
            found.push(Patch::of(&members, self.columns));
        }
        found.sort_by_key(|patch: &Patch| std::cmp::Reverse(patch.blocks));
        found.truncate(MOST_PATCHES);
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_disc_is_round_and_full_and_a_bar_is_not() {
        let disc: Vec<usize> =
            (0..100 * 100).filter(|i| ((i % 100) as f64 - 50.0).hypot((i / 100) as f64 - 40.0) <= 12.0).collect();
        let disc = Patch::of(&disc, 100);
        assert!((disc.fill() - 1.0).abs() < 0.05 && disc.axis() > 0.97 && (disc.radius() - 12.0).abs() < 0.3);
        let bar: Vec<usize> = (10..40).map(|x| 20 * 100 + x).collect();
        assert!(Patch::of(&bar, 100).axis() < 0.1);
    }
}
