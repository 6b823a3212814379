use serde::Serialize;

use super::in_step::CommonStep;
use super::patches::PulsationPatch;
use crate::sampling::Sampling;
use crate::spectrum::Band;

/// What a period of a cell is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PulsationStanding {
    /// Light of this direction by itself: pulsation or flicker.
    Pulsating,
    /// All of the sky has this period: lamp, exposure, white balance or cloud; if aurora, it cannot be told from them.
    CommonToAll,
    /// A lamp on alternating current would show this period in these frames.
    MayBeLamp {
        /// What the lamp does, Hz.
        lamp_hz: f64,
    },
    /// Slower than any pulsation of aurora reported: waves of cloud and of arcs that pass do that.
    SlowerThanPulsation,
    /// Not regular, and in one cell alone: the edge of a cloud does that as well.
    Uncertain,
    /// Too few cells to tell whether all of the sky does the same.
    CannotTellFromCommon,
}

/// A period found in a direction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CellPulsation {
    /// The cell, by its place in the list.
    pub cell: usize,
    /// What it is taken for.
    pub standing: PulsationStanding,
    /// Period, s.
    pub period_s: f64,
    /// Half of the width of its peak, s: an error of the period where it is regular, the scatter of the intervals where it is not.
    pub period_sigma_s: f64,
    /// One frequency, as far as the block can tell; otherwise it comes back at intervals that differ.
    pub is_regular: bool,
    /// Half the swing of the best sinusoid, in the unit of the values, before the exposure's smoothing is undone.
    pub amplitude: f64,
    /// The same as a share of the cell's usual light.
    pub relative_amplitude: f64,
    /// Share of the swing that the exposure left.
    pub retained: f64,
    /// Chance that noise makes this, anywhere among the cells of the block.
    pub chance: f64,
    /// The cell's spectrum over the frequencies of the block: shares of the variance.
    pub powers: Vec<f64>,
    /// Times at which it was on, s after the first frame.
    pub on_s: Vec<[f64; 2]>,
    /// Median time on, s; `None` where it and the time off do not add up to the period, for noise then cuts them.
    pub on_median_s: Option<f64>,
    /// Median time off, s.
    pub off_median_s: Option<f64>,
}

/// What a block of time says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PulsationBlock {
    /// First sample, s after the first frame.
    pub from_s: f64,
    /// Last sample, s after the first frame.
    pub to_s: f64,
    /// Frames averaged to one sample.
    pub frames_averaged: usize,
    /// When its samples were taken: what could be seen and what not.
    pub sampling: Sampling,
    /// Frequencies looked at, Hz. The lowest tenth of a decade only serves to compare with.
    pub band: Band,
    /// The frequencies of the spectra, Hz.
    pub frequencies_hz: Vec<f64>,
    /// Mean spectrum of the cells judged: shares of the variance.
    pub mean_powers: Vec<f64>,
    /// Cells with enough light to be judged.
    pub judged: usize,
    /// Period that all of the sky shares, s.
    pub common_period_s: Option<f64>,
    /// Steps of all of the sky at once, which were taken out.
    pub common_steps: Vec<CommonStep>,
    /// Periods found, one a cell at most.
    pub found: Vec<CellPulsation>,
    /// Neighbouring cells that pulsate with one period.
    pub patches: Vec<PulsationPatch>,
}

impl PulsationBlock {
    /// Period of each cell that pulsates, s; the cells of `count` in order.
    pub fn period_map(&self, count: usize) -> Vec<Option<f64>> {
        let mut map = vec![None; count];
        for found in self.found.iter().filter(|found| found.standing == PulsationStanding::Pulsating) {
            if let Some(place) = map.get_mut(found.cell) {
                *place = Some(found.period_s);
            }
        }
        map
    }
}
