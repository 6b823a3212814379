//! The line between sky and ground along spokes that run from the sky to the ground, by dynamic programming.

/// What a step of the line from one spoke to the next costs, per cell, and up to how many cells (trees and walls are
/// steep).
const STEP_COST: f64 = 0.5;
const MOST_STEPS: f64 = 10.0;

/// A line: for each spoke the number of cells that are sky.
pub(super) type Line = Vec<usize>;

fn step_cost(a: usize, b: usize) -> f64 {
    STEP_COST * (a.abs_diff(b) as f64).min(MOST_STEPS)
}

/// Costs of each end of the sky along one spoke, from the costs of its cells as sky and as ground.
pub(super) fn along(cells: impl Iterator<Item = [f64; 2]>) -> Vec<f64> {
    let mut costs = vec![0.0];
    let mut all_ground = 0.0;
    for [sky, ground] in cells {
        let last = costs[costs.len() - 1];
        costs.push(last + sky - ground);
        all_ground += ground;
    }
    for cost in &mut costs {
        *cost += all_ground;
    }
    costs
}

/// The cheapest line and what it costs.
pub(super) fn cheapest(costs: &[Vec<f64>]) -> (Line, f64) {
    let Some(first) = costs.first() else { return (Vec::new(), 0.0) };
    let mut best = first.clone();
    let mut from: Vec<Vec<usize>> = Vec::with_capacity(costs.len());
    for spoke in costs.iter().skip(1) {
        let (reached, came) = reach(&best, spoke.len());
        best = spoke.iter().zip(&reached).map(|(cost, reached)| cost + reached).collect();
        from.push(came);
    }
    let (mut at, total) =
        best.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map_or((0, 0.0), |(at, cost)| (at, *cost));
    let mut line = vec![at];
    for came in from.iter().rev() {
        at = came.get(at).copied().unwrap_or(at);
        line.push(at);
    }
    line.reverse();
    (line, total)
}

/// Cheapest way from any end of one spoke to each end of the next, with where it comes from.
fn reach(best: &[f64], length: usize) -> (Vec<f64>, Vec<usize>) {
    let (least_at, least) =
        best.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map_or((0, 0.0), |(at, cost)| (at, *cost));
    let mut cost = vec![f64::INFINITY; length];
    let mut from = vec![least_at; length];
    for (i, value) in best.iter().enumerate().take(length) {
        cost[i] = *value;
        from[i] = i;
    }
    for i in 1..length {
        if cost[i - 1] + STEP_COST < cost[i] {
            cost[i] = cost[i - 1] + STEP_COST;
            from[i] = from[i - 1];
        }
    }
    for i in (1..length).rev() {
        if cost[i] + STEP_COST < cost[i - 1] {
            cost[i - 1] = cost[i] + STEP_COST;
            from[i - 1] = from[i];
        }
    }
    let jump = least + STEP_COST * MOST_STEPS;
    for (cost, from) in cost.iter_mut().zip(&mut from).filter(|(cost, _)| **cost > jump) {
        *cost = jump;
        *from = least_at;
    }
    (cost, from)
}

/// How far the end of each spoke could lie elsewhere, one standard deviation, with its neighbours held.
pub(super) fn looseness(costs: &[Vec<f64>], line: &[usize]) -> Vec<f64> {
    (0..line.len())
        .map(|i| {
            let beside = [i.checked_sub(1), Some(i + 1).filter(|next| *next < line.len())];
            let cost = |at: usize| {
                costs[i][at] + beside.iter().flatten().map(|other| step_cost(at, line[*other])).sum::<f64>()
            };
            let least = (0..costs[i].len()).map(cost).fold(f64::INFINITY, f64::min);
            let (mut sum, mut weight) = (0.0, 0.0);
            for at in 0..costs[i].len() {
                let chance = (least - cost(at)).exp();
                weight += chance;
                sum += chance * (at as f64 - line[i] as f64).powi(2);
            }
            (sum / weight.max(f64::MIN_POSITIVE)).sqrt()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cheapest_line_follows_the_costs_and_bridges_a_gap() {
        let mut costs: Vec<Vec<f64>> =
            (0..9).map(|_| along((0..20).map(|row| if row < 12 { [0.0, 2.0] } else { [2.0, 0.0] }))).collect();
        costs[4] = vec![0.0; 21];
        let (line, total) = cheapest(&costs);
        assert_eq!(line, vec![12; 9]);
        assert!(total.abs() < 1e-9);
        assert!(looseness(&costs, &line).iter().all(|loose| *loose < 3.0));
    }
}
