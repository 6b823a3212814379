use jiff::SignedDuration;
use quantity::Timestamp;
use serde::Serialize;

use super::sample::Sample;
use crate::FeedError;
use crate::row::{Fault, Place, RowError};

/// Longest step between neighbours that is no gap: the cadence is a minute, and some spacecraft's tags wander by
/// seconds.
const LONGEST_STEP: SignedDuration = SignedDuration::from_secs(90);
/// Bad rows kept for the report.
const MOST_REJECTED_KEPT: usize = 1000;

/// What one instrument measured, of the spacecraft in charge at each time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Measurements<S> {
    /// File or address it was read from.
    pub source_name: String,
    /// The good values of the spacecraft in charge, in order of time, none twice.
    pub samples: Vec<S>,
    /// Times of rows in which the spacecraft in charge has no value.
    pub missing: Vec<Timestamp>,
    /// What the rows were.
    pub counts: RowCounts,
    /// Rows left out because they cannot be true, the first 1000 of them.
    pub rejected: Vec<RowError>,
    /// Rows left out beyond those kept in `rejected`.
    pub rejected_beyond: usize,
}

/// What the rows of a table were.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct RowCounts {
    /// All rows.
    pub rows: usize,
    /// Of spacecraft that are not in charge.
    pub inactive: usize,
    /// Of doubtful quality, by the agency's own flag.
    pub doubtful: usize,
    /// A second value of the spacecraft in charge for the same instant.
    pub repeated: usize,
}

/// A stretch without a good value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// The last good value before it.
    pub from: Timestamp,
    /// The first good value after it.
    pub to: Timestamp,
}

/// The instant from which another spacecraft is in charge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SourceSwitch {
    /// Its first value.
    pub at: Timestamp,
    /// Who was in charge before.
    pub from: Option<String>,
    /// Who is now.
    pub to: Option<String>,
}

/// What a row came to.
pub(super) enum Found<S> {
    Sample(S),
    /// The spacecraft is not in charge.
    Inactive,
    /// The agency's flag says so.
    Doubtful,
    /// The spacecraft in charge has no value.
    Missing(Timestamp),
}

impl<S: Sample> Measurements<S> {
    /// The newest good value.
    pub fn newest(&self) -> Option<&S> {
        self.samples.last()
    }

    /// Stretches of more than a minute and a half without a good value.
    pub fn gaps(&self) -> Vec<Gap> {
        gaps(&self.samples)
    }

    /// Changes of the spacecraft in charge.
    pub fn switches(&self) -> Vec<SourceSwitch> {
        let pairs = self.samples.iter().zip(self.samples.iter().skip(1));
        pairs
            .filter(|(before, after)| before.spacecraft() != after.spacecraft())
            .map(|(before, after)| SourceSwitch {
                at: after.at(),
                from: before.spacecraft().map(str::to_owned),
                to: after.spacecraft().map(str::to_owned),
            })
            .collect()
    }

    /// Gathers rows in any order.
    pub(super) fn gather(
        source_name: &str,
        rows: impl Iterator<Item = (Place, Result<Found<S>, Fault>)>,
    ) -> Result<Self, FeedError> {
        let mut found = Self {
            source_name: source_name.to_owned(),
            samples: Vec::new(),
            missing: Vec::new(),
            counts: RowCounts::default(),
            rejected: Vec::new(),
            rejected_beyond: 0,
        };
        for (place, row) in rows {
            found.counts.rows += 1;
            match row {
                Ok(Found::Sample(sample)) => found.samples.push(sample),
                Ok(Found::Missing(at)) => found.missing.push(at),
                Ok(Found::Inactive) => found.counts.inactive += 1,
                Ok(Found::Doubtful) => found.counts.doubtful += 1,
                Err(_) if found.rejected.len() >= MOST_REJECTED_KEPT => found.rejected_beyond += 1,
                Err(fault) => found.rejected.push(fault.at(place)),
            }
        }
        found.samples.sort_by_key(Sample::at);
        found.missing.sort();
        let before = found.samples.len();
        found.samples.dedup_by_key(|sample| sample.at());
        found.counts.repeated = before - found.samples.len();
        if found.samples.is_empty() { Err(found.nothing()) } else { Ok(found) }
    }

    /// Gathers rows of a table in which every row counts: a value, or the time of one that is missing.
    pub(crate) fn of_values(
        source_name: &str,
        rows: impl Iterator<Item = (Place, Result<Result<S, Timestamp>, Fault>)>,
    ) -> Result<Self, FeedError> {
        let found = |row: Result<S, Timestamp>| row.map_or_else(Found::Missing, Found::Sample);
        Self::gather(source_name, rows.map(|(place, row)| (place, row.map(found))))
    }

    /// Why there is not one sample.
    fn nothing(self) -> FeedError {
        let Self { source_name, missing, counts, rejected, .. } = self;
        let RowCounts { rows, inactive, doubtful, .. } = counts;
        if let Some(first) = rejected.into_iter().next() {
            return FeedError::NoGoodRow { source_name, rows, first };
        }
        let parts = [
            (inactive, "of spacecraft not in charge"),
            (doubtful, "of doubtful quality"),
            (missing.len(), "without a value"),
        ];
        let parts = parts.into_iter().filter(|(count, _)| *count > 0);
        let parts: Vec<String> = parts.map(|(count, words)| format!(", {count} {words}")).collect();
        FeedError::NoSamples { source_name, what: format!("{rows} rows{}", parts.concat()) }
    }
}

/// Steps longer than the cadence allows.
pub(super) fn gaps<S: Sample>(samples: &[S]) -> Vec<Gap> {
    let pairs = samples.iter().zip(samples.iter().skip(1)).map(|(before, after)| (before.at(), after.at()));
    pairs.filter(|(from, to)| to.duration_since(*from) > LONGEST_STEP).map(|(from, to)| Gap { from, to }).collect()
}
