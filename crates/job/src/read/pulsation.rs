//! What blocks of time say of pulsation, folded into the report as they come: no block is held.

use quantity::Timestamp;
use sequence::{CellPulsation, PulsationBlock, PulsationPatch, PulsationStanding, SkyCell};

use super::MOST_TOLD;
use super::lines::after;
use super::report::{OtherPeriod, ReadCellPeriod, ReadPatch, ReadPulsation, ReadSpectrum};

/// Points of a spectrum at most: more than a page has pixels for one.
const MOST_FREQUENCIES: usize = 256;
/// Cells of the period map at most, over all blocks: a sky of them in two blocks.
const MOST_CELLS: usize = 2000;

/// Pulsation of a sequence in the making.
#[derive(Debug, Default)]
pub(super) struct PulsationTally {
    told: ReadPulsation,
}

impl PulsationTally {
    /// Takes in a block.
    ///
    /// * `first`: time of the first frame.
    /// * `cells`: the cells that were watched.
    pub(super) fn push(&mut self, first: Timestamp, block: &PulsationBlock, cells: &[SkyCell]) {
        let told = &mut self.told;
        told.blocks = told.blocks.saturating_add(1);
        told.cells_judged = told.cells_judged.max(count(block.judged));
        for found in &block.found {
            let Some(standing) = standing_words(found.standing) else { continue };
            match told.other.iter_mut().find(|known| known.standing == standing) {
                Some(known) => known.count = known.count.saturating_add(1),
                None => told.other.push(OtherPeriod { standing: standing.to_owned(), count: 1 }),
            }
        }
        let room = MOST_TOLD.saturating_sub(told.patches.len());
        told.patches.extend(block.patches.iter().take(room).map(|found| patch(first, block, found)));
        if told.spectra.len() < MOST_TOLD {
            told.spectra.push(spectrum(first, block));
        }
        let pulsating = block.found.iter().filter(|found| found.standing == PulsationStanding::Pulsating);
        let room = MOST_CELLS.saturating_sub(told.period_map.len());
        let mapped = pulsating.filter_map(|found| Some((found, cells.get(found.cell)?))).take(room);
        told.period_map.extend(mapped.map(|(found, cell)| ReadCellPeriod {
            from: after(first, block.from_s),
            to: after(first, block.to_s),
            alt_deg: cell.direction.altitude_deg,
            az_deg: cell.direction.azimuth_deg,
            period_s: found.period_s,
            period_sigma_s: found.period_sigma_s,
            is_regular: found.is_regular,
            relative_amplitude: found.relative_amplitude,
            on_s: found.on_median_s,
            off_s: found.off_median_s,
        }));
    }

    /// What is told of all blocks.
    pub(super) fn finish(self) -> ReadPulsation {
        self.told
    }
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn patch(first: Timestamp, block: &PulsationBlock, patch: &PulsationPatch) -> ReadPatch {
    let members = || {
        let is_member = |found: &&CellPulsation| {
            found.standing == PulsationStanding::Pulsating && patch.cells.contains(&found.cell)
        };
        block.found.iter().filter(is_member)
    };
    ReadPatch {
        from: after(first, block.from_s),
        to: after(first, block.to_s),
        period_s: patch.period_s,
        alt_deg: patch.direction.altitude_deg,
        az_deg: patch.direction.azimuth_deg,
        relative_amplitude: patch.relative_amplitude,
        cells: count(patch.cells.len()),
        on_s: middle(members().filter_map(|found| found.on_median_s)),
        off_s: middle(members().filter_map(|found| found.off_median_s)),
    }
}

/// The median, the upper one of two; `None` of nothing.
fn middle(numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let mut numbers: Vec<f64> = numbers.collect();
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied()
}

fn spectrum(first: Timestamp, block: &PulsationBlock) -> ReadSpectrum {
    let (frequencies_hz, powers) = thinned(&block.frequencies_hz, &block.mean_powers);
    ReadSpectrum {
        from: after(first, block.from_s),
        to: after(first, block.to_s),
        frames_averaged: count(block.frames_averaged),
        cells: count(block.judged),
        frequencies_hz,
        powers,
        shown_hz: [block.sampling.lowest_hz(), block.sampling.highest_hz()],
        frame_rate_hz: 1.0 / block.sampling.interval_s,
        common_period_s: block.common_period_s,
    }
}

/// A spectrum of fewer points: of each piece its highest, at its own frequency, so that no peak is lost or moved.
fn thinned(frequencies_hz: &[f64], powers: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let piece = frequencies_hz.len().div_ceil(MOST_FREQUENCIES).max(1);
    let pairs: Vec<(f64, f64)> = frequencies_hz.iter().copied().zip(powers.iter().copied()).collect();
    let highest = |piece: &[(f64, f64)]| piece.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
    pairs.chunks(piece).filter_map(highest).unzip()
}

/// None for what pulsates.
fn standing_words(standing: PulsationStanding) -> Option<&'static str> {
    match standing {
        PulsationStanding::Pulsating => None,
        PulsationStanding::CommonToAll => Some("common to all of the sky: a lamp, the camera or cloud"),
        PulsationStanding::MayBeLamp { .. } => Some("as a lamp on alternating current would show"),
        PulsationStanding::SlowerThanPulsation => Some("slower than any pulsation reported"),
        PulsationStanding::Uncertain => Some("not regular, and in one cell alone"),
        PulsationStanding::CannotTellFromCommon => Some("too few cells to tell it from the common course"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thinned_spectrum_keeps_its_peak_where_it_was() {
        let frequencies: Vec<f64> = (0..1000).map(|index| 0.001 * f64::from(index)).collect();
        let powers: Vec<f64> = (0..1000).map(|index| if index == 437 { 0.9 } else { 0.01 }).collect();
        let (at, thin) = thinned(&frequencies, &powers);
        assert_eq!((at.len(), thin.len()), (250, 250));
        let peaks: Vec<f64> = at.iter().zip(&thin).filter(|(_, power)| **power > 0.5).map(|(at, _)| *at).collect();
        assert_eq!(peaks, [frequencies[437]]);
        // of few points none is dropped
        assert_eq!(thinned(&frequencies[..5], &powers[..5]).0, frequencies[..5]);
    }

    #[test]
    fn the_middle_of_nothing_is_nothing() {
        assert_eq!(middle(std::iter::empty()), None);
        assert_eq!(middle([3.0, 1.0, 2.0].into_iter()), Some(2.0));
    }
}
