//! The code of forms, and rays of known truth.

use quantity::Horizontal;
use sequence::{
    AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, RayTrace, RayVerdict,
    brightness_class, meeting_of_rays, rays_against_field,
};

/// Magnetic zenith of a place near 69 N, of the size the field model gives (from memory).
const MAGNETIC_ZENITH: Horizontal = Horizontal { altitude_deg: 78.0, azimuth_deg: 188.0 };

/// Rays 15 degrees long whose great circles pass through `through`, at bearings about it, each end off by up to
/// `noise_deg` in a fixed scatter of the seed.
fn rays(through: Horizontal, bearings_deg: &[f64], noise_deg: f64, seed: u64) -> Vec<RayTrace> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut scatter = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (f64::from(u32::try_from(state >> 32).unwrap()) / f64::from(u32::MAX) * 2.0 - 1.0) * noise_deg.to_radians()
    };
    let [pole_east, pole_north, pole_up] = through.east_north_up();
    let length = pole_north.hypot(pole_east);
    let side = [pole_north / length, -pole_east / length, 0.0];
    let across = [-side[1] * pole_up, side[0] * pole_up, side[1] * pole_east - side[0] * pole_north];
    let mut end = |bearing_deg: f64, distance_deg: f64| {
        let (sin, cos) = bearing_deg.to_radians().sin_cos();
        let (far, near) = distance_deg.to_radians().sin_cos();
        let pole = [pole_east, pole_north, pole_up];
        let at: Vec<f64> =
            (0..3).map(|i| near * pole[i] + far * (cos * side[i] + sin * across[i]) + scatter()).collect();
        Horizontal::from_east_north_up([at[0], at[1], at[2]])
    };
    bearings_deg.iter().map(|b| RayTrace { foot: end(*b, 30.0), head: end(*b, 15.0) }).collect()
}

/// The example of the code's order in observers' manuals.
#[test]
fn a_code_is_written_in_the_order_of_the_atlas() {
    let mut code = AtlasCode {
        condition: Some(AtlasCondition::RaysMove),
        qualifier: Some(AtlasQualifier::Multiple(2)),
        structure: Some(AtlasStructure::MediumRays),
        form: AtlasForm::Band,
        brightness: Some(3),
        colour: Some(AtlasColour::RedBelow),
    };
    assert_eq!(code.to_string(), "a3 m2 R2 B 3 b");
    (code.condition, code.qualifier) = (None, None);
    assert_eq!(code.to_string(), "R2 B 3 b");
}

/// 1, 10, 100, 1000 kR are I to IV (Seaton 1954, Hunten 1955).
#[test]
fn the_defined_brightnesses_have_their_classes() {
    let classes = [0.1, 1.0, 10.0, 100.0, 1000.0, f64::NAN, -1.0].map(brightness_class);
    assert_eq!(classes, [Some(0), Some(1), Some(2), Some(3), Some(4), None, None]);
}

#[test]
fn a_corona_and_a_rayed_band_meet_at_the_magnetic_zenith() {
    for seed in 1..20 {
        let around = rays(MAGNETIC_ZENITH, &[0.0, 50.0, 110.0, 160.0, 220.0, 270.0, 320.0], 0.3, seed);
        assert!(matches!(rays_against_field(&around, MAGNETIC_ZENITH), RayVerdict::AlongField { corona: true, .. }));
        let one_side = rays(MAGNETIC_ZENITH, &[10.0, 30.0, 55.0, 80.0, 100.0, 130.0], 0.3, seed);
        let said = rays_against_field(&one_side, MAGNETIC_ZENITH);
        assert!(matches!(said, RayVerdict::AlongField { corona: false, .. }), "{seed}: {said:?}");
    }
}

#[test]
fn streaks_that_meet_elsewhere_are_not_along_the_field() {
    let elsewhere = Horizontal { altitude_deg: 40.0, azimuth_deg: 90.0 };
    for seed in 1..20 {
        let streaks = rays(elsewhere, &[0.0, 40.0, 80.0, 140.0, 200.0, 300.0], 0.3, seed);
        let said = rays_against_field(&streaks, MAGNETIC_ZENITH);
        assert!(matches!(said, RayVerdict::Elsewhere { .. }), "{seed}: {said:?}");
    }
}

#[test]
fn few_or_scattered_rays_cannot_tell() {
    let few = rays(MAGNETIC_ZENITH, &[0.0, 90.0, 200.0], 0.0, 1);
    assert_eq!(rays_against_field(&few, MAGNETIC_ZENITH), RayVerdict::CannotTell);
    let one_plane = rays(MAGNETIC_ZENITH, &[40.0; 6], 0.0, 1);
    assert_eq!(meeting_of_rays(&one_plane), None);
    let narrow = rays(MAGNETIC_ZENITH, &[40.0, 41.0, 42.0, 43.0, 44.0], 2.0, 3);
    assert_eq!(rays_against_field(&narrow, MAGNETIC_ZENITH), RayVerdict::CannotTell);
}
