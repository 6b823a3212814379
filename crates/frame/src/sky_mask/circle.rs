//! The circle that a fisheye draws into a rectangular frame.

use super::features::{Features, quantile};
use crate::whole::index;

/// Side of the boxes in the corners, as a share of the frame's short side.
const CORNER: f64 = 0.1;
/// Corners that must be dark: a mask or a caption may hide one.
const DARK_CORNERS: usize = 3;
/// Light of a dark corner over that of the frame's middle, at most.
const DARK_SHARE: f64 = 0.25;
/// Light of a mask over that of the middle, at most: lenses fall off to a quarter at the rim, masks to nothing.
const NO_LIGHT_SHARE: f64 = 0.12;
/// Directions in which the rim is looked for.
const DIRECTIONS: usize = 96;
/// Share of the directions whose rim must lie on the circle; masks and the frame's own edges hide the others.
const LEAST_ON_RIM: f64 = 0.25;
/// Share of the rims found that must lie on it, and that may lie beyond: masks make the sky smaller, nothing makes it larger.
const LEAST_SHARE: f64 = 0.4;
const MOST_BEYOND: f64 = 0.15;
/// Sixths of a turn in which there must be such directions: a short arc is no circle.
const LEAST_SIXTHS: usize = 4;
/// Width of a pixel over its height: square, or two rows or two columns read as one.
const STRETCHES: [f64; 3] = [1.0, 0.5, 2.0];
/// How far from the circle a point of the rim may lie, of the radius.
const RIM_SHARE: f64 = 0.025;
/// Smallest and largest radius, of the frame's short side.
const RADII: [f64; 2] = [0.3, 0.75];
/// Light allowed beyond the circle, as a share of the cells there: captions and glare.
const LIT_OUTSIDE: f64 = 0.15;

/// Circle of a fisheye's image.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyCircle {
    /// Centre, px of the stored frame.
    pub centre_px: [f64; 2],
    /// Radius down the frame, px.
    pub radius_px: f64,
    /// Radius across the frame over that down it: 1 for square pixels.
    pub stretch: f64,
}

/// The circle, where three corners are black and a rim of light lies on one, with the cells that hold any light.
pub(super) fn find(cells: &Features) -> Option<(SkyCircle, Vec<bool>)> {
    let black = dark_corners(cells)?;
    let is_lit = lit_cells(cells, black, DARK_SHARE);
    let points = rim(cells, &is_lit, [0.5 * cells.columns as f64, 0.5 * cells.rows as f64]);
    let circle = STRETCHES.iter().find_map(|stretch| fitted(cells, &is_lit, &points, *stretch))?;
    Some((circle, lit_cells(cells, black, NO_LIGHT_SHARE)))
}

/// The circle on which most of the rim lies, with pixels so much wider than high.
fn fitted(cells: &Features, is_lit: &[bool], points: &[[f64; 2]], stretch: f64) -> Option<SkyCircle> {
    let points: Vec<[f64; 2]> = points.iter().map(|[x, y]| [x / stretch, *y]).collect();
    let middle = [0.5 * cells.columns as f64 / stretch, 0.5 * cells.rows as f64];
    let short = (2.0 * middle[0]).min(2.0 * middle[1]);
    let is_on = |p: &[f64; 2], [x, y, r]: [f64; 3]| ((p[0] - x).hypot(p[1] - y) - r).abs() < (RIM_SHARE * r).max(0.7);
    let mut best: Option<(usize, [f64; 3])> = None;
    let n = points.len();
    // triples of points far apart, each set shifted against the others
    for i in 0..n {
        for (j, k) in [(n / 3, 2 * n / 3), (n / 4, n / 2), (n / 6, n / 3), (n / 8, n / 4)] {
            let Some(circle) = through(points[i], points[(i + j) % n], points[(i + k) % n]) else { continue };
            let [x, y, r] = circle;
            let off = (x - middle[0]).hypot(y - middle[1]);
            if r < RADII[0] * short || r > RADII[1] * short || off > 0.3 * short {
                continue;
            }
            let on = points.iter().filter(|p| is_on(p, circle)).count();
            if best.is_none_or(|(most, _)| on > most) {
                best = Some((on, circle));
            }
        }
    }
    let (on, circle) = best?;
    let [x, y, r] = circle;
    let mut sixths = [false; 6];
    for p in points.iter().filter(|p| is_on(p, circle)) {
        let turn = (p[1] - y).atan2(p[0] - x).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU;
        sixths[index(6.0 * turn).min(5)] = true;
    }
    let beyond = points.iter().filter(|p| (p[0] - x).hypot(p[1] - y) > 1.08 * r).count();
    let (mut lit, mut all) = (0usize, 0usize);
    for (i, is_lit) in is_lit.iter().enumerate() {
        let [cx, cy] = place(cells, i);
        if (cx / stretch - x).hypot(cy - y) > 1.05 * r {
            all += 1;
            lit += usize::from(*is_lit);
        }
    }
    let enough = on as f64 >= LEAST_ON_RIM * DIRECTIONS as f64
        && on as f64 >= LEAST_SHARE * n as f64
        && beyond as f64 <= MOST_BEYOND * n as f64
        && sixths.iter().filter(|sixth| **sixth).count() >= LEAST_SIXTHS;
    let is_dark = lit as f64 <= LIT_OUTSIDE * all as f64;
    (enough && is_dark && all > 0).then_some(SkyCircle {
        centre_px: [stretch * x * cells.cell_px - 0.5, y * cells.cell_px - 0.5],
        radius_px: r * cells.cell_px,
        stretch,
    })
}

/// Middle of a cell in cells.
fn place(cells: &Features, i: usize) -> [f64; 2] {
    [(i % cells.columns) as f64 + 0.5, (i / cells.columns) as f64 + 0.5]
}

/// Level of the dark corners, where there are enough.
fn dark_corners(cells: &Features) -> Option<[f64; 2]> {
    let side = index((CORNER * cells.columns.min(cells.rows) as f64).ceil()).max(1);
    let middle: Vec<f64> = (0..cells.count())
        .filter(|i| {
            let [x, y] = place(cells, *i);
            (x / cells.columns as f64 - 0.5).abs() < 0.25 && (y / cells.rows as f64 - 0.5).abs() < 0.25
        })
        .map(|i| cells.level[i])
        .collect();
    let bright = quantile(&middle, 0.5)?;
    let mut corners: Vec<[f64; 2]> = Vec::new();
    for (right, down) in [(false, false), (true, false), (false, true), (true, true)] {
        let columns =
            if right { cells.columns.saturating_sub(side)..cells.columns } else { 0..side.min(cells.columns) };
        let rows = if down { cells.rows.saturating_sub(side)..cells.rows } else { 0..side.min(cells.rows) };
        let levels: Vec<f64> = rows
            .flat_map(|r| columns.clone().map(move |c| (r, c)))
            .map(|(r, c)| cells.level[r * cells.columns + c])
            .collect();
        // the darker half: a caption may be written over the rest
        corners.push([quantile(&levels, 0.25)?, quantile(&levels, 0.5)?]);
    }
    corners.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let black = corners[0][0];
    let is_dark = |corner: &[f64; 2]| corner[0] - black <= DARK_SHARE * (bright - black);
    (bright > black && corners.iter().filter(|c| is_dark(c)).count() >= DARK_CORNERS)
        .then_some([corners[DARK_CORNERS - 1][0], bright])
}

/// Cells that hold light of the sky or the ground rather than none.
fn lit_cells(cells: &Features, [black, bright]: [f64; 2], share: f64) -> Vec<bool> {
    let dark: Vec<f64> = cells.level.iter().copied().filter(|level| *level <= black + 0.1 * (bright - black)).collect();
    let scatter = quantile(&dark, 0.9).map_or(0.0, |high| high - quantile(&dark, 0.5).unwrap_or(high));
    let threshold = black + (share * (bright - black)).max(2.0 * scatter);
    cells.level.iter().map(|level| *level > threshold).collect()
}

/// Last lit place from the middle outwards, direction by direction; none where that is the frame's own edge.
fn rim(cells: &Features, is_lit: &[bool], [mx, my]: [f64; 2]) -> Vec<[f64; 2]> {
    let mut points = Vec::new();
    for direction in 0..DIRECTIONS {
        let (sin, cos) = (std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64).sin_cos();
        let mut last = None;
        let (mut radius, mut dark) = (0.0, 0);
        loop {
            let [x, y] = [mx + radius * cos, my + radius * sin];
            if x < 0.0 || y < 0.0 || x >= cells.columns as f64 || y >= cells.rows as f64 {
                // the frame cuts the circle here
                if dark < 4 {
                    last = None;
                }
                break;
            }
            if is_lit[index(y) * cells.columns + index(x)] {
                last = Some(radius);
                dark = 0;
            } else {
                dark += 1;
            }
            // dark for a while beyond the half of the way: the rim is behind
            if dark > 8 && radius > 0.25 * cells.columns.min(cells.rows) as f64 {
                break;
            }
            radius += 0.5;
        }
        points.extend(last.map(|r| [mx + (r + 0.25) * cos, my + (r + 0.25) * sin]));
    }
    points
}

/// Circle through three points: centre and radius.
fn through(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> Option<[f64; 3]> {
    let d = 2.0 * (a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1]));
    if d.abs() < 1e-6 {
        return None;
    }
    let [qa, qb, qc] = [a, b, c].map(|p| p[0] * p[0] + p[1] * p[1]);
    let x = (qa * (b[1] - c[1]) + qb * (c[1] - a[1]) + qc * (a[1] - b[1])) / d;
    let y = (qa * (c[0] - b[0]) + qb * (a[0] - c[0]) + qc * (b[0] - a[0])) / d;
    Some([x, y, (a[0] - x).hypot(a[1] - y)])
}
