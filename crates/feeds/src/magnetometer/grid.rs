//! Samples as they come, put on an even grid of time.

use std::collections::BTreeMap;

use job::{MagneticComponent, MagneticElement, MagneticRecord};
use quantity::Timestamp;

use super::header::Header;
use super::{EXPECTED, Magnetogram};
use crate::body::not_weather;
use crate::row::Fault;
use crate::{FeedError, Place, RowError};

/// Most steps of a record: eight days of seconds, above what the services give for one request (576 000).
const MOST_STEPS: i64 = 691_200;
/// Bad rows kept for the report.
const MOST_REJECTED_KEPT: usize = 1000;
/// Largest and smallest value that a magnetic instrument on the ground can give, nT or minutes of arc. The field has at most
/// 67 000 nT; 88 888 and 99 999 mean that there is none.
const BEYOND_ANY_FIELD: f64 = 88_888.0;
/// Longest cadence, ms: an hour.
const LONGEST_CADENCE_MS: i64 = 3_600_000;
/// Most columns kept.
const MOST_COLUMNS: usize = 8;

/// One sample: its time in milliseconds since 1970 and the values by column.
pub(super) struct Sample {
    pub(super) at: Timestamp,
    pub(super) values: Vec<Option<f64>>,
}

/// Gathers samples while a file is read.
pub(super) struct Gathered {
    source_name: String,
    elements: Vec<Option<MagneticElement>>,
    samples: Vec<(Place, i64, Vec<Option<f64>>)>,
    rows: usize,
    rejected: Vec<RowError>,
    rejected_beyond: usize,
}

/// A value as a publisher writes it: what says that there is none becomes a gap.
pub(super) fn present(value: f64) -> Option<f64> {
    (value.is_finite() && value.abs() < BEYOND_ANY_FIELD).then_some(value)
}

impl Gathered {
    pub(super) fn new(source_name: &str, elements: Vec<Option<MagneticElement>>) -> Self {
        Self {
            source_name: source_name.to_owned(),
            elements,
            samples: Vec::new(),
            rows: 0,
            rejected: Vec::new(),
            rejected_beyond: 0,
        }
    }

    pub(super) fn row(&mut self, place: Place, row: Result<Sample, Fault>) {
        self.rows += 1;
        match row {
            Ok(sample) => self.samples.push((place, sample.at.as_millisecond(), sample.values)),
            Err(fault) => self.reject(fault.at(place)),
        }
    }

    pub(super) fn reject(&mut self, error: RowError) {
        if self.rejected.len() < MOST_REJECTED_KEPT {
            self.rejected.push(error);
        } else {
            self.rejected_beyond += 1;
        }
    }

    /// The record; `cadence_s` where the file states it.
    pub(super) fn finish(mut self, header: Header, cadence_s: Option<f64>) -> Result<Magnetogram, FeedError> {
        let mut samples = std::mem::take(&mut self.samples);
        samples.sort_by_key(|sample| sample.1);
        let Some(first_ms) = samples.first().map(|sample| sample.1) else { return Err(self.without_values()) };
        let Some(cadence_ms) = stated_ms(cadence_s).or_else(|| usual_step_ms(&samples)) else {
            return Err(not_weather(&self.source_name, EXPECTED, "it has fewer than two samples a known time apart"));
        };
        let kept = self.on_grid(samples, first_ms, cadence_ms);
        let steps = kept.last().map_or(0, |(index, _)| index + 1);
        let components = self.columns(&kept, steps);
        if components.iter().all(|component| component.values.iter().all(Option::is_none)) {
            return Err(self.without_values());
        }
        let start = Timestamp::from_millisecond(first_ms)
            .map_err(|_beyond| not_weather(&self.source_name, EXPECTED, "its times are out of range"))?;
        let Header { station_code, station_name, place, source, quality } = header;
        let record = MagneticRecord {
            station_code,
            station_name,
            place,
            source,
            quality,
            start,
            cadence_s: cadence_ms as f64 / 1000.0,
            components,
        };
        let Self { source_name, rejected, rejected_beyond, .. } = self;
        Ok(Magnetogram { source_name, record, rejected, rejected_beyond })
    }

    /// Samples that fall on the grid, each with its step, in order; the first of two at one time is kept.
    fn on_grid(
        &mut self,
        samples: Vec<(Place, i64, Vec<Option<f64>>)>,
        first_ms: i64,
        cadence_ms: i64,
    ) -> Vec<(usize, Vec<Option<f64>>)> {
        let mut kept: Vec<(usize, Vec<Option<f64>>)> = Vec::new();
        for (place, at_ms, values) in samples {
            let offset_ms = at_ms - first_ms;
            let step = offset_ms / cadence_ms;
            let index = usize::try_from(step).unwrap_or(usize::MAX);
            let problem = if step >= MOST_STEPS {
                Some(format!("it lies {step} steps after the first row, more than the {MOST_STEPS} read at most"))
            } else if offset_ms % cadence_ms != 0 {
                Some(format!("it does not lie on the grid of {} s from the first row", cadence_ms as f64 / 1000.0))
            } else if kept.last().is_some_and(|(last, _)| *last == index) {
                Some("it is a second row for its time".to_owned())
            } else {
                None
            };
            match problem {
                Some(problem) => self.reject(RowError { place, field: "time", problem }),
                None => kept.push((index, values)),
            }
        }
        kept
    }

    /// The named columns, each element once.
    fn columns(&mut self, kept: &[(usize, Vec<Option<f64>>)], steps: usize) -> Vec<MagneticComponent> {
        let mut components: Vec<MagneticComponent> = Vec::new();
        for (column, element) in self.elements.clone().into_iter().enumerate().take(MOST_COLUMNS) {
            let Some(element) = element else { continue };
            if components.iter().any(|component| component.element == element) {
                continue;
            }
            let mut values = vec![None; steps];
            for (index, row) in kept {
                if let Some(cell) = values.get_mut(*index) {
                    *cell = row.get(column).copied().flatten();
                }
            }
            components.push(MagneticComponent { element, values });
        }
        components
    }

    fn without_values(self) -> FeedError {
        let what = match self.rejected.first() {
            Some(first) => format!("none of its {} rows is good; {first}", self.rows),
            None => "every value is marked as missing".to_owned(),
        };
        FeedError::NoSamples { source_name: self.source_name, what }
    }
}

/// A stated cadence, where it is one.
fn stated_ms(cadence_s: Option<f64>) -> Option<i64> {
    let ms = (cadence_s? * 1000.0).round();
    #[expect(clippy::cast_possible_truncation, reason = "bounded in the line before its use")]
    (1.0..=LONGEST_CADENCE_MS as f64).contains(&ms).then_some(ms as i64)
}

/// The commonest step between neighbours; of equally common ones the shortest.
fn usual_step_ms(samples: &[(Place, i64, Vec<Option<f64>>)]) -> Option<i64> {
    let mut counts: BTreeMap<i64, usize> = BTreeMap::new();
    for pair in samples.windows(2) {
        if let [before, after] = pair {
            let step = after.1 - before.1;
            if (1..=LONGEST_CADENCE_MS).contains(&step) {
                *counts.entry(step).or_default() += 1;
            }
        }
    }
    counts.into_iter().max_by_key(|(step, count)| (*count, -step)).map(|(step, _)| step)
}
