//! The eye view against published thresholds, scales and formulas, and against what must not change.

use optics::{
    ContrastRange, EyeBackground, EyeDisplay, EyeObserver, EyeScene, EyeView, SeenAs, cone_threshold_cd_m2,
    contrast_threshold, eye_view, rod_threshold_cd_m2, seen_as, sky_luminance_cd_m2, xyz_of_linear_srgb,
};
use quantity::LineBrightness;

/// A dark sky of white light, 12.8 degrees to a side.
const SIDE: usize = 128;
const CELL_DEG: f64 = 0.1;
const DARK_MAG: f64 = 22.0;

/// Discs against the published threshold: the steps of the pyramid are an octave wide, and a disc between two of them, or cut
/// up by cells, is found by neither at its best.
const DISC_TOLERANCE: f64 = 0.40;
/// Ferwerda's formulas worked out by hand to three digits of the logarithm.
const LOG_TOLERANCE: f64 = 1.5e-3;
/// Bytes that rounding may be off.
const ROUNDING: i32 = 1;

fn sky(mag_arcsec2: f64) -> EyeScene {
    let y = sky_luminance_cd_m2(mag_arcsec2);
    let xyz = xyz_of_linear_srgb([y; 3]).map(|value| value as f32);
    EyeScene {
        width: SIDE,
        height: SIDE,
        cell_deg: CELL_DEG,
        lines_kr: vec![[0.0; 3]; SIDE * SIDE],
        other_xyz_cd_m2: vec![xyz; SIDE * SIDE],
        white_cd_m2: 0.1,
    }
}

/// Cells whose middle is within so many degrees of the view's middle.
fn disc(radius_deg: f64) -> Vec<usize> {
    let middle = (SIDE as f64 - 1.0) / 2.0;
    let inside = |cell: &usize| {
        let (x, y) = ((cell % SIDE) as f64 - middle, (cell / SIDE) as f64 - middle);
        x.hypot(y) * CELL_DEG <= radius_deg
    };
    (0..SIDE * SIDE).filter(inside).collect()
}

fn with_lines(mut scene: EyeScene, radius_deg: f64, lines_kr: [f32; 3]) -> EyeScene {
    for cell in disc(radius_deg) {
        scene.lines_kr[cell] = lines_kr;
    }
    scene
}

fn view(scene: &EyeScene) -> EyeView {
    eye_view(scene, &EyeObserver::default(), &EyeDisplay::default()).unwrap()
}

fn pixel(view: &EyeView, cell: usize) -> [i32; 3] {
    std::array::from_fn(|channel| i32::from(view.rgb[3 * cell + channel]))
}

const MIDDLE: usize = SIDE / 2 * SIDE + SIDE / 2;
const CORNER: usize = SIDE + 1;

/// Share of a white disc's contrast that a laboratory observer, fully adapted, keeps.
fn kept(radius_deg: f64, contrast: f64) -> f64 {
    let mut scene = sky(DARK_MAG);
    let inside = disc(radius_deg);
    for cell in &inside {
        scene.other_xyz_cd_m2[*cell] = scene.other_xyz_cd_m2[*cell].map(|value| value * (1.0 + contrast as f32));
    }
    let observer = EyeObserver { minutes_since_white_light: 120.0, field_factor: 1.0 };
    let seen = eye_view(&scene, &observer, &EyeDisplay::default()).unwrap().seen_cd_m2;
    let highest = inside.iter().map(|cell| f64::from(seen[*cell])).fold(0.0, f64::max);
    (highest / f64::from(seen[CORNER]) - 1.0) / contrast
}

/// Crumey (2014), eq. 41, fitted to Blackwell (1946): half of the looks find a disc of this contrast.
#[test]
fn a_disc_at_the_published_threshold_keeps_half_of_its_contrast() {
    let background = sky_luminance_cd_m2(DARK_MAG);
    let mut worst = 0.0f64;
    for radius_deg in [0.25f64, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0] {
        let area_deg2 = disc(radius_deg).len() as f64 * CELL_DEG * CELL_DEG;
        let published = contrast_threshold(ContrastRange::Scotopic, background, area_deg2);
        let (mut low, mut high) = (0.1 * published, 10.0 * published);
        for _ in 0..20 {
            let middle = f64::sqrt(low * high);
            if kept(radius_deg, middle) < 0.5 { low = middle } else { high = middle }
        }
        let off = low / published - 1.0;
        println!("radius {radius_deg} deg: found {low:.4}, published {published:.4}, {off:+.2}");
        worst = worst.max(off.abs());
    }
    assert!(worst < DISC_TOLERANCE, "{worst:.2}");
}
