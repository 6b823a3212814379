//! Rays, borders and lenses against tables and models of others.

use geomag::{FieldModel, magnetic_zenith};
use optics::{Exposure, Pointing, Projection};
use quantity::{GeoPosition, Horizontal};
use scene::{Curtain, Form, SceneSpec, render, sample};

/// A single field line's worth of light: a short bright piece of a plain thin arc.
fn post(poleward_km: f64, east_km: f64) -> Form {
    Form::Curtain(Curtain {
        poleward_km,
        ends_km: [east_km - 0.5, east_km + 0.5],
        broadside_kr: 1500.0,
        soft_share: 0.6,
        thickness_km: 0.3,
        fold_km: 0.0,
        ..Curtain::default()
    })
}

fn all_sky(aurora: Vec<Form>, place: GeoPosition) -> SceneSpec {
    let mut spec = SceneSpec { aurora, place, faint_stars: false, ..sample("empty").unwrap() };
    spec.pointing = Pointing { azimuth_deg: 0.0, altitude_deg: 90.0, roll_deg: 0.0 };
    spec.kit.sensor = optics::Sensor { width_px: 1200, height_px: 1200, pixel_um: 20.0, ..spec.kit.sensor };
    spec.kit.lens = optics::Lens { projection: Projection::Equidistant, focal_mm: 7.6, f_number: 2.8, ..spec.kit.lens };
    (spec.kit.k1, spec.kit.axis_shift_px) = (0.0, [0.0; 2]);
    spec.exposure = Exposure { seconds: 1.0, iso: 800.0, f_number: 2.8 };
    spec
}

/// Directions of the map's brightest places with their 557.7 nm, kR.
fn bright(spec: &SceneSpec) -> Vec<(Horizontal, f64)> {
    let map = render(spec, 1).unwrap().truth.map;
    let most = map.above_kr.iter().map(|kr| kr[1]).fold(0.0, f32::max);
    (0..map.above_kr.len())
        .filter(|i| map.above_kr[*i][1] > 0.02 * most)
        .filter_map(|i| Some((spec.camera().direction_of(map.pixel(i))?, f64::from(map.above_kr[i][1]))))
        .collect()
}

/// Directions of pixels that forms light, with their electrons: what the same sky without forms has is taken away.
fn lit(spec: &SceneSpec) -> Vec<(Horizontal, f64)> {
    let with = render(spec, 1).unwrap();
    let without = render(&SceneSpec { aurora: Vec::new(), ..spec.clone() }, 1).unwrap();
    let (width, height) = (with.mosaic.width, with.mosaic.height);
    let sites = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).filter(|(x, y)| (x + y) % 2 == 1);
    sites
        .filter_map(|(x, y)| {
            let (light, sky) = (with.electrons(x, y)?, without.electrons(x, y)?);
            // ten deviations of the difference, and more for stars, whose light scatters more
            let scatter = 10.0 * (2.0 * (sky.max(0.0) + 60.0)).sqrt();
            (light - sky > scatter.max(0.3 * sky)).then_some(((x, y), light - sky))
        })
        .filter_map(|((x, y), light)| Some((spec.camera().direction_of([x as f64, y as f64])?, light)))
        .collect()
}

#[test]
fn rays_point_to_the_magnetic_zenith() {
    let nights = [
        (69.2, 15.1, "2026-11-10T20:30:00Z"),
        (64.8, -147.7, "2026-11-10T09:30:00Z"),
        (-45.9, 170.5, "2026-06-10T11:00:00Z"),
    ];
    for (latitude, longitude, midnight) in nights {
        let place = GeoPosition::new(latitude, longitude, 0.0).unwrap();
        let field = FieldModel::at(sample("empty").unwrap().opens_at).unwrap();
        for (poleward_km, east_km) in [(100.0, 60.0), (-120.0, 90.0), (60.0, -150.0)] {
            let mut spec = all_sky(vec![post(poleward_km, east_km)], place);
            (spec.opens_at, spec.forms_epoch) = (midnight.parse().unwrap(), midnight.parse().unwrap());
            let seen = lit(&spec);
            assert!(seen.len() >= 30, "{} places lit", seen.len());
            // the great circle through the ray passes the magnetic zenith over its foot within 1 degree: its normal is
            // found from the light, weighted as a plane of least squares through the observer
            let normal = plane_normal(&seen);
            let zenith = magnetic_zenith(&field.field(latitude, longitude, 110.0)).east_north_up();
            let off = (0..3).map(|i| normal[i] * zenith[i]).sum::<f64>().asin().to_degrees().abs();
            assert!(off < 1.0, "{latitude} {longitude}, ray at {poleward_km}, {east_km}: {off} deg");
        }
    }
}

/// Normal of the plane through the observer that passes nearest to directions.
fn plane_normal(seen: &[(Horizontal, f64)]) -> [f64; 3] {
    let mut m = [[0.0; 3]; 3];
    for (direction, weight) in seen {
        let v = direction.east_north_up();
        for i in 0..3 {
            for j in 0..3 {
                m[i][j] += weight * v[i] * v[j];
            }
        }
    }
    // the least eigenvector by the inverse power method on the shifted adjugate: a few rounds of solving m x = b
    let shift = 1e-9 * (m[0][0] + m[1][1] + m[2][2]);
    (0..3).for_each(|i| m[i][i] += shift);
    let mut x = [0.3, 0.5, 0.8];
    for _ in 0..60 {
        x = solved(&m, x);
        let length = x.iter().map(|v| v * v).sum::<f64>().sqrt();
        x = x.map(|v| v / length);
    }
    x
}

fn solved(m: &[[f64; 3]; 3], b: [f64; 3]) -> [f64; 3] {
    let minor = |r: usize, c: usize| {
        let (a, d) = ((r + 1) % 3, (r + 2) % 3);
        let (e, f) = ((c + 1) % 3, (c + 2) % 3);
        m[a][e] * m[d][f] - m[a][f] * m[d][e]
    };
    let determinant: f64 = (0..3).map(|c| m[0][c] * minor(0, c)).sum();
    std::array::from_fn(|i| (0..3).map(|r| minor(r, i) * b[r]).sum::<f64>() / determinant)
}

#[test]
fn an_arc_stands_as_high_as_its_distance_says() {
    // A5, sphere: a point at 110 km over 200 km of ground stands 27.70 deg up, over 300 km 18.63 deg. The light's middle is
    // at 110 to 120 km by its energy; 2.5 km of height are 0.5 deg
    let place = GeoPosition::new(69.2, 15.1, 0.0).unwrap();
    for (poleward_km, altitude_deg) in [(200.0, 27.70), (300.0, 18.63)] {
        let arc = Curtain { poleward_km, soft_share: 0.0, broadside_kr: 10.0, energy_kev: 5.0, ..Curtain::default() };
        let spec = all_sky(vec![Form::Curtain(arc)], place);
        let truth = render(&spec, 1).unwrap().truth;
        let north = truth.magnetic_zenith.azimuth_deg - 180.0;
        // along the magnetic meridian toward the pole, the brightest place
        let seen = bright(&spec);
        let along = seen.iter().filter(|(d, _)| quantity::wrap_degrees_180(d.azimuth_deg - north).abs() < 4.0);
        let best = along.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap().0;
        // 2 deg are the map's step
        assert!((best.altitude_deg - altitude_deg).abs() < 2.5, "{poleward_km} km: {best:?}");
    }
}

#[test]
fn light_is_neither_lost_nor_made_by_the_lens() {
    // the light of a band within 50 degrees of the zenith is the same through three fisheyes: brightness times solid angle
    let arc = Form::Curtain(Curtain { poleward_km: 20.0, thickness_km: 6.0, fold_km: 15.0, ..Curtain::default() });
    let place = GeoPosition::new(69.2, 15.1, 0.0).unwrap();
    let sums = [Projection::Equidistant, Projection::Equisolid, Projection::Stereographic].map(|projection| {
        let mut spec = all_sky(vec![arc.clone()], place);
        spec.kit.lens.projection = projection;
        let map = render(&spec, 1).unwrap().truth.map;
        let camera = spec.camera();
        let light = |i: usize| {
            let angle_deg = 90.0 - camera.direction_of(map.pixel(i))?.altitude_deg;
            // a fisheye's falloff is the solid angle of its pixels
            (angle_deg < 50.0).then(|| f64::from(map.above_kr[i][1]) * projection.natural_falloff(angle_deg))
        };
        (0..map.above_kr.len()).filter_map(light).sum::<f64>()
    });
    // the maps' points are 2 degrees apart, and their places on the band differ by lens
    assert!(sums.iter().all(|sum| (sum / sums[0] - 1.0).abs() < 0.08), "{sums:?}");
}

/// Tolerance that the table asks for.
const LENS_TABLE_PX: f64 = 0.02;

#[test]
fn the_camera_of_a_scene_is_that_of_the_lens_table() {
    let table = include_str!("../../../optics/tests/data/lens.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let n = |i: usize| row[i].parse::<f64>().unwrap();
        let mut spec = sample("empty").unwrap();
        spec.kit.sensor.pixel_um = 1000.0 * n(3);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sides of a sensor")]
        let size = [n(4) as u32, n(5) as u32];
        [spec.kit.sensor.width_px, spec.kit.sensor.height_px] = size;
        spec.kit.lens.focal_mm = n(2);
        spec.kit.lens.projection = serde_json::from_str(&format!("\"{}\"", &row[1])).unwrap();
        spec.kit.axis_shift_px = [n(6) - 0.5 * (n(4) - 1.0), n(7) - 0.5 * (n(5) - 1.0)];
        (spec.kit.k1, spec.kit.k2) = (n(8), n(9));
        spec.pointing = Pointing { azimuth_deg: n(10), altitude_deg: n(11), roll_deg: n(12) };
        let [x, y] = spec.camera().pixel_of(Horizontal::new(n(14), n(13))).unwrap();
        assert!((x - n(16)).hypot(y - n(17)) < LENS_TABLE_PX, "{row:?}: {x}, {y}");
        rows += 1;
    }
    assert!(rows > 100);
}
