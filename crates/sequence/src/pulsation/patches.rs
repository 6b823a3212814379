use quantity::Horizontal;
use serde::Serialize;

use super::cells::SkyCells;
use super::found::{CellPulsation, PulsationStanding};
use crate::robust::median;

/// Cells no further apart than this many sides are neighbours: also by a corner.
const NEIGHBOUR_SIDES: f64 = 1.6;

/// Neighbouring cells that pulsate with one period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PulsationPatch {
    /// Its middle.
    pub direction: Horizontal,
    /// Its size, sr.
    pub solid_angle_sr: f64,
    /// Median period, s.
    pub period_s: f64,
    /// Largest amplitude as a share of the usual light.
    pub relative_amplitude: f64,
    /// Its cells.
    pub cells: Vec<usize>,
}

/// Groups cells that pulsate.
pub(super) fn patches(cells: &SkyCells, found: &[CellPulsation], same_hz: f64) -> Vec<PulsationPatch> {
    let pulsating: Vec<&CellPulsation> =
        found.iter().filter(|found| found.standing == PulsationStanding::Pulsating).collect();
    let mut taken = vec![false; pulsating.len()];
    let mut groups: Vec<PulsationPatch> = Vec::new();
    for start in 0..pulsating.len() {
        if taken[start] {
            continue;
        }
        taken[start] = true;
        let mut group = vec![start];
        let mut next = 0;
        while let Some(&at) = group.get(next) {
            next += 1;
            for other in 0..pulsating.len() {
                if !taken[other] && beside(cells, pulsating[at], pulsating[other], same_hz) {
                    taken[other] = true;
                    group.push(other);
                }
            }
        }
        let members: Vec<&CellPulsation> = group.iter().map(|index| pulsating[*index]).collect();
        groups.push(patch(cells, &members));
    }
    groups.sort_by(|a, b| b.solid_angle_sr.total_cmp(&a.solid_angle_sr));
    groups
}

fn beside(cells: &SkyCells, a: &CellPulsation, b: &CellPulsation, same_hz: f64) -> bool {
    let near =
        cells.cells[a.cell].direction.separation_deg(cells.cells[b.cell].direction) <= NEIGHBOUR_SIDES * cells.size_deg;
    // what is not regular has a wide peak, and its neighbours' middles differ by as much
    let widths_hz = [a, b].map(|found| found.period_sigma_s / found.period_s.powi(2));
    near && (1.0 / a.period_s - 1.0 / b.period_s).abs() <= same_hz.max(widths_hz[0] + widths_hz[1])
}

fn patch(cells: &SkyCells, members: &[&CellPulsation]) -> PulsationPatch {
    let mut sum = [0.0; 3];
    for cell in members.iter().map(|member| cells.cells[member.cell]) {
        for (sum, part) in sum.iter_mut().zip(cell.direction.east_north_up()) {
            *sum += part * cell.solid_angle_sr;
        }
    }
    let mut periods: Vec<f64> = members.iter().map(|member| member.period_s).collect();
    PulsationPatch {
        direction: Horizontal::from_east_north_up(sum),
        solid_angle_sr: members.iter().map(|member| cells.cells[member.cell].solid_angle_sr).sum(),
        period_s: median(&mut periods).unwrap_or(f64::NAN),
        relative_amplitude: members.iter().map(|member| member.relative_amplitude).fold(0.0, f64::max),
        cells: members.iter().map(|member| member.cell).collect(),
    }
}
