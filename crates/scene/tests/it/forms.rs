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

#[test]
fn up_the_field_a_sheet_has_the_light_of_its_whole_column() {
    // by hand from the light by height: what lies in the densest kilometre against the whole
    let rate = |km: f64| aurora::volume_emission_cm3_s(EmissionLine::Green5577, km, 4000.0);
    let heights = || (0..800).map(|i| 82.0 + 0.5 * f64::from(i));
    let whole: f64 = heights().map(|km| 0.5 * rate(km)).sum();
    let densest = heights().map(rate).fold(0.0, f64::max) / whole;
    for (thickness_km, pixel_um) in [(12.0, 80.0), (22.0, 80.0), (12.0, 27.0)] {
        let mut spec = tiny(Vec::new());
        spec.kit.sensor.pixel_um = pixel_um;
        let zenith = render(&spec, 1).unwrap().truth.magnetic_zenith;
        (spec.pointing.azimuth_deg, spec.pointing.altitude_deg) = (zenith.azimuth_deg, zenith.altitude_deg);
        // the observer's own field line has come so far equatorward at 110 km
        let poleward_km = -110.0 / zenith.altitude_deg.to_radians().tan();
        spec.aurora = vec![Form::Curtain(Curtain {
            poleward_km,
            broadside_kr: 10.0,
            thickness_km,
            soft_share: 0.0,
            energy_kev: 4.0,
            ..Curtain::default()
        })];
        let map = render(&spec, 1).unwrap().truth.map;
        let middle = f64::from(map.above_kr[map.index([149.5, 99.5]).unwrap()][1]);
        // a Gaussian's area is 1.0645 of its height and width; the line leans 12 degrees. The brightness along a plain arc
        // wanders between 0.44 and 1 of the greatest, by its pattern of brighter and fainter stretches
        let column_kr = 10.0 / (densest * thickness_km * 1.0645) / zenith.altitude_deg.to_radians().sin();
        let share = middle / column_kr;
        assert!((0.42..1.02).contains(&share), "{thickness_km} km: {middle} of {column_kr} kR");
    }
}

#[test]
fn a_thick_sheet_is_as_bright_drawn_in_one_as_in_many() {
    // the same arc through fine cells (many thin sheets) and coarse ones (one): along the meridian the same light
    let sums = [27.0, 80.0].map(|pixel_um| {
        let arc = Curtain { poleward_km: 30.0, thickness_km: 24.0, soft_share: 0.0, ..Curtain::default() };
        let mut spec = tiny(vec![Form::Curtain(arc)]);
        spec.kit.sensor.pixel_um = pixel_um;
        let scale = 80.0 / pixel_um;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sides of a sensor")]
        let size = [(300.0 * scale) as u32, (200.0 * scale) as u32];
        [spec.kit.sensor.width_px, spec.kit.sensor.height_px] = size;
        spec.pointing.altitude_deg = 80.0;
        let map = render(&spec, 1).unwrap().truth.map;
        map.above_kr.iter().map(|kr| f64::from(kr[1])).sum::<f64>() / map.above_kr.len() as f64
    });
    assert!((sums[0] / sums[1] - 1.0).abs() < 0.03, "{sums:?}");
}

#[test]
fn still_water_gives_back_what_fresnel_says() {
    // H: 0.21 at 15 degrees. An even sky above and below a level axis, no ripples, no land
    let glow = Glow { half_size_km: [1e5, 1e5], unevenness: 0.0, column_kr: 50.0, ..Glow::default() };
    let mut spec = tiny(vec![Form::Glow(glow)]);
    spec.pointing.altitude_deg = 0.0;
    // short, that nothing clips
    spec.exposure.seconds = 0.1;
    spec.towns.clear();
    spec.kit.axis_shift_px = [0.0; 2];
    spec.water = Some(scene::Water { far_deg: 0.1, near_deg: 90.0, slope_deg: 0.0 });
    let rendered = render(&spec, 1).unwrap();
    let offset_px = spec.camera().pixel_of(quantity::Horizontal::new(-15.0, 350.0)).unwrap()[1] - 99.5;
    let mean = |sign: f64| {
        let (mut sum, mut n) = (0.0, 0.0);
        for x in 120..180 {
            for dy in -1..=1 {
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the picture")]
                let y = (99.5 + sign * offset_px + f64::from(dy)).round() as usize;
                if (x + y) % 2 == 1 {
                    sum += rendered.electrons(x, y).unwrap();
                    n += 1.0;
                }
            }
        }
        sum / n
    };
    let share = mean(1.0) / mean(-1.0);
    // 90 sites of some 10 000 electrons, and 0.1 degree of rounding to pixels
    assert!((share - 0.21).abs() < 0.02, "{share}");
}

#[test]
fn a_magnitude_of_cloud_takes_a_magnitude() {
    let mut spec = tiny(Vec::new());
    spec.pointing.altitude_deg = 80.0;
    let clear = render(&spec, 1).unwrap().truth;
    spec.cloud = Some(scene::CloudSpec {
        seed: 1,
        height_km: 3.0,
        cover: quantity::Fraction::ALL,
        optical_depth: sky::OPTICAL_DEPTH_PER_MAG,
        heap_km: 3.0,
        wind_km_s: [0.0, 0.0],
    });
    let veiled = render(&spec, 1).unwrap().truth;
    assert!(veiled.cloud_share > 0.99);
    let mut compared = 0;
    for star in clear.stars.iter().filter(|star| star.altitude_deg > 75.0).take(20) {
        let through = veiled.stars.iter().find(|other| other.hip == star.hip).unwrap();
        let lost = 2.5 * (star.green_e / through.green_e).log10();
        // the path at 75 degrees is 1.035 times that overhead
        assert!((lost - 1.02).abs() < 0.03, "{lost}");
        compared += 1;
    }
    assert!(compared > 5);
}
