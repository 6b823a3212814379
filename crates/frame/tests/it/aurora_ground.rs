//! With a solved lens: rays against the magnetic zenith, degrees across, altitudes.

use frame::{AuroraContext, LensHints, LensSolution, StarsSeen, find_aurora, solve_lens};
use optics::{Camera, Pointing, Projection};
use quantity::{GeoPosition, Horizontal};
use sky::{Air, ObserverSky};

use crate::aurora_measures::{lines, map, with};
use crate::drawn_sky::{Dice, field_of};

const SIZE: [u32; 2] = [1944, 1296];
const TIME: &str = "2026-11-25T20:00:00Z";
/// Side of a cell, px.
const CELL_PX: f64 = 12.0;

/// A fisheye that looks up, so that rays are curves in its picture.
fn camera() -> Camera {
    let up = Pointing { azimuth_deg: 170.0, altitude_deg: 58.0, roll_deg: 12.0 };
    Camera::centred(Projection::Equidistant, 900.0, 1_000.0, SIZE, up)
}

fn solved() -> LensSolution {
    // Haldane Point, invented
    let place = GeoPosition::new(69.2, 15.1, 20.0).unwrap();
    let sky_then = ObserverSky::new(TIME.parse().unwrap(), place).unwrap();
    let (camera, mut dice) = (camera(), Dice::new(3));
    let mut places = Vec::new();
    for star in sky_then.bright_stars_up(5.0) {
        let seen = Air::default().apparent(star.horizontal);
        if let Some([x, y]) = camera.pixel_of(seen).filter(|pixel| camera.contains(*pixel)) {
            places.push([x + 0.1 * dice.gauss(), y + 0.1 * dice.gauss(), 10f64.powf(-0.4 * star.star.v_mag)]);
        }
    }
    let hints = LensHints { taken_at: Some(TIME.parse().unwrap()), place: Some(place), ..LensHints::default() };
    solve_lens(&field_of(SIZE, &places), &hints).unwrap()
}

#[test]
fn rays_meet_at_the_magnetic_zenith_and_extent_is_in_degrees() {
    let zenith = Horizontal::new(77.5, 188.0);
    let (lens, light, camera) = (solved(), lines([0.1, 1.0, 0.1]), camera());
    let [ex, ey, ez] = zenith.east_north_up();
    let drawn = map(162, 108, &|x, y| {
        let seen = camera.direction_of([x, y].map(|cells| (cells + 0.5) * CELL_PX - 0.5)).unwrap();
        let [e, n, u] = seen.east_north_up();
        // angle about the zenith of the field, from its own east
        let east = [ey, -ex, 0.0];
        let north = [-ex * ez, -ey * ez, ex * ex + ey * ey];
        let about = (e * east[0] + n * east[1]).atan2(e * north[0] + n * north[1] + u * north[2]);
        let off = zenith.separation_deg(seen);
        let ray = 0.6 + 0.4 * (36.0 * about).sin();
        let there = (-0.5 * ((off - 28.0) / 9.0).powi(2)).exp();
        with(light, 0.04 * ray * there)
    });
    let context = AuroraContext {
        stars: StarsSeen::Sure,
        is_linear: true,
        lens: Some(&lens),
        magnetic_zenith: Some(zenith),
        asks_forms: true,
        ..AuroraContext::default()
    };
    let finding = find_aurora(&drawn, &context);
    let structure = finding.structure.unwrap();
    let corona = structure.corona.expect("stripes around the zenith of the field");
    // by chance a sixth of the stripes would point at it; those that the picture's edge cuts leave a side out
    assert!(corona.sides >= 6 && corona.pointing_share > 0.5, "{corona:?}");
    let rays = structure.rays.expect("rays");
    let off = rays.from_magnetic_zenith_deg.expect("a direction");
    println!("{} pieces meet {off:.2} degrees off, scatter {:.1}", rays.pieces, rays.scatter_deg);
    assert!(off < 3.0, "{rays:?}");
    assert!(finding.evidence.iter().any(|evidence| evidence.words.contains("magnetic zenith")));
    let across = finding.extent.across_deg.unwrap();
    assert!((55.0..110.0).contains(&across), "{across}");
    let [low, high] = finding.extent.altitude_deg.unwrap();
    assert!(low > 10.0 && low < high && high < 90.0, "{low} {high}");
}
