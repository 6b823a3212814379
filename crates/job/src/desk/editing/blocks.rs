//! Traces of JPEG's 8 by 8 blocks: those of the file itself, and those of an earlier packing that lie elsewhere.

use frame::Plane;

/// Side of a block, px.
const BLOCK: usize = 8;
/// Rows and columns looked at, at most.
const LINES: usize = 700;
/// Pairs compared for each place in a block, at least.
const LEAST: usize = 2_000;

pub(super) struct Grid {
    /// Excess of steps on the file's own grid, the weaker of the two directions.
    pub(super) own: f64,
    /// The same on the strongest other grid.
    pub(super) other: f64,
    /// Where a block of the other grid begins.
    pub(super) other_px: [u32; 2],
}

/// * `is_jpeg`: the grid at (0, 0) is the file's own.
pub(super) fn grid(plane: &Plane, is_jpeg: bool) -> Option<Grid> {
    let across = excesses(plane.width(), plane.height(), |along, line| sample(plane, along, line))?;
    let down = excesses(plane.height(), plane.width(), |along, line| sample(plane, line, along))?;
    let own = across[0].min(down[0]);
    let first = usize::from(is_jpeg);
    let best =
        |excesses: &[f64; BLOCK]| (first..BLOCK).max_by(|a, b| excesses[*a].total_cmp(&excesses[*b])).unwrap_or(0);
    let (x, y) = (best(&across), best(&down));
    // a cut along one side alone leaves the other direction on the file's own grid
    let other = if is_jpeg { across[x].max(down[y]) } else { across[x].min(down[y]) };
    let px = |place: usize| u32::try_from(place).unwrap_or(0);
    Some(Grid { own, other, other_px: [px(x), px(y)] })
}

/// As a file writes it, about: steps of dark and bright parts then count alike.
fn sample(plane: &Plane, x: usize, y: usize) -> f32 {
    plane.row(y).at(x).max(0.0).sqrt()
}

/// For each place in a block: how much oftener a step there is greater than both its neighbours than at the other places of
/// the same parity (pictures made larger have a pattern of two).
fn excesses(length: usize, lines: usize, at: impl Fn(usize, usize) -> f32) -> Option<[f64; BLOCK]> {
    let (mut greater, mut seen) = ([0usize; BLOCK], [0usize; BLOCK]);
    let step = lines.div_ceil(LINES).max(1);
    for line in (step / 2..lines).step_by(step) {
        // the step before pixel `x` lies between it and the one before
        let mut steps = [0.0f32; 3];
        let mut last = at(0, line);
        for x in 1..length {
            let value = at(x, line);
            steps = [steps[1], steps[2], (value - last).abs()];
            last = value;
            if x >= 3 && steps.iter().all(|step| step.is_finite()) {
                let place = (x - 1) % BLOCK;
                seen[place] += 1;
                greater[place] += usize::from(steps[1] > steps[0] && steps[1] > steps[2]);
            }
        }
    }
    if seen.iter().any(|seen| *seen < LEAST) {
        return None;
    }
    let rate: [f64; BLOCK] = std::array::from_fn(|place| greater[place] as f64 / seen[place] as f64);
    Some(std::array::from_fn(|place| {
        let others: f64 =
            (1..BLOCK / 2).map(|step| rate[(place + 2 * step) % BLOCK]).sum::<f64>() / (BLOCK / 2 - 1) as f64;
        if others > 0.0 { rate[place] / others - 1.0 } else { 0.0 }
    }))
}
