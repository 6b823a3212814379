//! A lens known from an earlier frame: fewer stars are needed, and a lens that is not the one does no harm.

use frame::{LensHints, LensModel, solve_lens};
use optics::{Camera, Pointing, Projection};
use quantity::{GeoPosition, Horizontal, angular_separation_deg};

use crate::drawn_sky::{Dice, Faults, Lens, Truth, draw};
use crate::lens_sky::{LENSES, errors, skies};

/// A sky of a handful of stars and half as many false lights.
const SPARSE: Faults = Faults { missing: 0.1, false_share: 0.5, noise_px: 0.3, stars: 14 };

/// The lens of a drawing as an earlier frame would have given it, a little off.
fn model(lens: &Lens, truth: &Truth) -> LensModel {
    let [cx, cy] = truth.camera.centre_px;
    let mirror = |x: f64| if lens.mirrored { f64::from(lens.size[0]) - 1.0 - x } else { x };
    LensModel {
        projection: lens.projection,
        focal_px: 1.002 * lens.focal_px,
        centre_px: [mirror(cx) + 1.5, cy - 2.0],
        k1: lens.k[0],
        k2: lens.k[1],
        mirrored: lens.mirrored,
        pixel_aspect: 1.0,
    }
}

/// How many of some sparse skies of each lens are solved; none may be wrong.
fn solved(hints: impl Fn(&Lens, &Truth) -> LensHints) -> (u32, u32) {
    let (mut all, mut right) = (0, 0);
    for (kind, lens) in LENSES.iter().enumerate() {
        for sky in 0..skies(3) {
            let (field, truth) = draw(lens, &SPARSE, &mut Dice::new(300_000 + 1_000 * kind as u64 + sky));
            all += 1;
            if let Ok(found) = solve_lens(&field, &hints(lens, &truth)) {
                let off = errors(&found, &truth);
                let fits = off[0] < 1.0 && off[1] < 1.0 && off[2] < 0.03;
                assert!(fits && found.mirrored == lens.mirrored, "wrong: {} sky {sky}: {off:?} {found:?}", lens.name);
                right += 1;
            }
        }
    }
    (right, all)
}

#[test]
fn a_known_lens_needs_fewer_stars() {
    let (with, all) = solved(|lens, truth| LensHints { lens: Some(model(lens, truth)), ..LensHints::default() });
    let (without, _) = solved(|_, _| LensHints::default());
    println!("of {all} skies of 14 stars and 7 false lights: {with} with the lens, {without} without");
    assert!(with > without && 3 * with > 2 * all, "{with} {without} {all}");
}

#[test]
fn another_lens_is_no_help_and_no_harm() {
    let other = |lens: &Lens, truth: &Truth| LensModel { focal_px: 1.4 * lens.focal_px, ..model(lens, truth) };
    let (with, all) = solved(|lens, truth| LensHints { lens: Some(other(lens, truth)), ..LensHints::default() });
    println!("{with} of {all} with a lens of another focal length");
    let nonsense = LensModel {
        projection: Projection::Equisolid,
        focal_px: f64::NAN,
        centre_px: [0.0, f64::INFINITY],
        k1: 1e9,
        k2: -1e9,
        mirrored: false,
        pixel_aspect: 0.0,
    };
    let plenty = Faults { missing: 0.1, false_share: 0.1, noise_px: 0.3, stars: 120 };
    let (field, _) = draw(&LENSES[2], &plenty, &mut Dice::new(5));
    assert!(solve_lens(&field, &LensHints { lens: Some(nonsense), ..LensHints::default() }).is_ok());
}

/// The movement of the sky by the stars is that by direction, latitude and time.
#[test]
fn the_sky_turns_by_the_stars_as_by_the_place() {
    let place = GeoPosition::new(64.0, 15.0, 0.0).unwrap();
    let pointing = Pointing { azimuth_deg: 140.0, altitude_deg: 40.0, roll_deg: 12.0 };
    let mut camera = Camera::centred(Projection::Rectilinear, 1_500.0, 1_000.0, [1936, 1288], pointing);
    (camera.k1, camera.centre_px[0]) = (-0.03, 1_000.0);
    let at = "2026-11-25T20:00:00Z".parse().unwrap();
    let sky_then = sky::ObserverSky::new(at, place).unwrap();
    let mut dice = Dice::new(4);
    let places: Vec<[f64; 3]> = sky_then
        .bright_stars_up(6.0)
        .iter()
        .filter_map(|star| {
            let seen = sky::Air::default().apparent(star.horizontal);
            let [x, y] = camera.pixel_of(seen).filter(|pixel| camera.contains(*pixel))?;
            Some([x + 0.1 * dice.gauss(), y + 0.1 * dice.gauss(), 10f64.powf(-0.4 * star.star.v_mag)])
        })
        .collect();
    let field = crate::drawn_sky::field_of([1936, 1288], &places);
    let hints = LensHints { taken_at: Some(at), place: Some(place), ..LensHints::default() };
    let found = solve_lens(&field, &hints).unwrap();
    let by_place = frame::SkyTurn { camera, latitude_deg: place.latitude_deg(), exposure_s: 30.0 };
    for pixel in [[100.0, 100.0], [967.0, 643.0], [1900.0, 1200.0], [1900.0, 60.0]] {
        let a = found.sky_turn(30.0).movement_px(pixel).unwrap();
        let b = by_place.movement_px(pixel).unwrap();
        let off = (a[0] - b[0]).hypot(a[1] - b[1]);
        println!("{pixel:?}: {a:.3?} {b:.3?}");
        // some 3 px; refraction and precession change it by a thousandth
        assert!(off < 0.03, "{pixel:?}: {a:?} {b:?}");
    }
    let towards = |s: Horizontal| {
        angular_separation_deg(s.east_north_up(), camera.direction_of([967.5, 643.5]).unwrap().east_north_up())
    };
    assert!(towards(found.horizontal_of([967.5, 643.5]).unwrap()) < 0.02);
}
