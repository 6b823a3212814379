//! Odd places, odd kits, odd numbers: an answer or an error, never a panic.

use optics::Projection;
use quantity::GeoPosition;
use scene::{Curtain, Development, Form, Glow, SceneError, SceneSpec, render, sample};

fn small(name: &str) -> SceneSpec {
    let mut spec = SceneSpec { faint_stars: false, ..sample(name).unwrap() };
    (spec.kit.sensor.width_px, spec.kit.sensor.height_px) = (90, 60);
    spec
}

#[test]
fn poles_and_date_line_are_places_and_the_magnetic_equator_is_told() {
    for (latitude, longitude) in [(90.0, 0.0), (-90.0, 0.0), (86.0, 170.0), (69.0, 180.0), (-78.0, -179.99)] {
        let mut spec = small("folded_bands");
        spec.place = GeoPosition::new(latitude, longitude, 0.0).unwrap();
        let rendered = render(&spec, 1).unwrap();
        let map = &rendered.truth.map;
        assert!(map.arriving_kr.iter().flatten().all(|kr| kr.is_finite() && *kr >= 0.0), "{latitude} {longitude}");
    }
    let mut spec = small("folded_bands");
    spec.place = GeoPosition::new(5.0, 0.0, 0.0).unwrap();
    if let Err(error) = render(&spec, 1) {
        assert!(matches!(error, SceneError::Field(_)), "{error}");
        assert!(!error.hint().is_empty());
    }
}

#[test]
fn instants_beyond_the_field_or_the_sky_are_told() {
    for (instant, place) in
        [("2031-06-01T00:00:00Z", 69.0), ("1960-01-01T00:00:00Z", 69.0), ("2200-01-01T00:00:00Z", 69.0)]
    {
        let mut spec = small("quiet_arc");
        spec.place = GeoPosition::new(place, 15.0, 0.0).unwrap();
        (spec.opens_at, spec.forms_epoch) = (instant.parse().unwrap(), instant.parse().unwrap());
        assert!(render(&spec, 1).is_err(), "{instant}");
    }
}

#[test]
fn the_smallest_pictures_can_be_packed() {
    for size in [[1, 1], [2, 1], [1, 7], [3, 2], [17, 5]] {
        let mut spec = small("moonlit_lake");
        [spec.kit.sensor.width_px, spec.kit.sensor.height_px] = size;
        let rendered = render(&spec, 1).unwrap();
        let development = Development::default();
        assert!(rendered.to_jpeg(&development).is_ok() && rendered.to_png16(&development).is_ok(), "{size:?}");
        assert!(rendered.to_dng().len() > 2 * rendered.mosaic.values.len());
    }
}

#[test]
fn every_projection_and_direction_is_rendered() {
    for projection in Projection::ALL {
        for altitude_deg in [-90.0, -20.0, 0.0, 90.0] {
            let mut spec = small("moonlit_lake");
            spec.kit.lens.projection = projection;
            spec.kit.lens.focal_mm = 6.0;
            spec.pointing.altitude_deg = altitude_deg;
            let rendered = render(&spec, 1).unwrap();
            assert_eq!(rendered.mosaic.values.len(), 90 * 60);
            assert!(rendered.truth.stars.iter().all(|star| star.x_px.is_finite() && star.green_e.is_finite()));
        }
    }
}

#[test]
fn numbers_that_are_none_are_refused() {
    let arc = |arc: Curtain| SceneSpec { aurora: vec![Form::Curtain(arc)], ..small("empty") };
    let glow = |glow: Glow| SceneSpec { aurora: vec![Form::Glow(glow)], ..small("empty") };
    let refused = [
        arc(Curtain { poleward_km: f64::NAN, ..Curtain::default() }),
        arc(Curtain { ends_km: [100.0, -100.0], ..Curtain::default() }),
        arc(Curtain { broadside_kr: -1.0, ..Curtain::default() }),
        arc(Curtain { thickness_km: 0.0, ..Curtain::default() }),
        arc(Curtain { course: vec![[10.0, 1.0], [0.0, 1.0]], ..Curtain::default() }),
        glow(Glow { half_size_km: [f64::INFINITY, 1.0], ..Glow::default() }),
        glow(Glow { energy_kev: f64::NAN, ..Glow::default() }),
    ];
    for spec in refused {
        let error = render(&spec, 1).unwrap_err();
        assert!(matches!(error, SceneError::OutOfRange { .. }) && error.hint().starts_with("give "), "{error}");
    }
}
