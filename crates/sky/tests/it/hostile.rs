//! Poles, the date line, leap days, the ends of the range, air that cannot be.

use jiff::Timestamp;
use jiff::civil::Date;
use quantity::{GeoPosition, Horizontal};
use sky::{Air, Darkness, SkyError, SunState};

fn place(latitude_deg: f64, longitude_deg: f64) -> GeoPosition {
    GeoPosition::new(latitude_deg, longitude_deg, 0.0).unwrap()
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn date(text: &str) -> Date {
    text.parse().unwrap()
}

#[test]
fn at_the_poles_the_sun_stays_up_or_down() {
    for (day, north, south) in [
        ("2026-06-21", SunState::PolarDay, SunState::PolarNight),
        ("2026-12-21", SunState::PolarNight, SunState::PolarDay),
    ] {
        for longitude in [-180.0, 0.0, 77.0, 180.0] {
            assert_eq!(sky::night(date(day), place(90.0, longitude)).unwrap().sun_state, north);
            assert_eq!(sky::night(date(day), place(-90.0, longitude)).unwrap().sun_state, south);
        }
    }
}

#[test]
fn the_pole_has_one_sunrise_a_year() {
    let nights = (0..365).map(|day| {
        let day = date("2026-01-01") + jiff::Span::new().days(day);
        sky::night(day, place(90.0, 0.0)).unwrap()
    });
    let with_sunrise: Vec<Date> = nights.filter(|night| night.sunrise.is_some()).map(|night| night.date).collect();
    assert_eq!(with_sunrise.len(), 1, "{with_sunrise:?}");
    assert_eq!(with_sunrise[0].month(), 3);
}

#[test]
fn the_date_line_is_one_place_with_two_dates() {
    // the same noon is the 10th on one side and the 11th on the other
    let west = sky::night(date("2026-03-11"), place(65.0, 180.0)).unwrap();
    let east = sky::night(date("2026-03-10"), place(65.0, -180.0)).unwrap();
    assert_eq!(west.window_start, east.window_start);
    assert_eq!(west.sunset, east.sunset);
}

#[test]
fn a_leap_day_is_a_day() {
    let before = sky::night(date("2028-02-28"), place(69.0, 19.0)).unwrap();
    let leap = sky::night(date("2028-02-29"), place(69.0, 19.0)).unwrap();
    let after = sky::night(date("2028-03-01"), place(69.0, 19.0)).unwrap();
    assert_eq!(before.window_end, leap.window_start);
    assert_eq!(leap.window_end, after.window_start);
    assert!(leap.sunset.unwrap() > before.sunset.unwrap());
}

#[test]
fn instants_outside_the_years_are_refused_with_their_bounds() {
    for text in ["1949-12-31T23:59:59Z", "2100-01-01T00:00:00Z", "-009999-01-02T12:00:00Z", "9999-12-30T22:00:00Z"] {
        let error = sky::sun_moon(at(text), place(0.0, 0.0)).unwrap_err();
        assert!(matches!(error, SkyError::InstantOutOfRange { first_year: 1950, last_year: 2099, .. }));
        assert!(error.to_string().contains("1950 to 2099") && error.hint().contains("1950"));
        assert!(sky::ObserverSky::new(at(text), place(0.0, 0.0)).is_err());
    }
}

#[test]
fn the_first_and_last_instants_are_answered() {
    for text in ["1950-01-01T00:00:00Z", "2099-12-31T23:59:59.999999999Z"] {
        let bodies = sky::sun_moon(at(text), place(70.0, 20.0)).unwrap();
        assert!(bodies.sun.horizontal.altitude_deg.is_finite() && bodies.moon.distance_km > 350_000.0);
        let sky_then = sky::ObserverSky::new(at(text), place(70.0, 20.0)).unwrap();
        assert!(sky_then.star(&sky::catalogue().stars()[0]).altitude_deg.is_finite());
    }
}

#[test]
fn nights_at_the_ends_of_the_range_are_answered_or_refused() {
    for (text, answered) in [
        ("1950-01-01", false),
        ("1950-01-02", true),
        ("2099-12-30", true),
        ("2099-12-31", false),
        ("-9999-01-01", false),
        ("9999-12-31", false),
    ] {
        let Ok(day) = text.parse::<Date>() else { continue };
        for longitude in [-180.0, 180.0] {
            assert_eq!(sky::night(day, place(60.0, longitude)).is_ok(), answered, "{text}");
        }
    }
}

#[test]
fn a_leap_second_does_not_upset_the_sun() {
    let before = sky::sun_moon(at("2016-12-31T23:59:59Z"), place(60.0, 0.0)).unwrap().sun.horizontal;
    let after = sky::sun_moon(at("2017-01-01T00:00:00Z"), place(60.0, 0.0)).unwrap().sun.horizontal;
    // two seconds of turning, 30", seen as one by the civil clock
    assert!(before.separation_deg(after) < 31.0 / 3600.0);
}

#[test]
fn air_that_cannot_be_bends_nothing_and_never_fails() {
    let strange = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e9, 1e9];
    for pressure_hpa in strange {
        for temperature_c in strange {
            let air = Air { pressure_hpa, temperature_c };
            for altitude_deg in [-90.0, -5.11, -4.4, 0.0, 45.0, 90.0] {
                assert!(air.apparent_altitude_deg(altitude_deg).is_finite());
                assert!(air.airless_altitude_deg(altitude_deg).is_finite());
            }
        }
    }
    assert!((Air::NONE.apparent(Horizontal::new(0.0, 10.0)).altitude_deg).abs() < f64::EPSILON);
}

#[test]
fn the_zenith_and_the_nadir_are_not_bent_past_themselves() {
    let air = Air::default();
    assert!(air.apparent_altitude_deg(90.0) < 90.0 + 1e-4);
    assert!(air.refraction_deg(-90.0).is_finite());
    // no altitude, no lift: and no panic
    assert!(air.refraction_deg(f64::NAN).max(0.0) < f64::EPSILON);
}

#[test]
fn darkness_has_an_order() {
    assert!(Darkness::SunUp < Darkness::Bright && Darkness::Nautical < Darkness::Astro);
    assert_eq!(Darkness::from_sun_altitude_deg(-17.99), Darkness::Nautical);
    assert_eq!(Darkness::from_sun_altitude_deg(-18.0), Darkness::Astro);
}
