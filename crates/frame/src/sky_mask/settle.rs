//! Learning what sky and ground look like, and moving the line between them, until both agree.

use super::classes::Classes;
use super::features::Features;
use super::skyline;
use super::spokes::Spokes;
use crate::LensSolution;
use crate::whole::index;

/// Shares of the way to the ground at which the search for the line begins.
const BEGINNINGS: [f64; 3] = [0.35, 0.6, 0.85];
/// Rounds of learning: the line stands still after three or four.
const ROUNDS: usize = 5;
/// Cells from which something can be learnt.
const LEAST_CELLS: usize = 12;
/// Cost of calling sky what lies below the horizon.
const BELOW_HORIZON_COST: f64 = 8.0;
/// Cost of calling ground what a fisheye's circle holds this far within its rim, of the radius: it looks at the zenith, and only
/// masks, trees and houses stand that high.
const HIGH_COST: f64 = 0.6;
const HIGH_WITHIN: f64 = 0.9;
/// Altitude below which there is no sky, degrees: the horizon dips by a degree and a half from a mountain.
const HORIZON_DEG: f64 = -1.5;

/// A line found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// Cells of sky on each spoke.
    pub(super) line: skyline::Line,
    cost: f64,
    /// One deviation of the share of ground by where the line could lie as well.
    pub(super) looseness: f64,
}

/// The line that explains the cells best.
pub(super) fn skyline(cells: &Features, spokes: &Spokes, lens: Option<&LensSolution>) -> Option<Found> {
    let horizon = horizon_costs(cells, lens);
    BEGINNINGS
        .iter()
        .filter_map(|share| settled(cells, spokes, &horizon, *share))
        .min_by(|a, b| a.cost.total_cmp(&b.cost))
}

fn horizon_costs(cells: &Features, lens: Option<&LensSolution>) -> Vec<f64> {
    let Some(lens) = lens.filter(|lens| lens.alt_deg.is_some()) else { return Vec::new() };
    (0..cells.count())
        .map(|i| {
            let altitude = lens.horizontal_of(cells.middle_px(i)).map(|seen| seen.altitude_deg);
            altitude.map_or(0.0, |altitude| if altitude < HORIZON_DEG { BELOW_HORIZON_COST } else { 0.0 })
        })
        .collect()
}

fn settled(cells: &Features, spokes: &Spokes, horizon: &[f64], share: f64) -> Option<Found> {
    let mut line: skyline::Line = spokes.cells.iter().map(|list| index((list.len() as f64 * share).round())).collect();
    let mut last = None;
    for _ in 0..ROUNDS {
        let [sky, ground] = spokes.divided(&line);
        if sky.len() < LEAST_CELLS || ground.len() < LEAST_CELLS {
            break;
        }
        let classes = Classes::learn(cells, &sky, &ground)?;
        let each: Vec<[f64; 2]> = (0..cells.count())
            .map(|i| {
                let [sky, ground] = classes.costs(cells, i);
                [
                    sky + horizon.get(i).copied().unwrap_or(0.0),
                    ground + spokes.height_cost(cells, i, HIGH_WITHIN, HIGH_COST),
                ]
            })
            .collect();
        let costs: Vec<Vec<f64>> =
            spokes.cells.iter().map(|list| skyline::along(list.iter().map(|cell| each[*cell]))).collect();
        let (next, cost) = skyline::cheapest(&costs);
        let stands = next == line;
        line = next;
        last = Some((costs, cost));
        if stands {
            break;
        }
    }
    let (costs, cost) = last?;
    let loose: f64 = skyline::looseness(&costs, &line).iter().sum();
    let looseness = loose / spokes.cells.iter().map(Vec::len).sum::<usize>().max(1) as f64;
    Some(Found { line, cost, looseness })
}
