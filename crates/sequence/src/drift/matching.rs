//! Blocks of cells and where they went.

use crate::robust::exceeds;
use crate::view::LightGrid;

/// Half side of a block, cells: blocks of nine.
const HALF_BLOCK: i32 = 4;
/// Furthest that a block is looked for, cells.
const REACH: i32 = 7;
/// Correlation from which a block is found again.
const LEAST_CORRELATION: f64 = 0.7;
/// Bend of the correlation along the flattest direction, as a share of the steepest, below which a block holds a straight edge: its
/// motion along the edge cannot be seen.
const LEAST_BEND_SHARE: f64 = 0.1;
/// How much less alike a block must be on average at the rim of the search: a mere slope of light is as like itself further off.
const LEAST_FALL: f64 = 0.1;
/// Share of a block's cells that must hold light.
pub(super) const LEAST_FILLED: f64 = 0.75;

/// Values of the block around a cell; none where it leaves the picture.
pub(super) fn block(grid: &LightGrid<'_>, [column, row]: [usize; 2], [right, down]: [i32; 2]) -> Option<Vec<f64>> {
    let mut values = Vec::with_capacity(81);
    let whole = |place: usize, offset: i32, end: usize| {
        let place = i64::try_from(place).ok()? + i64::from(offset);
        usize::try_from(place).ok().filter(|place| *place < end)
    };
    for dy in -HALF_BLOCK..=HALF_BLOCK {
        let y = whole(row, down + dy, grid.rows())?;
        for dx in -HALF_BLOCK..=HALF_BLOCK {
            let x = whole(column, right + dx, grid.columns())?;
            values.push(grid.value(y * grid.columns() + x).map_or(f64::NAN, f64::from));
        }
    }
    Some(values)
}

/// Where a block was found again.
pub(super) struct Found {
    pub(super) shift: [f64; 2],
    pub(super) correlation: f64,
    pub(super) edge_only: bool,
}

/// Where a block went; none where it is not found, or does not lead back.
pub(super) fn found_again(earlier: &LightGrid<'_>, later: &LightGrid<'_>, at: [usize; 2]) -> Option<Found> {
    let there = Surface::of(&block(earlier, at, [0, 0])?, later, at, [0, 0])?;
    let back = Surface::of(&block(later, at, there.best)?, earlier, at, there.best)?;
    let closes = (0..2).all(|axis| (there.best[axis] + back.best[axis]).abs() <= 1);
    closes.then(|| there.found()).flatten()
}

/// Correlations of a block at every shift of the reach.
struct Surface {
    values: Vec<f64>,
    best: [i32; 2],
}

impl Surface {
    const SIDE: i32 = 2 * REACH + 1;

    fn of(wanted: &[f64], grid: &LightGrid<'_>, at: [usize; 2], from: [i32; 2]) -> Option<Self> {
        let mut values = Vec::with_capacity((Self::SIDE * Self::SIDE).unsigned_abs() as usize);
        for down in -REACH..=REACH {
            for right in -REACH..=REACH {
                let candidate = block(grid, at, [from[0] + right, from[1] + down]);
                values.push(candidate.and_then(|candidate| alike(wanted, &candidate)).unwrap_or(f64::NEG_INFINITY));
            }
        }
        let (index, _) = values.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        let index = i32::try_from(index).ok()?;
        let best = [index % Self::SIDE - REACH, index / Self::SIDE - REACH];
        Some(Self { values, best })
    }

    fn at(&self, right: i32, down: i32) -> Option<f64> {
        let inside = right.abs() <= REACH && down.abs() <= REACH;
        let index = usize::try_from((down + REACH) * Self::SIDE + right + REACH).ok().filter(|_| inside)?;
        self.values.get(index).copied().filter(|value| value.is_finite())
    }

    /// The mean correlation at the rim of the search.
    fn rim(&self) -> f64 {
        let rim = (-REACH..=REACH).flat_map(|step| [(step, -REACH), (step, REACH), (-REACH, step), (REACH, step)]);
        let (sum, count) = rim
            .filter_map(|(right, down)| self.at(right, down))
            .fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
        sum / f64::from(count)
    }

    fn found(&self) -> Option<Found> {
        let [x, y] = self.best;
        let top = self.at(x, y).filter(|top| *top >= LEAST_CORRELATION)?;
        if !exceeds(top - LEAST_FALL, self.rim()) {
            return None;
        }
        let [left, right] = [self.at(x - 1, y)?, self.at(x + 1, y)?];
        let [above, below] = [self.at(x, y - 1)?, self.at(x, y + 1)?];
        let [xx, yy] = [left - 2.0 * top + right, above - 2.0 * top + below];
        let corners = [self.at(x + 1, y + 1)?, self.at(x - 1, y - 1)?, self.at(x + 1, y - 1)?, self.at(x - 1, y + 1)?];
        let xy = (corners[0] + corners[1] - corners[2] - corners[3]) / 4.0;
        // bends of the surface along its axes: both negative at a maximum
        let middle = f64::midpoint(xx, yy);
        let half = ((xx - yy) / 2.0).hypot(xy);
        let [flat, steep] = [-(middle + half), -(middle - half)];
        let beside = |before: f64, after: f64, bend: f64| {
            if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 }
        };
        Some(Found {
            shift: [f64::from(x) + beside(left, right, xx), f64::from(y) + beside(above, below, yy)],
            correlation: top,
            edge_only: !exceeds(flat, LEAST_BEND_SHARE * steep),
        })
    }
}

/// Pearson's correlation of two blocks over the cells that both hold.
fn alike(a: &[f64], b: &[f64]) -> Option<f64> {
    let [mut n, mut sa, mut sb, mut saa, mut sbb, mut sab] = [0.0; 6];
    for (a, b) in a.iter().zip(b).filter(|(a, b)| a.is_finite() && b.is_finite()) {
        n += 1.0;
        sa += a;
        sb += b;
        saa += a * a;
        sbb += b * b;
        sab += a * b;
    }
    let product = (saa - sa * sa / n) * (sbb - sb * sb / n);
    (n >= LEAST_FILLED * a.len() as f64 && product > 0.0).then(|| (sab - sa * sb / n) / product.sqrt())
}
