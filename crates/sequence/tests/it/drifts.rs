//! Drift of drawn light.

use geomag::Sightline;
use proptest::prelude::*;
use quantity::{GeoPosition, Horizontal};
use sequence::{
    DriftOutcome, DriftWindow, FlowSettings, Keogram, LightGrid, LightUnit, SkyView, SliceLine, SliceSettings,
    drift_along, flow_between, sidereal_motion_deg_per_s,
};

use crate::drawn::{Fisheye, after, bell, evening, skerrow_bay};
use crate::keograms::meridian;
use crate::spectra::gaussian;

/// A keogram whose light is a function of seconds and km along the line.
fn drawn(step_s: f64, count: u32, noise: f64, light: impl Fn(f64, f64) -> f64) -> Keogram {
    drawn_along(meridian(), step_s, count, noise, light)
}

fn drawn_along(line: SliceLine, step_s: f64, count: u32, noise: f64, light: impl Fn(f64, f64) -> f64) -> Keogram {
    let along: Vec<f64> = line.bins.iter().map(|bin| bin.place.unwrap().along_km).collect();
    let mut keogram = Keogram::new(line, LightUnit::Kilorayleighs, step_s, 2000).unwrap();
    let mut state = 9;
    for frame in 0..count {
        let at_s = f64::from(frame) * step_s;
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let slice: Vec<f32> = along.iter().map(|km| (light(at_s, *km) + noise * gaussian(&mut state)) as f32).collect();
        keogram.push(after(at_s), &slice).unwrap();
    }
    keogram
}

const WHOLE: DriftWindow = DriftWindow { from: 0, to: usize::MAX };

#[test]
fn an_arc_that_drifts_is_measured_at_the_speed_drawn() {
    for speed in [-0.8, -0.15, 0.3, 1.2] {
        let keogram = drawn(10.0, 60, 0.1, |at_s, km| {
            let x = km - speed * (at_s - 300.0);
            1.0 + 10.0 * bell(x, 30.0) + 4.0 * bell(x - 90.0, 15.0)
        });
        let DriftOutcome::Measured(drift) = drift_along(&keogram, WHOLE) else { panic!("{speed}: not measured") };
        let sigma = drift.km_per_s.high - drift.km_per_s.value;
        assert!((drift.km_per_s.value - speed).abs() < 0.05 * speed.abs() + 0.01, "{speed}: {drift:?}");
        assert!((drift.km_per_s.value - speed).abs() < 3.0 * sigma + 0.02 * speed.abs(), "{speed}: {drift:?}");
        // one km a second overhead at 110 km is 0.52 degrees a second
        assert!((drift.deg_per_s.value / drift.km_per_s.value - 0.5209).abs() < 0.001);
        assert!(!drift.like_the_stars);
    }
}

#[test]
fn a_lamp_that_stands_does_not_hold_the_light_back() {
    let keogram = drawn(10.0, 60, 0.1, |at_s, km| {
        1.0 + 50.0 * bell(km + 100.0, 20.0) + 3.0 * bell(km - 0.5 * (at_s - 300.0), 40.0)
    });
    let DriftOutcome::Measured(drift) = drift_along(&keogram, WHOLE) else { panic!("not measured") };
    assert!((drift.km_per_s.value - 0.5).abs() < 0.05, "{drift:?}");
}

#[test]
fn where_nothing_moves_no_speed_is_said() {
    let mut state = 3;
    for (name, keogram) in [
        ("noise", drawn(10.0, 60, 1.0, |_, _| 5.0)),
        ("nothing", drawn(10.0, 60, 0.0, |_, _| 5.0)),
        ("a lamp", drawn(10.0, 60, 0.1, |_, km| 1.0 + 50.0 * bell(km, 30.0))),
    ] {
        let outcome = drift_along(&keogram, WHOLE);
        assert!(!matches!(outcome, DriftOutcome::Measured(_)), "{name}: {outcome:?}");
    }
    // new structure in every column: there is something, but it cannot be followed
    let line = meridian();
    let mut boiling = Keogram::new(line, LightUnit::Kilorayleighs, 10.0, 100).unwrap();
    for frame in 0..60 {
        let places: Vec<f64> = (0..4).map(|_| 80.0 + 40.0 * gaussian(&mut state)).collect();
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let slice: Vec<f32> = (0..161)
            .map(|bin| places.iter().map(|place| 5.0 * bell(f64::from(bin) - place, 6.0)).sum::<f64>() as f32)
            .collect();
        boiling.push(after(f64::from(frame) * 10.0), &slice).unwrap();
    }
    let outcome = drift_along(&boiling, WHOLE);
    assert!(matches!(outcome, DriftOutcome::NotFollowed { .. }), "{outcome:?}");
    assert_eq!(drift_along(&boiling, DriftWindow { from: 3, to: 5 }), DriftOutcome::TooLittle);
}

#[test]
fn light_that_turns_with_the_stars_is_marked() {
    let line = SliceLine::magnetic_east_west(skerrow_bay(), evening(), SliceSettings::default()).unwrap();
    let azimuth = line.azimuth_deg.to_radians();
    let [east, north, _] = sidereal_motion_deg_per_s(skerrow_bay(), Horizontal::new(90.0, 0.0));
    let rate_km_s = (east * azimuth.sin() + north * azimuth.cos()).to_radians() * 110.0;
    let keogram = drawn_along(line, 60.0, 200, 0.02, |at_s, km| 1.0 + 10.0 * bell(km - rate_km_s * at_s, 12.0));
    let DriftOutcome::Measured(drift) = drift_along(&keogram, WHOLE) else { panic!("not measured") };
    assert!(drift.like_the_stars, "{drift:?}");
}

/// Drawn patches of light at 110 km, moved by an east and a north speed.
fn patches(eye: Fisheye, at_s: f64, [east_km_s, north_km_s]: [f64; 2]) -> Vec<f32> {
    let observer = skerrow_bay();
    eye.picture(|direction| {
        if direction.altitude_deg < 5.0 {
            return 0.2;
        }
        let airless = sky::Air::default().airless(direction);
        let Some(point) = Sightline::new(observer, airless).at_height_km(110.0) else { return 0.2 };
        let km = 6481.0_f64.to_radians();
        let east = (point.longitude_deg - 15.1) * km * point.latitude_deg.to_radians().cos() - east_km_s * at_s;
        let north = (point.latitude_deg - 69.2) * km - north_km_s * at_s;
        1.0 + 3.0 * (east / 17.0).sin() * (north / 21.0).sin() + 2.0 * ((east + 0.6 * north) / 29.0).cos()
    })
}

#[test]
fn patches_that_drift_over_the_picture_are_followed() {
    let eye = Fisheye { size: 200 };
    for speed in [[0.4, 0.0], [-0.3, -0.3], [0.0, 0.6]] {
        let [before, later] = [0.0, 10.0].map(|at_s| patches(eye, at_s, speed));
        let grids = [&eye.grid(&before), &eye.grid(&later)];
        let flow = flow_between(&eye, skerrow_bay(), grids, 10.0, FlowSettings::default()).unwrap();
        let (east, north) = (flow.east_km_s.unwrap(), flow.north_km_s.unwrap());
        assert!(
            (east.value - speed[0]).abs() < 0.04 && (north.value - speed[1]).abs() < 0.04,
            "{speed:?}: {east:?} {north:?}"
        );
        assert!(flow.vectors.len() > 50 && !flow.like_the_stars, "{} {}", flow.vectors.len(), flow.lost);
    }
}

#[test]
fn noise_and_straight_arcs_give_no_common_motion() {
    let eye = Fisheye { size: 200 };
    let mut state = 21;
    let mut noisy = || -> Vec<f32> {
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let values = (0..eye.size * eye.size).map(|_| (10.0 + gaussian(&mut state)) as f32).collect();
        values
    };
    let [a, b] = [noisy(), noisy()];
    let flow = flow_between(&eye, skerrow_bay(), [&eye.grid(&a), &eye.grid(&b)], 5.0, FlowSettings::default()).unwrap();
    assert!(flow.east_km_s.is_none(), "{} {}", flow.vectors.len(), flow.lost);
    // a straight band across the picture, moved along itself: only its edge is seen
    let band = |shift: f64| -> Vec<f32> {
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let values = (0..eye.size * eye.size)
            .map(|index| (1.0 + 10.0 * bell((index / eye.size) as f64 - 90.0 - shift, 6.0)) as f32)
            .collect();
        values
    };
    let [a, b] = [band(0.0), band(2.0)];
    let flow = flow_between(&eye, skerrow_bay(), [&eye.grid(&a), &eye.grid(&b)], 5.0, FlowSettings::default()).unwrap();
    assert!(flow.east_km_s.is_none() && flow.vectors.iter().all(|vector| vector.edge_only), "{flow:?}");
}

#[test]
fn a_sky_that_turns_is_marked_as_stars() {
    let eye = Fisheye { size: 300 };
    let place = GeoPosition::new(40.0, 15.0, 0.0).unwrap();
    // blobs as of the Milky Way, fixed to the sky: turned about the pole by the angle of ten minutes
    let turn = |direction: Horizontal, seconds: f64| {
        let steps = 40;
        let mut v = direction.east_north_up();
        for _ in 0..steps {
            let rate = sidereal_motion_deg_per_s(place, Horizontal::from_east_north_up(v));
            for (part, rate) in v.iter_mut().zip(rate) {
                *part -= rate.to_radians() * seconds / f64::from(steps);
            }
        }
        Horizontal::from_east_north_up(v).east_north_up()
    };
    let picture = |seconds: f64| {
        eye.picture(|direction| {
            let [east, north, up] = turn(direction, seconds);
            2.0 + (39.0 * east).sin() * (38.0 * north + 1.0).sin() + 0.6 * (31.0 * (up + 0.4 * east)).cos()
        })
    };
    let [a, b] = [picture(0.0), picture(300.0)];
    let flow = flow_between(&eye, place, [&eye.grid(&a), &eye.grid(&b)], 300.0, FlowSettings::default()).unwrap();
    assert!(flow.vectors.len() > 20, "{} {}", flow.vectors.len(), flow.lost);
    assert!(flow.like_the_stars, "{:?} {:?}", flow.east_km_s, flow.north_km_s);
}

#[test]
fn pictures_that_do_not_go_together_are_refused() {
    let (eye, other) = (Fisheye { size: 60 }, Fisheye { size: 61 });
    let (a, b) = (eye.picture(|_| 1.0), other.picture(|_| 1.0));
    let flow = |grids: [&LightGrid<'_>; 2], seconds| {
        flow_between(&eye, skerrow_bay(), grids, seconds, FlowSettings::default())
    };
    assert!(flow([&eye.grid(&a), &other.grid(&b)], 1.0).is_err());
    assert!(flow([&eye.grid(&a), &eye.grid(&a)], 0.0).is_err());
    assert!(flow([&eye.grid(&a), &eye.grid(&a)], 1.0).is_ok_and(|flow| flow.vectors.is_empty()));
    assert!(eye.direction_of([-500.0, 0.0]).is_none());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Reversed in time the drift is reversed.
    #[test]
    fn a_film_run_backward_drifts_the_other_way(speed in -1.0_f64..1.0) {
        let keogram = |sign: f64| drawn(10.0, 40, 0.05, |at_s, km| 1.0 + 8.0 * bell(km - sign * speed * (at_s - 195.0), 30.0));
        if let (DriftOutcome::Measured(a), DriftOutcome::Measured(b)) =
            (drift_along(&keogram(1.0), WHOLE), drift_along(&keogram(-1.0), WHOLE))
        {
            prop_assert!((a.km_per_s.value + b.km_per_s.value).abs() < 0.02 + 0.03 * speed.abs(), "{:?} {:?}", a, b);
        }
    }

    #[test]
    fn any_line_of_any_azimuth_can_be_made(azimuth in -360.0_f64..720.0, latitude in -89.0_f64..89.0, longitude in -180.0_f64..180.0) {
        let place = GeoPosition::new(latitude, longitude, 0.0).unwrap();
        let settings = SliceSettings { step_deg: 10.0, ..SliceSettings::default() };
        let line = SliceLine::toward(place, azimuth, evening(), settings).unwrap();
        prop_assert!(line.bins.iter().all(|bin| bin.place.is_some_and(|place| place.along_km.is_finite())));
    }
}
