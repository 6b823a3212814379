//! Electrons are what the arithmetic says.

use optics::{Exposure, Lens, Pointing, Projection, Sensor, Shot};
use quantity::LineBrightness;
use scene::{Form, Glow, Kit, SceneSpec, render, sample};
use sky::Extinction;

/// No air, no night sky to speak of, no lens falloff in the small middle: a kit of round numbers.
fn plain(size: [u32; 2], exposure: Exposure) -> SceneSpec {
    let base = sample("empty").unwrap();
    let sensor = Sensor {
        pixel_um: 6.0,
        width_px: size[0],
        height_px: size[1],
        peak_qe: [0.5, 0.5, 0.5],
        dark_current_e_s: 0.0,
        ..Sensor::generic_full_frame()
    };
    let lens = Lens {
        f_number: 2.8,
        focal_mm: 20.0,
        transmission: 0.9,
        projection: Projection::Rectilinear,
        corner_loss_stops: 0.0,
    };
    SceneSpec {
        exposure,
        kit: Kit { sensor, lens, k1: 0.0, axis_shift_px: [0.0; 2], hot_pixel_share: 0.0, ..base.kit.clone() },
        pointing: Pointing { azimuth_deg: 0.0, altitude_deg: 90.0, roll_deg: 0.0 },
        extinction: Extinction { rayleigh_mag: 0.0, aerosol_mag: 0.0, ozone_mag: 0.0, glow_loss: 1.0 },
        towns: Vec::new(),
        faint_stars: false,
        ..base
    }
}

/// Mean and variance of the electrons of the green sites, by the middle half of them: stars are left out.
fn green(rendered: &scene::Rendered) -> (f64, f64) {
    /// Quartiles of a normal law lie so many deviations apart.
    const QUARTILES: f64 = 1.348_98;
    let (width, height) = (rendered.mosaic.width, rendered.mosaic.height);
    let sites = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).filter(|(x, y)| (x + y) % 2 == 1);
    let mut values: Vec<f64> = sites.map(|(x, y)| rendered.electrons(x, y).unwrap()).collect();
    values.sort_by(f64::total_cmp);
    let (low, high) = (values.len() / 4, 3 * values.len() / 4);
    let mean = values[low..high].iter().sum::<f64>() / (high - low) as f64;
    (mean, ((values[high] - values[low]) / QUARTILES).powi(2))
}

fn even_glow(column_kr: f64) -> Form {
    Form::Glow(Glow { half_size_km: [1e5, 1e5], column_kr, unevenness: 0.0, ..Glow::default() })
}

#[test]
fn an_even_glow_gives_the_electrons_of_the_arithmetic() {
    // D1 by hand: 10 kR, 6 µm, f/2.8, transmission 0.9, efficiency 0.5, 5 s: 64.6 electrons; at the line the green curve
    // stands at 0.804 of its peak
    let exposure = Exposure { seconds: 5.0, iso: 800.0, f_number: 2.8 };
    let dark = green(&render(&plain([320, 240], exposure), 3).unwrap());
    let lit = SceneSpec { aurora: vec![even_glow(10.0)], ..plain([320, 240], exposure) };
    let rendered = render(&lit, 3).unwrap();
    let (mean, _) = green(&rendered);
    let by_hand = 64.6 * 0.804;
    // what the other two lines of the same electrons add to the green sites
    let middle = rendered.truth.map.arriving_kr[rendered.truth.map.arriving_kr.len() / 2].map(f64::from);
    let shot = Shot { sensor: &lit.kit.sensor, lens: &lit.kit.lens, exposure };
    let [_, others, _] =
        shot.line_electrons(&LineBrightness { blue_4278_kr: middle[0], green_5577_kr: 0.0, red_6300_kr: middle[2] });
    // overhead the sightline leans against the vertical by nothing: 10 kR to the slabs' cut, 1 %
    assert!((middle[1] / 10.0 - 1.0).abs() < 0.01, "{middle:?}");
    let found = mean - dark.0 - others;
    assert!((found / by_hand - 1.0).abs() < 0.02, "{found} electrons, {by_hand} by hand");
}

#[test]
fn a_glow_seen_low_is_brighter_by_the_path_through_it() {
    let exposure = Exposure { seconds: 5.0, iso: 800.0, f_number: 2.8 };
    let mut low = SceneSpec { aurora: vec![even_glow(10.0)], ..plain([320, 240], exposure) };
    low.pointing.altitude_deg = 30.0;
    let truth = render(&low, 1).unwrap().truth;
    let middle = f64::from(truth.map.arriving_kr[(truth.map.rows / 2) * truth.map.columns + truth.map.columns / 2][1]);
    // thin layer at 110 km, 30 degrees: 1.906 (van Rhijn); the light reaches from 100 to 150 km, where it is 1.89 to 1.87
    assert!((18.6..19.2).contains(&middle), "{middle}");
}

#[test]
fn photons_scatter_as_photons() {
    let exposure = Exposure { seconds: 20.0, iso: 800.0, f_number: 2.8 };
    let spec = SceneSpec { aurora: vec![even_glow(50.0)], ..plain([400, 300], exposure) };
    let (mean, variance) = green(&render(&spec, 9).unwrap());
    let read = spec.kit.sensor.read_noise_e(exposure.iso).powi(2);
    let step = render(&spec, 9).unwrap().truth.electrons_per_step.powi(2) / 12.0;
    // 60 000 sites: by the quartiles a variance is known to 1 %; the steps of the converter and the falloff of 0.3 % in the
    // corners of so small a picture add a per cent
    let expected = mean + read + step;
    assert!((variance / expected - 1.0).abs() < 0.04, "{variance} against {expected}");
}

#[test]
fn the_dark_sky_has_its_magnitude() {
    let exposure = Exposure { seconds: 20.0, iso: 800.0, f_number: 2.8 };
    let spec = plain([320, 240], exposure);
    let rendered = render(&spec, 4).unwrap();
    let said = f64::from(rendered.truth.map.sky_mag_arcsec2[rendered.truth.map.sky_mag_arcsec2.len() / 2]);
    let shot = Shot { sensor: &spec.kit.sensor, lens: &spec.kit.lens, exposure };
    let per_ra = shot.continuum_electrons([1.0; 3])[1];
    let (mean, _) = green(&rendered);
    let found = sky::photometry::mag_from_rayleighs_per_angstrom(mean / per_ra);
    assert!((found - said).abs() < 0.03, "{found} against {said}");
    assert!((said - 21.6).abs() < 0.02, "{said}");
}

#[test]
fn the_seed_decides_the_noise_and_nothing_else_does() {
    let exposure = Exposure { seconds: 1.0, iso: 800.0, f_number: 2.8 };
    let spec = SceneSpec { aurora: vec![even_glow(5.0)], ..plain([200, 100], exposure) };
    let (a, b, c) = (render(&spec, 1).unwrap(), render(&spec, 1).unwrap(), render(&spec, 2).unwrap());
    assert_eq!(a.mosaic, b.mosaic);
    assert_ne!(a.mosaic, c.mosaic);
    assert_eq!(a.truth.map, c.truth.map);
}
