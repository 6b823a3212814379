//! A frame in a few large regions, each with its share of cloud.

use crate::whole::index;
use crate::{CellKind, SkyMask};

/// Regions along the long side of a map.
const ALONG: usize = 8;

/// Cloud by region, row by row from the top left of the frame as stored.
#[derive(Debug, Clone, PartialEq)]
pub struct CloudMap {
    /// Regions across.
    pub columns: usize,
    /// Regions down.
    pub rows: usize,
    /// Side of a region, px.
    pub region_px: f64,
    /// Share of the region's sky under cloud, 0..1; `None` where it cannot be told.
    pub cover: Vec<Option<f64>>,
}

impl CloudMap {
    /// Cover at a pixel of the frame; `None` where it cannot be told, and outside the frame.
    pub fn at(&self, place: [f64; 2]) -> Option<f64> {
        let regions = Regions { columns: self.columns, rows: self.rows, side_px: self.region_px };
        self.cover.get(regions.at(place)).copied().flatten()
    }
}

/// Regions of a frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Regions {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) side_px: f64,
}

impl Regions {
    pub(super) fn of([width, height]: [usize; 2]) -> Self {
        let side_px = (width.max(height) as f64 / ALONG as f64).max(1.0);
        let count = |side: usize| index((side as f64 / side_px).ceil()).max(1);
        Self { columns: count(width), rows: count(height), side_px }
    }

    pub(super) fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// Region of a pixel.
    pub(super) fn at(&self, place: [f64; 2]) -> usize {
        let [column, row] = place.map(|px| index(((px + 0.5) / self.side_px).max(0.0)));
        row.min(self.rows - 1) * self.columns + column.min(self.columns - 1)
    }

    /// Sky of each region, px²; of a fisheye only within this share of its circle.
    pub(super) fn sky_px2(&self, mask: &SkyMask, share: f64) -> Vec<f64> {
        let mut areas = vec![0.0; self.count()];
        for (i, _) in mask.kinds.iter().enumerate().filter(|(_, kind)| **kind == CellKind::Sky) {
            let place = [i % mask.columns, i / mask.columns].map(|at| (at as f64 + 0.5) * mask.cell_px - 0.5);
            if mask.is_within(place, share) {
                areas[self.at(place)] += mask.cell_px * mask.cell_px;
            }
        }
        areas
    }

    pub(super) fn map(&self, cover: Vec<Option<f64>>) -> CloudMap {
        CloudMap { columns: self.columns, rows: self.rows, region_px: self.side_px, cover }
    }
}

/// Range of a share of which `bad` of `of` were seen, one deviation each way (Wilson 1927).
pub(super) fn wilson(bad: f64, of: f64) -> [f64; 2] {
    let of = of.max(1.0);
    let p = (bad / of).clamp(0.0, 1.0);
    let middle = (p + 0.5 / of) / (1.0 + 1.0 / of);
    let half = (p * (1.0 - p) / of + 0.25 / (of * of)).sqrt() / (1.0 + 1.0 / of);
    [(middle - half).max(0.0), (middle + half).min(1.0)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Brown, Cai and DasGupta 2001, Statistical Science 16, 101: the formula; at 0 of n the lower end is 0, the upper 1/(n+1).
    #[test]
    fn nothing_of_ten_reaches_up_to_one_in_eleven() {
        let [low, high] = wilson(0.0, 10.0);
        assert!(low.abs() < 1e-12 && (high - 1.0 / 11.0).abs() < 1e-12);
        let [low, high] = wilson(5.0, 10.0);
        assert!((low + high - 1.0).abs() < 1e-12 && high > 0.6 && high < 0.66);
    }
}
