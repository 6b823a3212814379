//! Weather told by its content: the airfield that speaks for a site, and files of every kind.

use feeds::FeedError;
use feeds::weather::weather_at;
use quantity::{GeoPosition, Timestamp};

use super::{at, check_message, check_weather};
use crate::samples::sample;

/// Two airfields of an invented coast, 15 and 90 km from the site; the near one has observation and forecast.
const AIRFIELDS: &str = r#"[
    {"icaoId":"XSKB","rawOb":"METAR XSKB 152120Z 21004KT 9999 OVC014 M03/M08 Q0998","lat":69.40,"lon":15.2,"elev":12},
    {"icaoId":"XSKB","rawTAF":"TAF XSKB 151700Z 1518/1618 20008KT 9999 FEW030","lat":69.40,"lon":15.2,"elev":12},
    {"icaoId":"XMRH","rawOb":"METAR XMRH 152120Z 00000KT CAVOK M09/M12 Q0998","lat":70.08,"lon":15.0,"elev":3}
]"#;
const NOW: &str = "2026-11-15T21:40:00Z";

fn bay() -> GeoPosition {
    GeoPosition::new(69.27, 15.0, 0.0).unwrap()
}

fn now() -> Timestamp {
    at(NOW)
}

fn read(bytes: &[u8], site: GeoPosition) -> Result<job::Weather, FeedError> {
    weather_at(&[("given", bytes)], site, now())
}

#[test]
fn the_nearest_airfield_speaks_what_was_seen_first() {
    let weather = read(AIRFIELDS.as_bytes(), bay()).unwrap();
    check_weather(Ok(weather.clone()));
    assert!(weather.source.contains("XSKB") && weather.source.contains("16 km away"), "{}", weather.source);
    let low = |time: &str| weather.at(at(time)).and_then(|hour| hour.cloud.low).map(quantity::Fraction::value);
    assert_eq!(low("2026-11-15T21:30:00Z"), Some(1.0), "overcast seen");
    assert!(low("2026-11-15T23:00:00Z").is_some_and(|share| share < 0.3), "few forecast");
    assert_eq!(weather.hours[0].temperature_c, Some(-3.0));
}

#[test]
fn an_airfield_too_far_away_does_not_speak_for_a_site() {
    let error = read(AIRFIELDS.as_bytes(), GeoPosition::new(66.0, 15.0, 0.0).unwrap()).unwrap_err();
    assert!(error.to_string().contains("within 50 km"), "{error}");
    check_message(&error);
}

#[test]
fn a_report_as_text_is_taken_at_the_word_of_whoever_gave_it_but_not_two() {
    let one = "METAR XSKB 152120Z 21004KT 9999 OVC014 M03/M08 Q0998";
    assert_eq!(read(one.as_bytes(), bay()).unwrap().hours.len(), 1);
    let two = format!("{one}\nMETAR XMRH 152120Z 00000KT CAVOK M09/M12 Q0998");
    let error = read(two.as_bytes(), bay()).unwrap_err();
    assert!(error.to_string().contains("one airfield alone"), "{error}");
}

#[test]
fn what_is_no_weather_is_refused() {
    for body in [&b""[..], b"<html><body>busy</body></html>", b"{}", b"[]", b"{\"Kp\":[1]}", b"GRIB\0\0", &[0xff; 64]] {
        check_message(&read(body, bay()).unwrap_err());
    }
    let text: &[u8] = b"METAR XSKB 152120Z 21004KT CAVOK M03/M08";
    let error = weather_at(&[("a", text), ("b", text)], bay(), now()).unwrap_err();
    assert!(error.to_string().contains("GRIB"), "{error}");
    check_message(&weather_at(&[], bay(), now()).unwrap_err());
}

#[test]
fn real_answers_of_each_kind_are_told_apart() {
    let Some(bytes) = sample("../grib2/gfs_cloud_low_mid_high_20110110T12_f120.grib2") else { return };
    let weather = read(&bytes, GeoPosition::new(60.0, 10.0, 0.0).unwrap()).unwrap();
    check_weather(Ok(weather.clone()));
    assert!(!weather.around.is_empty(), "cloud where lines of sight cross it");
    for (name, said) in [
        ("weather/metno_locationforecast_complete_51.5_-0.1.2020-07-20.json", "MET Norway"),
        ("weather/nws_gridpoints_TAE_58_65.2022-02-04.json", "National Weather Service"),
    ] {
        let Some(bytes) = sample(name) else { return };
        let weather = read(&bytes, bay()).unwrap();
        assert!(weather.source.contains(said), "{}", weather.source);
    }
}
