//! Where sources of the activity differ by more than their errors explain.

use jiff::SignedDuration;
use jiff::tz::TimeZone;
use quantity::Timestamp;

use crate::wording::{clock, kp};
use crate::{Activity, ActivityKind, KpInterval};

/// Difference, in standard errors of the difference, from which it is said. Two honest sources with normal errors are
/// further apart in one case of five.
const TELLING_SIGMAS: f64 = 1.28;
/// A shorter time in common is no ground to compare.
const SHORTEST: SignedDuration = SignedDuration::from_mins(10);
/// Most differences said: more would hide the verdict.
const MOST_SAID: usize = 2;

/// One source against what drives the outlook.
#[derive(Debug, Clone, PartialEq)]
pub struct Disagreement {
    /// From when on both speak of the same time and differ most.
    pub at: Timestamp,
    /// What drives.
    pub main: KpInterval,
    /// What the other says.
    pub other: KpInterval,
    /// The difference in standard errors.
    pub sigmas: f64,
    main_words: String,
    other_words: String,
}

impl Disagreement {
    /// One plain sentence, with the time in a zone.
    ///
    /// "The forecast says Kp 5 at 21:00, the solar wind now measured speaks for Kp 3: further apart than their errors
    /// explain."
    pub fn sentence(&self, zone: &TimeZone) -> String {
        let sentence = format!(
            "{} {} Kp {} at {}, {} {} Kp {}: further apart than their errors explain.",
            self.main_words,
            verb(self.main.kind),
            kp(self.main.kp),
            clock(self.at, zone),
            self.other_words,
            verb(self.other.kind),
            kp(self.other.kp)
        );
        let mut letters = sentence.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }
}

/// Where other sources differ from `main` between two instants by more than their errors explain: at most one
/// difference for each, the most telling first, two at most; what two sources say alike is said once.
///
/// An outlook of weeks ahead is left out: every forecast replaces it.
pub fn disagreements(main: &Activity, others: &[Activity], from: Timestamp, to: Timestamp) -> Vec<Disagreement> {
    let mut found: Vec<Disagreement> = others.iter().filter_map(|other| most_telling(main, other, from, to)).collect();
    found.sort_by(|a, b| b.sigmas.total_cmp(&a.sigmas));
    let mut said: Vec<Disagreement> = Vec::new();
    for difference in found {
        let is_alike =
            |known: &Disagreement| known.at == difference.at && kp(known.other.kp) == kp(difference.other.kp);
        if said.len() < MOST_SAID && !said.iter().any(is_alike) {
            said.push(difference);
        }
    }
    said
}

fn most_telling(main: &Activity, other: &Activity, from: Timestamp, to: Timestamp) -> Option<Disagreement> {
    let is_compared = |interval: &&KpInterval| interval.kind != ActivityKind::LongRange;
    let mut best: Option<Disagreement> = None;
    for ours in main.intervals.iter().filter(is_compared) {
        for theirs in other.intervals.iter().filter(is_compared) {
            let (start, end) = (ours.from.max(theirs.from).max(from), ours.to.min(theirs.to).min(to));
            if end.duration_since(start) < SHORTEST {
                continue;
            }
            let sigmas = (ours.kp - theirs.kp).abs() / ours.kind.kp_sigma().hypot(theirs.kind.kp_sigma());
            if sigmas > best.as_ref().map_or(TELLING_SIGMAS, |best| best.sigmas) {
                best = Some(Disagreement {
                    at: start,
                    main: *ours,
                    other: *theirs,
                    sigmas,
                    main_words: words(main, ours.kind),
                    other_words: if ours.kind == theirs.kind { label(other) } else { words(other, theirs.kind) },
                });
            }
        }
    }
    best
}

/// Who says it: by its kind where the series is made of several, else by the name of the source.
fn words(activity: &Activity, kind: ActivityKind) -> String {
    match kind {
        ActivityKind::SolarWind | ActivityKind::Power | ActivityKind::Given => kind.words().to_owned(),
        ActivityKind::Definitive
        | ActivityKind::Preliminary
        | ActivityKind::Nowcast
        | ActivityKind::Forecast
        | ActivityKind::LongRange => {
            if activity.has_one_kind() {
                label(activity)
            } else {
                kind.words().to_owned()
            }
        }
    }
}

/// The name of a source without publisher and licence: "the 3-day forecast" of "3-day forecast: NOAA ...".
fn label(activity: &Activity) -> String {
    let short = |text: &str| text.split([',', ';', '(']).next().unwrap_or(text).trim().to_owned();
    activity.source.split_once(':').map_or_else(|| short(&activity.source), |(what, _)| format!("the {}", short(what)))
}

fn verb(kind: ActivityKind) -> &'static str {
    match kind {
        ActivityKind::SolarWind | ActivityKind::Power => "speaks for",
        ActivityKind::Given => "is",
        ActivityKind::Definitive
        | ActivityKind::Preliminary
        | ActivityKind::Nowcast
        | ActivityKind::Forecast
        | ActivityKind::LongRange => "says",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(hour: i64) -> Timestamp {
        Timestamp::from_second(1_790_000_000 / 86_400 * 86_400 + hour * 3600).unwrap()
    }

    fn activity(source: &str, parts: &[(i64, i64, f64, ActivityKind)]) -> Activity {
        let interval =
            |&(from, to, kp, kind): &(i64, i64, f64, ActivityKind)| KpInterval { from: at(from), to: at(to), kp, kind };
        Activity { source: source.to_owned(), issued_at: None, intervals: parts.iter().map(interval).collect() }
    }

    fn said(main: &Activity, others: &[Activity]) -> Vec<String> {
        disagreements(main, others, at(12), at(36)).iter().map(|found| found.sentence(&TimeZone::UTC)).collect()
    }

    const FORECAST: &str = "Kp forecast: NOAA Space Weather Prediction Center, public domain";

    #[test]
    fn a_forecast_against_the_measured_wind_is_one_plain_sentence() {
        let main = activity(FORECAST, &[(18, 21, 4.0, ActivityKind::Forecast), (21, 24, 5.0, ActivityKind::Forecast)]);
        let wind = activity("solar wind at L1 (ACE): NOAA", &[(21, 22, 3.0, ActivityKind::SolarWind)]);
        assert_eq!(
            said(&main, &[wind]),
            [
                "The Kp forecast says Kp 5 at 21:00, the solar wind now measured speaks for Kp 3: further apart than their errors explain."
            ]
        );
    }

    #[test]
    fn what_errors_explain_is_not_said() {
        let main = activity(FORECAST, &[(21, 24, 4.5, ActivityKind::Forecast)]);
        let wind = activity("solar wind", &[(21, 22, 3.0, ActivityKind::SolarWind)]);
        assert_eq!(said(&main, &[wind]), Vec::<String>::new());
        // the same difference between two indices is an error
        let main = activity("GFZ definitive Kp (CC BY 4.0)", &[(21, 24, 4.5, ActivityKind::Definitive)]);
        let estimate = activity("estimated planetary K index: NOAA", &[(21, 24, 3.0, ActivityKind::Preliminary)]);
        assert_eq!(
            said(&main, &[estimate]),
            [
                "GFZ definitive Kp says Kp 5- at 21:00, the estimated planetary K index says Kp 3: further apart than their errors explain."
            ]
        );
    }

    #[test]
    fn hours_outside_and_outlooks_of_weeks_are_left_out() {
        let main = activity(FORECAST, &[(21, 24, 8.0, ActivityKind::Forecast)]);
        let brief = activity("wind", &[(10, 12, 1.0, ActivityKind::SolarWind), (36, 40, 1.0, ActivityKind::SolarWind)]);
        let outlook = activity("27-day outlook: NOAA", &[(0, 48, 1.0, ActivityKind::LongRange)]);
        assert_eq!(said(&main, &[brief, outlook]), Vec::<String>::new());
    }

    #[test]
    fn of_many_the_most_telling_two_are_said_and_the_same_once() {
        let main = activity("a", &[(18, 21, 2.0, ActivityKind::SolarWind), (21, 30, 2.0, ActivityKind::Forecast)]);
        let others = [
            activity("Kp forecast: NOAA", &[(18, 21, 5.0, ActivityKind::Forecast)]),
            activity("3-day forecast: NOAA", &[(18, 21, 5.0, ActivityKind::Forecast)]),
            activity("power: NOAA", &[(18, 21, 8.0, ActivityKind::Power)]),
            activity("b", &[(21, 24, 4.3, ActivityKind::Forecast)]),
        ];
        let said = said(&main, &others);
        assert_eq!(said.len(), 2);
        assert!(
            said[0]
                .starts_with("The solar wind now measured speaks for Kp 2 at 18:00, hemispheric power speaks for Kp 8"),
            "{said:?}"
        );
        assert!(said[1].contains("the Kp forecast says Kp 5"), "{said:?}");
    }
}
