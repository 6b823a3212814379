use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::JobError;

/// What kind of Kp a series is; it decides the error it is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum ActivityKind {
    /// The definitive index of the past.
    Definitive,
    /// The preliminary index of the last days.
    Preliminary,
    /// An estimate of the 3-hour interval that still runs.
    Nowcast,
    /// Computed from the solar wind measured upstream of Earth; good for the hour it takes to arrive.
    SolarWind,
    /// Computed from a hemispheric power, itself a model's.
    Power,
    /// A forecast hours or days ahead.
    Forecast,
    /// An outlook weeks ahead.
    LongRange,
    /// A value the person asking supposes.
    Given,
}

impl ActivityKind {
    /// Standard error of one value, in Kp units.
    ///
    /// * Definitive: half the width of a third of a unit, as a uniform rounding error (1/3 / √12).
    /// * Preliminary: agency estimates against the definitive index differ by 0.24 in the mean over
    ///   10-12 May 2024, which is 0.30 as a standard deviation of a normal error.
    /// * Nowcast: 0.6, the project's judgement: no worse than what tuned models reach from measured solar wind, 0.59
    ///   (Luo et al., Space Weather 2017, abstract), and worse than the estimate of a whole interval.
    /// * Solar wind: 1.0, the project's judgement for the untuned formula of Newell et al. 2008, above the 0.59 of the
    ///   tuned model of Luo et al.; see `docs/feeds.md` for what it gave on recorded days.
    /// * Power: 1.1: the model behind it runs on the same solar wind (1.0), and a second relation of power and Kp, in
    ///   public programs for the same instruments, gives 0.2 to 1.0 less between 150 and 10 GW; 0.4 is added in squares.
    /// * Forecast, given: 1.0, the project's judgement; tuned models driven by measured solar wind reach
    ///   0.59 (Luo et al.), and a day ahead is worse.
    /// * Long range: 1.4, the project's judgement: about the spread of Kp itself, since weeks ahead only the recurrence
    ///   with the sun's rotation is known.
    pub fn kp_sigma(self) -> f64 {
        match self {
            Self::Definitive => 0.096,
            Self::Preliminary => 0.30,
            Self::Nowcast => 0.6,
            Self::SolarWind | Self::Forecast | Self::Given => 1.0,
            Self::Power => 1.1,
            Self::LongRange => 1.4,
        }
    }

    /// What says it, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Definitive => "the definitive index",
            Self::Preliminary => "the preliminary index",
            Self::Nowcast => "the estimate of the running interval",
            Self::SolarWind => "the solar wind now measured",
            Self::Power => "hemispheric power",
            Self::Forecast => "the forecast",
            Self::LongRange => "the outlook of weeks ahead",
            Self::Given => "the value given",
        }
    }

    /// Whether the value says what is yet to come or still runs, so that its age counts.
    pub fn is_ahead(self) -> bool {
        match self {
            Self::Nowcast | Self::SolarWind | Self::Power | Self::Forecast | Self::LongRange => true,
            Self::Definitive | Self::Preliminary | Self::Given => false,
        }
    }
}

/// One interval of a Kp series.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct KpInterval {
    /// Start of the interval, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub from: Timestamp,
    /// End of the interval, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub to: Timestamp,
    /// Kp, 0 to 9.
    pub kp: f64,
    /// What kind of value it is.
    pub kind: ActivityKind,
}

/// What drives the aurora: Kp against time, with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Activity {
    /// Who says so, with the attribution its licence asks for.
    pub source: String,
    /// When it was issued, where known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub issued_at: Option<Timestamp>,
    /// The intervals, in order of time, not overlapping; gaps are allowed and said.
    pub intervals: Vec<KpInterval>,
}

impl Activity {
    /// One supposed value for a stretch of time.
    pub fn given(kp: f64, from: Timestamp, to: Timestamp) -> Self {
        Self {
            source: "given by hand".to_owned(),
            issued_at: None,
            intervals: vec![KpInterval { from, to, kp, kind: ActivityKind::Given }],
        }
    }

    /// The interval that holds an instant.
    pub fn at(&self, instant: Timestamp) -> Option<&KpInterval> {
        self.intervals.iter().find(|interval| interval.from <= instant && instant < interval.to)
    }

    /// Whether all intervals are of one kind, so that the source line speaks for each of them.
    pub fn has_one_kind(&self) -> bool {
        self.intervals.windows(2).all(|pair| pair[0].kind == pair[1].kind)
    }

    /// Checks values and order.
    ///
    /// # Errors
    ///
    /// A Kp outside 0..9, an interval that ends before it starts, or intervals that overlap or go backwards.
    pub fn check(&self) -> Result<(), JobError> {
        for (index, interval) in self.intervals.iter().enumerate() {
            let field = format!("activity.intervals[{index}]");
            JobError::check(&format!("{field}.kp"), interval.kp, 0.0, 9.0, "for Kp")?;
            if interval.to <= interval.from {
                return Err(JobError::bad(field, "it ends before it starts", "give `to` later than `from`"));
            }
            if index > 0 && self.intervals[index - 1].to > interval.from {
                return Err(JobError::bad(field, "it overlaps the one before", "give intervals in order of time"));
            }
        }
        Ok(())
    }
}
