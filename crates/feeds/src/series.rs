use job::{Activity, KpInterval};
use quantity::Timestamp;
use serde::Serialize;

use crate::{Agency, RowError};

/// The shape a table had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum KpFormat {
    /// GFZ, JSON of parallel arrays.
    GfzJson,
    /// GFZ, text, one day a line (since 1932, or nowcast).
    GfzDaily,
    /// GFZ, text, one interval a line.
    GfzThreeHourly,
    /// GFZ, `.wdc`.
    GfzWdc,
    /// GFZ, `.tab`.
    GfzTab,
    /// NOAA, the last week's estimates.
    NoaaObserved,
    /// NOAA, estimates and forecast.
    NoaaForecast,
}

impl KpFormat {
    /// Who publishes it.
    pub fn agency(self) -> Agency {
        match self {
            Self::GfzJson | Self::GfzDaily | Self::GfzThreeHourly | Self::GfzWdc | Self::GfzTab => Agency::Gfz,
            Self::NoaaObserved | Self::NoaaForecast => Agency::Noaa,
        }
    }
}

/// A Kp table as it was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KpSeries {
    /// File or address it was read from.
    pub source_name: String,
    /// The shape it had.
    pub format: KpFormat,
    /// The good values, in order of time, none twice. Gaps are left open.
    pub intervals: Vec<KpInterval>,
    /// Starts of intervals for which the table itself says that it has no value.
    pub missing: Vec<Timestamp>,
    /// Rows left out because they cannot be true, the first 1000 of them.
    pub rejected: Vec<RowError>,
    /// Rows left out beyond those kept in `rejected`.
    pub rejected_beyond: usize,
}

impl KpSeries {
    /// Who made the values, with the words the licence asks for.
    pub fn attribution(&self) -> &'static str {
        self.format.agency().kp_attribution()
    }

    /// The intervals that reach into `from..to`, as what drives the aurora.
    ///
    /// Whole intervals: the first may begin before `from`, the last may end after `to`. Empty where the table has
    /// nothing for that time; nothing is invented.
    pub fn to_activity(&self, from: Timestamp, to: Timestamp) -> Activity {
        let intervals = self.intervals.iter().filter(|interval| interval.from < to && from < interval.to);
        Activity {
            source: format!("{} ({})", self.attribution(), self.source_name),
            issued_at: None,
            intervals: intervals.copied().collect(),
        }
    }

    /// Start of the first interval and end of the last.
    pub fn span(&self) -> Option<(Timestamp, Timestamp)> {
        Some((self.intervals.first()?.from, self.intervals.last()?.to))
    }

    /// What was left out, in one sentence; `None` where every row was good.
    pub fn rejected_summary(&self) -> Option<String> {
        let first = self.rejected.first()?;
        let count = self.rejected.len() + self.rejected_beyond;
        let rows = if count == 1 { "1 row was" } else { &format!("{count} rows were") };
        Some(format!("{}: {rows} left out; {first}", self.source_name))
    }
}
