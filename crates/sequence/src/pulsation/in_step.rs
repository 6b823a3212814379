use serde::Serialize;

use crate::robust::{median, middle_and_spread};

/// Fewest cells among which something common can be told.
const LEAST_CELLS: usize = 8;
/// A step is at least so large, as a logarithm (3 %): the finest step of a camera's exposure is a third of a stop, 26 %.
const LEAST_STEP: f64 = 0.03;
/// ...and so many spreads of the change from sample to sample.
const STEP_SPREADS: f64 = 6.0;
/// Share of the cells that must take part in a step.
const TAKING_PART: f64 = 0.8;
/// How near to the common change a cell must change to take part, as a share of it.
const NEAR: f64 = 0.35;

/// All of the sky grew brighter or darker at once by one factor: exposure, white balance, a lamp switched on; no aurora.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CommonStep {
    /// First sample after it, s after the first frame.
    pub at_s: f64,
    /// Its factor.
    pub factor: f64,
}

/// What the cells do together.
pub(super) struct Common {
    /// Light of each sample as a share of its usual, the median over the cells; none where there are too few cells.
    pub(super) course: Option<Vec<f64>>,
    pub(super) steps: Vec<CommonStep>,
}

/// * `series`: one list of values a cell; NaN are gaps.
pub(super) fn common(times_s: &[f64], series: &[Vec<f64>]) -> Common {
    let relative: Vec<Vec<f64>> = series
        .iter()
        .filter_map(|values| {
            let mut present: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
            let usual = median(&mut present).filter(|usual| *usual > 0.0)?;
            Some(values.iter().map(|value| value / usual).collect())
        })
        .collect();
    if relative.len() < LEAST_CELLS {
        return Common { course: None, steps: Vec::new() };
    }
    let mut held = Vec::with_capacity(relative.len());
    let course: Vec<f64> = (0..times_s.len())
        .map(|sample| {
            held.clear();
            held.extend(relative.iter().map(|values| values[sample]).filter(|value| value.is_finite()));
            median(&mut held).filter(|share| *share > 0.0).unwrap_or(f64::NAN)
        })
        .collect();
    let steps = steps(times_s, &relative, &course);
    Common { course: Some(course), steps }
}

fn steps(times_s: &[f64], relative: &[Vec<f64>], course: &[f64]) -> Vec<CommonStep> {
    let change = |values: &[f64], sample: usize| (values[sample] / values[sample - 1]).ln();
    let changes: Vec<f64> = (1..course.len()).map(|sample| change(course, sample)).collect();
    let finite: Vec<f64> = changes.iter().copied().filter(|change| change.is_finite()).collect();
    let Some((_, spread)) = middle_and_spread(&finite) else { return Vec::new() };
    changes
        .iter()
        .enumerate()
        .filter(|(_, together)| together.abs() > LEAST_STEP.max(STEP_SPREADS * spread))
        .filter(|(index, together)| {
            let own: Vec<f64> =
                relative.iter().map(|values| change(values, index + 1)).filter(|change| change.is_finite()).collect();
            let near = own.iter().filter(|own| (*own - **together).abs() < NEAR * together.abs()).count();
            near as f64 >= TAKING_PART * own.len() as f64
        })
        .map(|(index, together)| CommonStep { at_s: times_s[index + 1], factor: together.exp() })
        .collect()
}
