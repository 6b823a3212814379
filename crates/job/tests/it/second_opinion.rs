//! What the outlook says when its sources disagree.

use job::{Activity, ActivityKind, KpInterval, OutlookRequest, outlook};
use quantity::InputState;

use crate::sample::{request, site};

/// A dark night in March with a forecast of Kp 5, asked in the evening.
fn asked() -> OutlookRequest {
    let kp = [5.0; 8];
    let mut request = request(site("Skerrow Bay", 69.2, 15.1), "2026-03-14", "2026-03-14T12:00:00Z", &kp);
    request.asked_at = "2026-03-14T19:00:00Z".parse().unwrap();
    "Kp forecast: NOAA Space Weather Prediction Center, public domain".clone_into(&mut request.activity.source);
    request.activity.intervals.iter_mut().for_each(|interval| interval.kind = ActivityKind::Forecast);
    request
}

fn wind(kp: f64) -> Activity {
    Activity {
        source: "solar wind at L1 (ACE): NOAA Space Weather Prediction Center, public domain".to_owned(),
        issued_at: Some("2026-03-14T18:55:00Z".parse().unwrap()),
        intervals: vec![KpInterval {
            from: "2026-03-14T19:00:00Z".parse().unwrap(),
            to: "2026-03-14T20:00:00Z".parse().unwrap(),
            kp,
            kind: ActivityKind::SolarWind,
        }],
    }
}

#[test]
fn a_wind_that_speaks_against_the_forecast_stands_in_the_reasons_and_the_limits() {
    let report = outlook(OutlookRequest { other_activity: vec![wind(2.0)], ..asked() }).unwrap();
    let sentence = "The Kp forecast says Kp 5 at 19:00, the solar wind now measured speaks for Kp 2: \
                    further apart than their errors explain.";
    assert!(report.verdict.reasons.iter().any(|reason| reason == sentence), "{:?}", report.verdict.reasons);
    assert!(report.limits.iter().any(|limit| limit.contains("disagree tonight")), "{:?}", report.limits);
    let second = report.inputs.iter().find(|input| input.name == "Kp, second opinion").unwrap();
    assert_eq!((second.state, second.age_minutes), (InputState::Fresh, Some(5.0)));
    // set beside, not averaged in
    let alone = outlook(asked()).unwrap();
    assert_eq!(report.chances, alone.chances);
}

#[test]
fn a_wind_that_agrees_says_nothing() {
    let report = outlook(OutlookRequest { other_activity: vec![wind(4.0)], ..asked() }).unwrap();
    assert!(
        report.verdict.reasons.iter().all(|reason| !reason.contains("further apart")),
        "{:?}",
        report.verdict.reasons
    );
    assert!(report.limits.iter().all(|limit| !limit.contains("disagree")));
}

#[test]
fn hours_that_are_over_when_asked_are_not_compared() {
    let late = "2026-03-14T20:30:00Z".parse().unwrap();
    let report = outlook(OutlookRequest { other_activity: vec![wind(1.0)], asked_at: late, ..asked() }).unwrap();
    assert!(report.limits.iter().all(|limit| !limit.contains("disagree")));
}

#[test]
fn a_series_of_several_kinds_names_the_one_that_counts() {
    let mut request = asked();
    for interval in &mut request.activity.intervals {
        interval.kind = ActivityKind::SolarWind;
    }
    request.activity.intervals[0].kind = ActivityKind::Preliminary;
    request.activity.issued_at = Some("2026-03-14T18:55:00Z".parse().unwrap());
    let report = outlook(request).unwrap();
    assert!(report.verdict.reasons[0].contains("from the solar wind now measured"), "{:?}", report.verdict.reasons);
    assert_eq!(report.inputs[0].state, InputState::Fresh);
}

#[test]
fn an_input_too_old_to_lean_on_is_said_in_the_verdict() {
    let mut asked = request(site("Home", 69.0, 16.0), "2026-03-14", "2026-03-14T12:00:00Z", &[4.0; 8]);
    asked.asked_at = "2026-03-14T20:00:00Z".parse().unwrap();
    asked.weather.issued_at = Some("2026-03-14T14:00:00Z".parse().unwrap());
    assert!(!outlook(asked.clone()).unwrap().verdict.text.contains("Mind:"));
    asked.weather.issued_at = Some("2026-03-14T05:00:00Z".parse().unwrap());
    let text = outlook(asked).unwrap().verdict.text;
    assert!(text.ends_with("Mind: the weather it rests on is 15 h old."), "{text}");
}
