//! Forms do what their numbers say.

use quantity::EmissionLine;
use scene::{Curtain, Form, Glow, Pulsation, SceneSpec, render, sample};

fn tiny(aurora: Vec<Form>) -> SceneSpec {
    let mut spec = SceneSpec { aurora, faint_stars: false, ..sample("empty").unwrap() };
    spec.kit.sensor = optics::Sensor { width_px: 300, height_px: 200, pixel_um: 80.0, ..spec.kit.sensor };
    spec.extinction = sky::Extinction { rayleigh_mag: 0.0, aerosol_mag: 0.0, ozone_mag: 0.0, glow_loss: 1.0 };
    spec
}

/// Light of the middle of a map at an age of the forms.
fn middle_kr(spec: &SceneSpec, age_s: f64, line: EmissionLine) -> f64 {
    let mut later = spec.clone();
    later.opens_at = later.forms_epoch + jiff::SignedDuration::try_from_secs_f64(age_s).unwrap();
    let map = render(&later, 1).unwrap().truth.map;
    f64::from(map.arriving_kr[(map.rows / 2) * map.columns + map.columns / 2][line as usize])
}

#[test]
fn a_patch_pulsates_with_its_period() {
    let pulsation = Pulsation { period_s: 20.0, brightest_at_s: 5.0, depth: 0.8, on_share: 0.5 };
    let patch = Glow { half_size_km: [1e5, 1e5], unevenness: 0.0, pulsation: Some(pulsation), ..Glow::default() };
    let mut spec = tiny(vec![Form::Glow(patch)]);
    spec.exposure.seconds = 0.1;
    let light = |age| middle_kr(&spec, age, EmissionLine::Green5577);
    let (on, off) = (light(5.0), light(15.0));
    assert!((off / on - 0.2).abs() < 0.01, "{on} {off}");
    assert!((light(25.0) / on - 1.0).abs() < 0.01 && (light(-15.0) / on - 1.0).abs() < 0.01);
    // an exposure of a whole period sees the mean: on for half of it
    spec.exposure.seconds = 20.0;
    let mean = middle_kr(&spec, 0.0, EmissionLine::Green5577) / on;
    assert!((mean - 0.6).abs() < 0.03, "{mean}");
}

#[test]
fn a_form_drifts_with_its_speed_and_follows_its_course() {
    let patch = |middle_km| Glow {
        middle_km,
        half_size_km: [60.0, 40.0],
        unevenness: 0.5,
        drift_km_s: [0.3, 0.1],
        ..Glow::default()
    };
    let moved = tiny(vec![Form::Glow(patch([0.0, 200.0]))]);
    let placed = tiny(vec![Form::Glow(Glow { drift_km_s: [0.0, 0.0], ..patch([60.0, 220.0]) })]);
    // after 200 s of exposure's middle it stands where the other always stood
    let age = 200.0 - 0.5 * moved.exposure.seconds;
    let (a, b) = (middle_kr(&moved, age, EmissionLine::Green5577), middle_kr(&placed, age, EmissionLine::Green5577));
    assert!((a / b - 1.0).abs() < 1e-3, "{a} {b}");
    let course =
        Glow { course: vec![[0.0, 1.0], [100.0, 0.5]], half_size_km: [1e5, 1e5], unevenness: 0.0, ..Glow::default() };
    let mut spec = tiny(vec![Form::Glow(course)]);
    spec.exposure.seconds = 0.1;
    let light = |age| middle_kr(&spec, age, EmissionLine::Green5577);
    assert!((light(50.0) / light(-10.0) - 0.75).abs() < 0.01 && (light(500.0) / light(0.0) - 0.5).abs() < 0.01);
}

#[test]
fn harder_electrons_shine_lower_and_soft_ones_red() {
    let curtain = |energy_kev, soft_share| {
        let arc = Curtain { energy_kev, soft_share, poleward_km: 250.0, broadside_kr: 20.0, ..Curtain::default() };
        render(&tiny(vec![Form::Curtain(arc)]), 1).unwrap().truth
    };
    let lower_edge_px = |truth: &scene::Truth| {
        // lowest row of the middle column with a quarter of its most light
        let map = &truth.map;
        let column = |row: usize| map.above_kr[row * map.columns + map.columns / 2][1];
        let most = (0..map.rows).map(column).fold(0.0, f32::max);
        (0..map.rows).rev().find(|row| column(*row) > 0.25 * most).unwrap()
    };
    let red_share = |truth: &scene::Truth| {
        let sum = |line: usize| truth.map.above_kr.iter().map(|kr| f64::from(kr[line])).sum::<f64>();
        sum(2) / sum(1)
    };
    let (hard, soft) = (curtain(8.0, 0.0), curtain(1.0, 0.0));
    assert!(lower_edge_px(&hard) > lower_edge_px(&soft));
    assert!(red_share(&soft) > 5.0 * red_share(&hard));
    assert!(red_share(&curtain(8.0, 0.4)) > 2.0 * red_share(&hard));
}

#[test]
fn from_the_side_a_curtain_has_the_brightness_asked_for() {
    // poleward 300 km the sightline meets the sheet nearly squarely, 19 deg from the horizontal, and the field leans 12 deg:
    // the path through the sheet is longer by 1/cos, and a thin sheet's light is spread by the drawing over half a cell
    let arc =
        Curtain { poleward_km: 300.0, broadside_kr: 10.0, thickness_km: 8.0, soft_share: 0.0, ..Curtain::default() };
    let mut spec = tiny(vec![Form::Curtain(arc)]);
    spec.kit.sensor = optics::Sensor { width_px: 900, height_px: 600, pixel_um: 27.0, ..spec.kit.sensor };
    let map = render(&spec, 1).unwrap().truth.map;
    let most = map.above_kr.iter().map(|kr| f64::from(kr[1])).fold(0.0, f64::max);
    assert!((7.0..14.0).contains(&most), "{most} kR");
}
