//! All feeds together: which source counts when, what is said beside it, and what is said when something is missing.

use feeds::{FeedId, SpaceWeather, radio_flux, space_weather};
use job::{ActivityKind, KpInterval};
use proptest::prelude::*;
use quantity::Timestamp;

use crate::noaa_products::{POWER, minutes};
use crate::noaa_texts::{LONG_RANGE, THREE_DAY};
use crate::samples::sample;
use crate::solar_wind::{FIELD, PLASMA, PROPAGATED};

/// Three minutes after the newest sample of the composed solar wind.
const NOW: &str = "2026-09-12T21:42:00Z";
const DUSK: &str = "2026-09-12T15:00:00Z";
const DAWN: &str = "2026-09-13T06:00:00Z";

/// Estimates up to 21 UT and a forecast to noon, composed to the shape of 2026.
const FORECAST: &str = r#"[{"time_tag":"2026-09-12T12:00:00","kp":1.0,"observed":"observed","noaa_scale":null},
{"time_tag":"2026-09-12T15:00:00","kp":2.0,"observed":"observed","noaa_scale":null},
{"time_tag":"2026-09-12T18:00:00","kp":2.33,"observed":"observed","noaa_scale":null},
{"time_tag":"2026-09-12T21:00:00","kp":2.67,"observed":"estimated","noaa_scale":null},
{"time_tag":"2026-09-13T00:00:00","kp":5.0,"observed":"predicted","noaa_scale":"G1"},
{"time_tag":"2026-09-13T03:00:00","kp":4.67,"observed":"predicted","noaa_scale":"G1"}]"#;
/// Estimates up to 21 UT.
const ESTIMATES: &str = r#"[{"time_tag":"2026-09-12T15:00:00","Kp":2.0,"a_running":7,"station_count":8},
{"time_tag":"2026-09-12T18:00:00","Kp":2.33,"a_running":9,"station_count":8}]"#;
/// Preliminary values of GFZ: one that is over, one that runs.
const GFZ: &str = r#"{"Kp":[1.667,3.333],"datetime":["2026-09-12T15:00:00Z","2026-09-12T21:00:00Z"],
"meta":{"license":"CC BY 4.0","source":"GFZ Potsdam"},"status":["pre","pre"]}"#;

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn three_day() -> String {
    THREE_DAY
        .replace("2026 Dec 31", "2026 Sep 12")
        .replace("Dec 31-Jan 02 2027", "Sep 12-Sep 14 2026")
        .replace("Dec 31       Jan 01       Jan 02\n00-03", "Sep 12       Sep 13       Sep 14\n00-03")
}

fn long_range() -> String {
    LONG_RANGE
        .replace("2025 Jan 06", "2026 Sep 12")
        .replace("2025 Jan 07", "2026 Sep 13")
        .replace("2025 Jan 08", "2026 Sep 14")
}

fn told(bodies: &[(FeedId, &str)], now: &str) -> SpaceWeather {
    let bodies: Vec<(FeedId, &[u8])> = bodies.iter().map(|(feed, body)| (*feed, body.as_bytes())).collect();
    let told = space_weather(&bodies, at(now), at(DUSK), at(DAWN));
    check(&told);
    told
}

/// What holds of every answer.
fn check(told: &SpaceWeather) {
    told.main.check().unwrap();
    for other in &told.others {
        other.check().unwrap();
        assert!(!other.source.is_empty() && !other.intervals.is_empty());
    }
    for note in &told.notes {
        assert!(!note.contains('\n') && note.chars().count() < 350, "{note}");
    }
}

fn of(told: &SpaceWeather, instant: &str) -> Option<(ActivityKind, f64)> {
    told.main.at(at(instant)).map(|interval| (interval.kind, (interval.kp * 100.0).round() / 100.0))
}

/// An hour of a steady wind measured from an instant on; it arrives an hour later.
fn propagated(from: &str) -> String {
    let tag = |minute: i64| Timestamp::from_second(at(from).as_second() + 60 * minute).unwrap();
    let row = |minute: i64| {
        let (at, arrives_at) = (tag(minute), tag(minute + 60));
        format!(r#"["{at}",500.0,5.0,65000,0.0,0.0,-10.0,10.0,-500.0,0.0,0.0,"{arrives_at}"]"#)
    };
    let header = PROPAGATED.lines().next().unwrap();
    format!("{header}\n{}]", (0..60).map(row).collect::<Vec<_>>().join(",\n"))
}

fn all() -> Vec<(FeedId, String)> {
    vec![
        (FeedId::GfzKp, GFZ.to_owned()),
        (FeedId::NoaaKp3h, ESTIMATES.to_owned()),
        (FeedId::NoaaKpForecast, FORECAST.to_owned()),
        (FeedId::NoaaRtswMag, FIELD.to_owned()),
        (FeedId::NoaaRtswWind, PLASMA.to_owned()),
        (FeedId::NoaaPropagated, propagated("2026-09-12T20:40:00Z")),
        (
            FeedId::NoaaKp1m,
            minutes(210)
                .replace("2026-07-09T03", "2026-09-12T18")
                .replace("2026-07-09T04", "2026-09-12T19")
                .replace("2026-07-09T05", "2026-09-12T20")
                .replace("2026-07-09T06", "2026-09-12T21"),
        ),
        (
            FeedId::NoaaHemiPower,
            POWER
                .replace("2026-09-11_12", "2026-09-12_21")
                .replace("2026-09-11_13", "2026-09-12_22")
                .replace("2026-09-11_23", "2026-09-12_21")
                .replace("2026-09-12_00", "2026-09-12_22"),
        ),
        (FeedId::Noaa3Day, three_day()),
        (FeedId::Noaa27Day, long_range()),
    ]
}

fn borrowed(bodies: &[(FeedId, String)]) -> Vec<(FeedId, &str)> {
    bodies.iter().map(|(feed, body)| (*feed, body.as_str())).collect()
}

#[test]
fn each_stretch_of_the_night_has_its_most_trusted_source() {
    let told = told(&borrowed(&all()), NOW);
    assert_eq!(
        told.notes,
        [
            "The solar wind is measured by SOLAR1 since 2026-09-12 21:15 UTC and was by ACE before: a step there may be the instruments'."
        ]
    );
    // GFZ has 15 to 18 UT and not 18 to 21, where NOAA's estimate stands in
    assert_eq!(of(&told, "2026-09-12T16:00:00Z"), Some((ActivityKind::Preliminary, 1.67)));
    assert_eq!(of(&told, "2026-09-12T19:00:00Z"), Some((ActivityKind::Preliminary, 2.33)));
    // the interval that runs: the minute estimate, carried over its restart
    let (kind, running) = of(&told, "2026-09-12T21:30:00Z").unwrap();
    assert!(kind == ActivityKind::Nowcast && running > 1.3 && running < 2.7, "{running}");
    assert_eq!(of(&told, "2026-09-12T22:15:00Z").unwrap().0, ActivityKind::SolarWind);
    // the last sample arrives 46 minutes after 21:39; the wind moved to Earth by the agency reaches to 22:39
    let ends: Vec<Timestamp> =
        told.main.intervals.iter().filter(|i| i.kind == ActivityKind::SolarWind).map(|i| i.to).collect();
    assert_eq!(ends, ["2026-09-12T22:12:00Z", "2026-09-12T22:25:24Z", "2026-09-12T22:39:00Z"].map(at));
    assert_eq!(of(&told, "2026-09-12T22:45:00Z"), Some((ActivityKind::Forecast, 2.67)));
    assert_eq!(of(&told, "2026-09-13T01:00:00Z"), Some((ActivityKind::Forecast, 5.0)));
    assert!(told.main.intervals.windows(2).all(|pair| pair[0].to == pair[1].from), "no gap");
    for part in ["GFZ Helmholtz", "CC BY 4.0", "NOAA Space Weather", "Kp forecast", "solar wind at L1 (SOLAR1, ACE)"] {
        assert!(told.main.source.contains(part), "{part}: {}", told.main.source);
    }
    assert!(!told.main.source.contains("27-day") && !told.main.source.contains("power"), "{}", told.main.source);
    let others: Vec<&str> = told.others.iter().map(|other| other.source.split(':').next().unwrap()).collect();
    for name in ["3-day forecast", "27-day outlook", "hemispheric power of the short-term model", "Kp forecast"] {
        assert!(others.contains(&name), "{name}: {others:?}");
    }
}

#[test]
fn a_stale_wind_does_not_drive_and_is_reported() {
    let told = told(&borrowed(&all()[..5]), "2026-09-12T23:57:00Z");
    assert!(told.main.intervals.iter().all(|interval| interval.kind != ActivityKind::SolarWind));
    let note = told.notes.iter().find(|note| note.contains("solar wind")).unwrap();
    assert!(note.contains("is 2.3 h old and is not used"), "{note}");
    assert!(told.others.iter().all(|other| !other.source.contains("solar wind")));
}

#[test]
fn the_forecast_falls_back_to_the_text_and_to_the_outlook() {
    let without = |feeds: &[FeedId]| {
        let mut bodies = all();
        bodies.retain(|(feed, _)| !feeds.contains(feed));
        told(&borrowed(&bodies), NOW)
    };
    let text = without(&[FeedId::NoaaKpForecast]);
    assert_eq!(of(&text, "2026-09-13T03:30:00Z"), Some((ActivityKind::Forecast, 4.67)));
    assert!(text.main.source.contains("3-day forecast"), "{}", text.main.source);
    let outlook = without(&[FeedId::NoaaKpForecast, FeedId::Noaa3Day]);
    assert_eq!(of(&outlook, "2026-09-13T03:30:00Z"), Some((ActivityKind::LongRange, 2.67)));
    let nothing = without(&[FeedId::NoaaKpForecast, FeedId::Noaa3Day, FeedId::Noaa27Day]);
    assert_eq!(of(&nothing, "2026-09-13T03:30:00Z"), None);
    assert!(nothing.notes.iter().any(|note| note.starts_with("No source has a Kp for 7.3 h")), "{:?}", nothing.notes);
}

#[test]
fn without_the_two_halves_together_the_wind_moved_to_earth_stands_in() {
    let mut bodies = all();
    bodies[5].1 = propagated("2026-09-12T20:00:00Z");
    bodies.remove(4);
    let told = told(&borrowed(&bodies), "2026-09-12T21:05:00Z");
    assert!(told.notes.iter().any(|note| note.contains("noaa_rtsw_wind is not at hand")), "{:?}", told.notes);
    let (kind, kp) = of(&told, "2026-09-12T21:50:00Z").unwrap();
    assert_eq!(kind, ActivityKind::SolarWind);
    // the worked value of this wind
    assert!((kp - 5.77).abs() < 0.011, "{kp}");
    assert!(told.main.source.contains("solar wind moved to Earth"), "{}", told.main.source);
}

#[test]
fn too_little_wind_is_said() {
    let few = PROPAGATED.replace("2026-07-31T01", "2026-09-12T21").replace("2026-07-31T02", "2026-09-12T22");
    let told = told(&[(FeedId::NoaaPropagated, few.as_str())], "2026-09-12T21:20:00Z");
    assert!(told.main.intervals.is_empty());
    assert!(
        told.notes
            .iter()
            .any(|note| note.contains("only 0 of its minutes")
                || note.contains("of its minutes in the last three hours")),
        "{:?}",
        told.notes
    );
    assert_eq!(told.main.source, "no source has a value");
}

#[test]
fn what_is_over_stays_true_however_old_the_body() {
    let bodies = all();
    let told = told(&borrowed(&bodies), "2027-03-01T12:00:00Z");
    assert_eq!(of(&told, "2026-09-12T16:00:00Z"), Some((ActivityKind::Preliminary, 1.67)));
    // the running interval of then has come to an end: what GFZ gave for it is what it has
    assert_eq!(of(&told, "2026-09-12T22:00:00Z"), Some((ActivityKind::Preliminary, 3.33)));
    assert!(told.main.intervals.iter().all(|interval| !interval.kind.is_ahead()));
    assert!(
        told.notes.iter().all(|note| !note.contains("old")),
        "a night that is over needs nothing fresh: {:?}",
        told.notes
    );
}

#[test]
fn bodies_from_the_future_are_not_believed() {
    let told = told(&borrowed(&all()), "2026-09-12T10:00:00Z");
    assert!(told.main.intervals.iter().all(|interval| interval.kind.is_ahead()), "{:?}", told.main);
    assert!(told.notes.iter().any(|note| note.contains("ahead of the clock")), "{:?}", told.notes);
}

#[test]
fn bodies_that_cannot_be_read_are_notes() {
    for feed in FeedId::ALL {
        let told = told(&[(*feed, "<html>Blocked</html>"), (FeedId::NoaaKp3h, ESTIMATES)], NOW);
        assert_eq!(of(&told, "2026-09-12T16:00:00Z"), Some((ActivityKind::Preliminary, 2.0)));
        let says_nothing = matches!(
            feed,
            FeedId::NoaaOvation
                | FeedId::MetnoLocationforecast
                | FeedId::NwsPoints
                | FeedId::NwsGridpoints
                | FeedId::Metar
                | FeedId::Taf
        );
        let is_noted = told.notes.iter().any(|note| note.contains(feed.as_str()));
        assert_eq!(is_noted, !says_nothing, "{feed}: {:?}", told.notes);
    }
    let nothing = space_weather(&[], at(NOW), at(DUSK), at(DAWN));
    assert!(nothing.main.intervals.is_empty() && nothing.others.is_empty() && nothing.notes.len() == 1);
}

#[test]
fn the_radio_flux_of_a_day_comes_from_an_outlook_that_is_not_stale() {
    let outlook = long_range();
    let bodies: [(FeedId, &[u8]); 1] = [(FeedId::Noaa27Day, outlook.as_bytes())];
    let flux = |now: &str, day: &str| radio_flux(&bodies, at(now), at(day)).map(|flux| flux.f107_sfu);
    assert_eq!(flux(NOW, "2026-09-13T23:59:59Z"), Some(165.0));
    assert_eq!(flux(NOW, "2026-09-12T00:00:00Z"), Some(172.0));
    assert_eq!(flux(NOW, "2026-10-30T00:00:00Z"), None, "beyond its days");
    assert_eq!(flux("2026-10-30T00:00:00Z", "2026-09-13T00:00:00Z"), None, "stale");
    assert_eq!(radio_flux(&[(FeedId::Noaa27Day, b"<html>")], at(NOW), at(NOW)), None);
}

#[test]
fn captured_bodies_of_one_week_come_to_one_series() {
    let names = [
        (FeedId::NoaaKp3h, "swpc/noaa-planetary-k-index.2026-02-09.old-array-form.json"),
        (FeedId::NoaaKpForecast, "swpc/noaa-planetary-k-index-forecast.2026-02-09.old-array-form.json"),
        (FeedId::Noaa3Day, "swpc/3-day-forecast.2026-02-01.txt"),
    ];
    let bodies: Option<Vec<_>> = names.into_iter().map(|(feed, name)| Some((feed, sample(name)?))).collect();
    let Some(bodies) = bodies else { return };
    let bodies: Vec<(FeedId, &[u8])> = bodies.iter().map(|(feed, body)| (*feed, body.as_slice())).collect();
    let told =
        space_weather(&bodies, at("2026-02-09T18:30:00Z"), at("2026-02-03T00:00:00Z"), at("2026-02-11T00:00:00Z"));
    check(&told);
    assert!(told.main.intervals.windows(2).all(|pair| pair[0].to == pair[1].from), "no gap within a week");
    assert!(
        told.notes.iter().any(|note| note.starts_with("3-day forecast (noaa_3day) is 8 d old")),
        "{:?}",
        told.notes
    );
    let kind = |instant: &str| told.main.at(at(instant)).map(|interval| interval.kind);
    assert_eq!(kind("2026-02-09T10:00:00Z"), Some(ActivityKind::Preliminary));
    assert_eq!(kind("2026-02-10T10:00:00Z"), Some(ActivityKind::Forecast));
}

#[test]
fn spans_that_are_none_and_ends_of_time_are_survived() {
    let bodies = all();
    let bodies: Vec<(FeedId, &[u8])> = bodies.iter().map(|(feed, body)| (*feed, body.as_bytes())).collect();
    for instant in [Timestamp::MIN, Timestamp::MAX, at(NOW), at("1900-01-01T00:00:00Z")] {
        for (from, to) in [(at(DAWN), at(DUSK)), (at(DUSK), at(DUSK)), (Timestamp::MIN, Timestamp::MAX)] {
            check(&space_weather(&bodies, instant, from, to));
        }
    }
}

fn intervals_in_order(intervals: &[KpInterval]) -> bool {
    intervals.windows(2).all(|pair| pair[0].to <= pair[1].from)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn damaged_bodies_never_panic_and_never_overlap(
        damage in proptest::collection::vec((0.0..1.0_f64, any::<u8>(), any::<bool>()), 10),
        minutes_later in -3000_i64..3000,
    ) {
        let mut bodies: Vec<(FeedId, Vec<u8>)> = all().into_iter().map(|(feed, body)| (feed, body.into_bytes())).collect();
        for ((_, body), (place, byte, cut)) in bodies.iter_mut().zip(damage) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place within the body")]
            let index = ((place * body.len() as f64) as usize).min(body.len() - 1);
            if cut { body.truncate(index) } else { body[index] = byte }
        }
        let bodies: Vec<(FeedId, &[u8])> = bodies.iter().map(|(feed, body)| (*feed, body.as_slice())).collect();
        let now = Timestamp::from_second(at(NOW).as_second() + 60 * minutes_later).unwrap();
        let told = space_weather(&bodies, now, at(DUSK), at(DAWN));
        prop_assert!(told.main.check().is_ok());
        prop_assert!(intervals_in_order(&told.main.intervals));
        for other in &told.others {
            prop_assert!(other.check().is_ok(), "{:?}", other);
        }
    }
}
