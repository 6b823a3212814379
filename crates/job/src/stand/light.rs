//! The predicted light of the whole sky at one instant, and how much of it a frame holds.

use aurora::{Oval, SkyMoment};
use quantity::{Horizontal, LineBrightness};

use crate::JobError;
use crate::framing::Framing;
use crate::site_sky::{SiteSky, SkyNow};

/// Spacing of the grid in altitude, degrees: the mean oval is smooth over several times that.
const ALTITUDE_STEP_DEG: f64 = 2.5;
/// Rows from the horizon to the zenith.
const ROWS: usize = 37;
/// Spacing in azimuth, degrees.
const AZIMUTH_STEP_DEG: f64 = 4.0;
/// Columns around.
const COLUMNS: usize = 90;
/// Share of the peak above which the crest of an arc counts as arc.
const CREST_SHARE: f64 = 0.5;
/// Peak altitude above which there is no arc to follow, only light overhead, degrees.
const OVERHEAD_DEG: f64 = 70.0;
/// Green light below which there is none to frame, kR: a tenth of what a dark-adapted eye sees.
pub(super) const NOTHING_KR: f64 = 0.05;

/// Directions of the grid, row by row from the horizon up.
pub(super) fn directions() -> Vec<Horizontal> {
    (0..ROWS).flat_map(|row| (0..COLUMNS).map(move |column| direction(row, column))).collect()
}

fn direction(row: usize, column: usize) -> Horizontal {
    Horizontal::new(row as f64 * ALTITUDE_STEP_DEG, column as f64 * AZIMUTH_STEP_DEG)
}

/// Green light with the direction it comes from: one node of the visible sky.
#[derive(Debug, Clone, Copy)]
pub(super) struct Glow {
    pub(super) vector: [f64; 3],
    /// Share of all visible green light; all nodes make 1.
    pub(super) share: f64,
}

/// Brightness over the whole sky, mean oval, as it reaches the observer.
#[derive(Debug)]
pub(super) struct SkyLight {
    pub(super) kp: f64,
    grid: Vec<LineBrightness>,
    /// Of the sky above the skyline.
    pub(super) brightest: Horizontal,
    pub(super) brightest_kr: LineBrightness,
    /// Crest of the arc from left to right; empty where the light is overhead or there is none.
    pub(super) crest: Vec<Horizontal>,
    pub(super) glows: Vec<Glow>,
}

impl SkyLight {
    /// The light of a site's sky, sampled in [`directions`], at a Kp.
    pub(super) fn new(sky: &SiteSky<'_>, now: &SkyNow, kp: f64) -> Result<Self, JobError> {
        JobError::check("activity.kp", kp, 0.0, 9.0, "for Kp")?;
        let oval = Oval::new(kp);
        let grid = sky.sampler.brightness(&SkyMoment::new(&oval, &sky.emission, &now.clock));
        let visible = |index: usize| {
            let d = direction(index / COLUMNS, index % COLUMNS);
            d.altitude_deg >= sky.site.skyline_deg(d.azimuth_deg)
        };
        let seen: Vec<usize> = (0..grid.len()).filter(|&index| visible(index)).collect();
        let best = seen.iter().copied().max_by(|&a, &b| grid[a].green_5577_kr.total_cmp(&grid[b].green_5577_kr));
        let best = best.unwrap_or((ROWS - 1) * COLUMNS);
        let brightest = direction(best / COLUMNS, best % COLUMNS);
        let crest = crest(&grid, best, &visible);
        Ok(Self { kp, brightest, brightest_kr: grid[best], crest, glows: glows(&grid, &seen), grid })
    }

    /// Whether there is anything to frame.
    pub(super) fn is_nothing(&self) -> bool {
        self.brightest_kr.green_5577_kr < NOTHING_KR
    }

    /// Green light in a direction on or above the horizon, kR; bilinear between nodes.
    pub(super) fn green_kr(&self, at: Horizontal) -> f64 {
        let row = (at.altitude_deg.clamp(0.0, 90.0) / ALTITUDE_STEP_DEG).min((ROWS - 1) as f64);
        let column = at.azimuth_deg / AZIMUTH_STEP_DEG;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped and wrapped above 0")]
        let (i, j) = ((row.floor() as usize).min(ROWS - 2), column.floor() as usize % COLUMNS);
        let (down, across) = (row - i as f64, column - column.floor());
        let value = |i: usize, j: usize| self.grid[i * COLUMNS + j % COLUMNS].green_5577_kr;
        let along = |i: usize| value(i, j) * (1.0 - across) + value(i, j + 1) * across;
        along(i) * (1.0 - down) + along(i + 1) * down
    }

    /// Share of the visible green light that is in the picture, 0..1.
    pub(super) fn share_in(&self, framing: &Framing) -> f64 {
        share_in(&self.glows, framing)
    }

    /// Share of the arc's crest that is in the picture, 0..1; 0 without a crest.
    pub(super) fn crest_in(&self, framing: &Framing) -> f64 {
        if self.crest.is_empty() {
            return 0.0;
        }
        let inside = self.crest.iter().filter(|d| framing.sees(d.east_north_up())).count();
        inside as f64 / self.crest.len() as f64
    }
}

/// Sum of the shares of what a frame sees.
pub(super) fn share_in(glows: &[Glow], framing: &Framing) -> f64 {
    glows.iter().filter(|glow| framing.sees(glow.vector)).map(|glow| glow.share).sum()
}

/// Brightness times solid angle of every visible node, made to sum to 1.
fn glows(grid: &[LineBrightness], seen: &[usize]) -> Vec<Glow> {
    let weight = |index: usize| {
        let row = index / COLUMNS;
        let edge = if row == 0 || row == ROWS - 1 { 0.5 } else { 1.0 };
        edge * (row as f64 * ALTITUDE_STEP_DEG).to_radians().cos() * grid[index].green_5577_kr
    };
    let total: f64 = seen.iter().map(|&index| weight(index)).sum();
    if total <= 0.0 {
        return Vec::new();
    }
    seen.iter()
        .map(|&index| Glow {
            vector: direction(index / COLUMNS, index % COLUMNS).east_north_up(),
            share: weight(index) / total,
        })
        .filter(|glow| glow.share > 0.0)
        .collect()
}

/// From the brightest direction both ways around as long as the column's best is half of the peak.
fn crest(grid: &[LineBrightness], best: usize, visible: &impl Fn(usize) -> bool) -> Vec<Horizontal> {
    let peak_kr = grid[best].green_5577_kr;
    if peak_kr < NOTHING_KR || direction(best / COLUMNS, 0).altitude_deg > OVERHEAD_DEG {
        return Vec::new();
    }
    let top = |column: usize| {
        (0..ROWS)
            .map(|row| row * COLUMNS + column)
            .filter(|&index| visible(index))
            .max_by(|&a, &b| grid[a].green_5577_kr.total_cmp(&grid[b].green_5577_kr))
            .filter(|&index| grid[index].green_5577_kr >= CREST_SHARE * peak_kr)
    };
    let start = best % COLUMNS;
    let walk = |sign: usize| (1..COLUMNS).map_while(move |step| top((start + step * sign) % COLUMNS));
    let right: Vec<usize> = walk(1).collect();
    // a crest that goes all the way around is taken once
    let left: Vec<usize> = walk(COLUMNS - 1).take(COLUMNS - 1 - right.len()).collect();
    left.into_iter().rev().chain([best]).chain(right).map(|index| direction(index / COLUMNS, index % COLUMNS)).collect()
}
