//! The code of forms, and rays of known truth.

use quantity::Horizontal;
use sequence::{
    AtlasCode, AtlasColour, AtlasCondition, AtlasForm, AtlasQualifier, AtlasStructure, LitCell, RayTrace, RayVerdict,
    brightness_class, form_geometry, meeting_of_rays, rays_against_field,
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

/// Height of the drawn layer, km, and the sphere it lies over: the mean radius of the IUGG.
const HEIGHT_KM: f64 = 110.0;
const RADIUS_KM: f64 = 6371.0 + HEIGHT_KM;
/// Azimuth of the magnetic pole of the drawn place, degrees.
const POLEWARD_DEG: f64 = 10.0;

/// The direction of a place in the layer, km magnetic east and poleward of the zenith: triangle of the centre of the Earth, the
/// observer and the place.
fn direction([east_km, poleward_km]: [f64; 2]) -> Horizontal {
    let arc = east_km.hypot(poleward_km) / RADIUS_KM;
    let up = RADIUS_KM * arc.cos() - 6371.0;
    let altitude_deg = up.atan2(RADIUS_KM * arc.sin()).to_degrees();
    Horizontal::new(altitude_deg, POLEWARD_DEG + east_km.atan2(poleward_km).to_degrees())
}

/// A form as an even picture of the sky sees it: directions of a grid of 1 degree where `across_km` of its middle line is light
/// of a Gaussian.
fn seen(middle_km: impl Fn(f64) -> f64, deviation_km: f64) -> Vec<LitCell> {
    let mut cells = Vec::new();
    for altitude in 8..90 {
        let altitude_deg = f64::from(altitude) + 0.5;
        let around = (360.0 * altitude_deg.to_radians().cos()).max(1.0).round();
        let mut step = 0.0;
        while step < around {
            let azimuth_deg = 360.0 * step / around;
            step += 1.0;
            let alt = altitude_deg.to_radians();
            let arc = (6371.0 * alt.cos() / RADIUS_KM).acos() - alt;
            let (sin, cos) = (azimuth_deg - POLEWARD_DEG).to_radians().sin_cos();
            let [east, poleward] = [RADIUS_KM * arc * sin, RADIUS_KM * arc * cos];
            let light = (-0.5 * ((poleward - middle_km(east)) / deviation_km).powi(2)).exp();
            if light > 0.05 && east.abs() < 450.0 {
                cells.push(LitCell { direction: Horizontal::new(altitude_deg, azimuth_deg), light });
            }
        }
    }
    cells
}

/// Cells of 1 degree at 100 to 250 km are 2 to 12 km long: a width of 40 km (four deviations of 10) is seen with a quarter of
/// that in error.
const WIDTH_TOLERANCE_KM: f64 = 10.0;
/// An even strip of 900 km has four deviations of 900 * 4 / sqrt(12) km; the cells' raggedness at its ends makes some per cent.
const LENGTH_TOLERANCE: f64 = 0.1;
/// Direction of a strip of many cells.
const TILT_TOLERANCE_DEG: f64 = 3.0;

#[test]
fn a_drawn_arc_has_its_length_width_and_direction_in_the_layer() {
    let place = direction([120.0, 80.0]);
    assert!((place.azimuth_deg - POLEWARD_DEG - 120.0_f64.atan2(80.0).to_degrees()).abs() < 1e-9);
    let form = form_geometry(&seen(|_| 130.0, 10.0), POLEWARD_DEG, HEIGHT_KM).unwrap();
    assert!((form.width_km - 40.0).abs() < WIDTH_TOLERANCE_KM, "{form:?}");
    assert!((form.length_km / (900.0 * 4.0 / 12.0_f64.sqrt()) - 1.0).abs() < LENGTH_TOLERANCE, "{form:?}");
    assert!(form.tilt_deg < TILT_TOLERANCE_DEG && (form.poleward_km - 130.0).abs() < 5.0, "{form:?}");
    assert!(form.stray_km < 0.2 * form.width_km, "{form:?}");
    let slope = 25.0_f64.to_radians().tan();
    let tilted = form_geometry(&seen(|east| 60.0 + slope * east, 10.0), POLEWARD_DEG, HEIGHT_KM).unwrap();
    assert!((tilted.tilt_deg - 25.0).abs() < TILT_TOLERANCE_DEG, "{tilted:?}");
    // folds of 60 km every 250 km
    let folded =
        form_geometry(&seen(|east| 130.0 + 60.0 * (east / 40.0).sin(), 10.0), POLEWARD_DEG, HEIGHT_KM).unwrap();
    assert!(folded.stray_km > 2.0 * form.stray_km && folded.stray_km > 25.0, "{folded:?}");
    assert!(form_geometry(&[], POLEWARD_DEG, HEIGHT_KM).is_none());
}
