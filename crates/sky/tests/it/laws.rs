//! What must hold for any place and instant.

use jiff::Timestamp;
use jiff::civil::Date;
use proptest::prelude::*;
use quantity::GeoPosition;

/// Seconds of the Unix count over the years covered, with a day spared at either end.
const SECONDS: std::ops::Range<i64> = -631_000_000..4_102_300_000;
/// A round trip through the air and back: rounding of an iteration that converges quadratically.
const ROUND_TRIP_DEG: f64 = 1e-7;
/// The Sun's declination changes by 0.4° a day at most, the equation of time by 30 s: 0.01° in the hours from a
/// transit to either side cannot be seen at once, 0.35° can (6 h of declination 0.1°, times two, and the curve's slope).
const TRANSIT_SYMMETRY_DEG: f64 = 0.35;
/// Refraction and semidiameter at the horizon, degrees: how far from 0 a rising Sun may be.
const RISE_DEG: f64 = 0.8333;
/// Times are rounded to a second, in which the Sun moves 15" at most.
const RISE_TOLERANCE_DEG: f64 = 0.0043;

fn places() -> impl Strategy<Value = GeoPosition> {
    (-90.0..=90.0_f64, -180.0..=180.0_f64, -400.0..6_000.0_f64)
        .prop_map(|(latitude, longitude, height)| GeoPosition::new(latitude, longitude, height).unwrap())
}

fn instants() -> impl Strategy<Value = Timestamp> {
    SECONDS.prop_map(|second| Timestamp::from_second(second).unwrap())
}

fn dates() -> impl Strategy<Value = Date> {
    (1951_i16..2099, 1_i8..=12, 1_i8..=28).prop_map(|(y, m, d)| Date::new(y, m, d).unwrap())
}

proptest! {
    #[test]
    fn bodies_stay_within_their_orbits(at in instants(), place in places()) {
        let bodies = sky::sun_moon(at, place).unwrap();
        prop_assert!((0.982..1.018).contains(&bodies.sun.distance_au));
        prop_assert!((349_000.0..414_000.0).contains(&bodies.moon.distance_km));
        prop_assert!((bodies.moon.distance_km - bodies.moon.geocentric_distance_km).abs() < 6_400.0);
        prop_assert!((0.0..=1.0).contains(&bodies.moon.lit_fraction.value()));
        prop_assert!((0.262..0.273).contains(&bodies.sun.semidiameter_deg));
    }

    #[test]
    fn the_moon_is_lit_by_its_distance_from_the_sun(at in instants(), place in places()) {
        let bodies = sky::sun_moon(at, place).unwrap();
        let apart_deg = bodies.sun.horizontal.separation_deg(bodies.moon.horizontal);
        // angles of a triangle with a far corner at the Sun: never more than 0.2° between its two sides
        prop_assert!((apart_deg + bodies.moon.phase_angle_deg - 180.0).abs() < 0.2);
        prop_assert_eq!(bodies.moon.is_waxing(), bodies.moon.elongation_deg < 180.0);
    }

    #[test]
    fn longitude_and_360_more_are_the_same_place(at in instants(), latitude in -90.0..90.0_f64, west in -180.0..0.0_f64) {
        let here = sky::sun_moon(at, GeoPosition::new(latitude, west, 0.0).unwrap()).unwrap();
        let there = sky::sun_moon(at, GeoPosition::new(latitude, west + 360.0, 0.0).unwrap()).unwrap();
        prop_assert!(here.sun.horizontal.separation_deg(there.sun.horizontal) < ROUND_TRIP_DEG);
    }

    #[test]
    fn the_sun_is_as_high_before_its_highest_as_after(date in dates(), place in places()) {
        let night = sky::night(date, place).unwrap();
        let middle = night.sun_lowest.at;
        let inside = middle > night.window_start + jiff::SignedDuration::from_hours(4)
            && middle < night.window_end - jiff::SignedDuration::from_hours(4);
        prop_assume!(inside && place.latitude_deg().abs() < 80.0);
        let altitude = |hours| {
            let at = middle + jiff::SignedDuration::from_hours(hours);
            sky::sun_moon(at, place).unwrap().sun.horizontal.altitude_deg
        };
        prop_assert!((altitude(-3) - altitude(3)).abs() < TRANSIT_SYMMETRY_DEG);
    }

    #[test]
    fn a_night_goes_down_in_order(date in dates(), latitude in -60.0..60.0_f64, longitude in -180.0..=180.0_f64) {
        let night = sky::night(date, GeoPosition::new(latitude, longitude, 0.0).unwrap()).unwrap();
        let order = [
            Some(night.window_start), night.sunset, night.civil_dusk, night.nautical_dusk, night.astronomical_dusk,
            Some(night.sun_lowest.at),
            night.astronomical_dawn, night.nautical_dawn, night.civil_dawn, night.sunrise, Some(night.window_end),
        ];
        let known: Vec<Timestamp> = order.into_iter().flatten().collect();
        prop_assert!(known.is_sorted());
        prop_assert!(night.sunset.is_some() && night.sunrise.is_some());
        prop_assert_eq!(night.astronomical_dusk.is_some(), night.darkest == sky::Darkness::Astro);
    }

    #[test]
    fn the_sun_stands_at_the_horizon_when_it_sets(date in dates(), place in places()) {
        let night = sky::night(date, place).unwrap();
        for at in [night.sunset, night.sunrise].into_iter().flatten() {
            let sun = sky::sun_moon(at, place).unwrap().sun;
            prop_assert!((sun.horizontal.altitude_deg + RISE_DEG).abs() < RISE_TOLERANCE_DEG);
        }
    }

    #[test]
    fn states_and_times_tell_the_same_story(date in dates(), place in places()) {
        let night = sky::night(date, place).unwrap();
        prop_assert!(night.sun_lowest.altitude_deg <= night.sun_highest.altitude_deg);
        if night.sun_state != sky::SunState::Normal {
            prop_assert!(night.sunset.is_none() && night.sunrise.is_none());
        }
        let moon_moves = night.moonrise.is_some() || night.moonset.is_some();
        prop_assert_eq!(night.moon_state == sky::MoonState::Normal, moon_moves);
    }

    #[test]
    fn air_lifts_and_can_be_undone(altitude in -1.5..89.9_f64, pressure in 0.0..1_060.0_f64, temperature in -40.0..40.0_f64) {
        let air = sky::Air { pressure_hpa: pressure, temperature_c: temperature };
        let apparent = air.apparent_altitude_deg(altitude);
        prop_assert!(apparent >= altitude);
        prop_assert!((air.airless_altitude_deg(apparent) - altitude).abs() < ROUND_TRIP_DEG);
    }

    #[test]
    fn denser_air_lifts_more(altitude in -1.0..80.0_f64, pressure in 500.0..1_000.0_f64) {
        let (thin, thick) = (
            sky::Air { pressure_hpa: pressure, temperature_c: 10.0 },
            sky::Air { pressure_hpa: pressure + 30.0, temperature_c: 10.0 },
        );
        prop_assert!(thick.refraction_deg(altitude) > thin.refraction_deg(altitude));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn the_sky_turns_about_the_pole(at in instants(), place in places()) {
        let now = sky::ObserverSky::new(at, place).unwrap();
        let later = sky::ObserverSky::new(at + jiff::SignedDuration::from_secs(86_164), place).unwrap_or_else(|_| now.clone());
        let polaris = sky::catalogue().named("Polaris").unwrap();
        // a sidereal day later it stands where it stood, but for aberration and nutation
        prop_assert!(now.star(polaris).separation_deg(later.star(polaris)) < 0.01);
    }

    #[test]
    fn every_star_listed_as_up_is_up(at in instants(), place in places()) {
        let listed = sky::ObserverSky::new(at, place).unwrap().bright_stars_up(2.0);
        prop_assert!(listed.len() < 60);
        prop_assert!(listed.iter().all(|place| place.horizontal.altitude_deg > 0.0 && place.star.v_mag < 2.0));
    }

    #[test]
    fn planets_keep_near_the_ecliptic_of_the_sun(at in instants(), place in places()) {
        let sky_now = sky::ObserverSky::new(at, place).unwrap();
        let sun = sky::sun_moon(at, place).unwrap().sun.horizontal;
        for (planet, farthest_deg) in [(sky::Planet::Mercury, 29.0), (sky::Planet::Venus, 48.5)] {
            prop_assert!(sky_now.planet(planet).horizontal.separation_deg(sun) < farthest_deg);
        }
        for planet in sky::Planet::ALL {
            prop_assert!((-5.2..6.5).contains(&sky_now.planet(planet).v_mag), "{:?}", sky_now.planet(planet));
        }
    }
}
