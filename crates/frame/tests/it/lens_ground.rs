//! Time and place: altitude and azimuth, refraction, and clocks that are wrong.

use frame::{LensHints, LensSolution, StarField, solve_lens};
use optics::{Camera, Pointing, Projection};
use quantity::{GeoPosition, Horizontal, angular_separation_deg};
use sky::{Air, ObserverSky};

use crate::drawn_sky::{Dice, field_of};

const SIZE: [u32; 2] = [1936, 1288];
/// Haldane Point, invented.
fn place() -> GeoPosition {
    GeoPosition::new(69.2, 15.1, 20.0).unwrap()
}

fn camera() -> Camera {
    let low_north = Pointing { azimuth_deg: 345.0, altitude_deg: 18.0, roll_deg: -4.0 };
    Camera::centred(Projection::Rectilinear, 1_100.0, 1_000.0, SIZE, low_north)
}

/// Stars above the horizon as they are seen through the air.
fn field(time: &str) -> StarField {
    let sky_then = ObserverSky::new(time.parse().unwrap(), place()).unwrap();
    let mut dice = Dice::new(11);
    let camera = camera();
    let mut places = Vec::new();
    for star in sky_then.bright_stars_up(5.2) {
        let seen = Air::default().apparent(star.horizontal);
        if let Some([x, y]) = camera.pixel_of(seen).filter(|pixel| camera.contains(*pixel)) {
            let flux = 10f64.powf(-0.4 * star.star.v_mag);
            places.push([x + 0.15 * dice.gauss(), y + 0.15 * dice.gauss(), flux]);
        }
    }
    field_of(SIZE, &places)
}

fn solved(time: Option<&str>, place: Option<GeoPosition>) -> LensSolution {
    let taken_at = time.map(|time| time.parse().unwrap());
    solve_lens(&field("2026-11-25T20:00:00Z"), &LensHints { taken_at, place, ..LensHints::default() }).unwrap()
}

fn apart_deg(a: Horizontal, b: Horizontal) -> f64 {
    angular_separation_deg(a.east_north_up(), b.east_north_up())
}

#[test]
fn directions_on_the_ground_come_out_with_the_air_in_them() {
    let found = solved(Some("2026-11-25T20:00:00Z"), Some(place()));
    let camera = camera();
    assert!(!found.contradicts_time);
    for pixel in [[0.0, 0.0], [967.5, 643.5], [1935.0, 0.0], [400.0, 1000.0], [1500.0, 900.0]] {
        let seen = camera.direction_of(pixel).unwrap();
        let off = apart_deg(found.horizontal_of(pixel).unwrap(), seen);
        // a tenth of a pixel is 0.005 degrees; the corners are outside the stars
        assert!(off < 0.03, "{pixel:?}: {off}");
        let back = found.pixel_of_horizontal(seen).unwrap();
        assert!((back[0] - pixel[0]).hypot(back[1] - pixel[1]) < 0.6, "{pixel:?} {back:?}");
    }
    let middle = camera.direction_of([967.5, 643.5]).unwrap();
    assert!((found.alt_deg.unwrap() - middle.altitude_deg).abs() < 0.01);
    assert!((found.az_deg.unwrap() - middle.azimuth_deg).abs() < 0.01);
    let [ra_deg, dec_deg] = found.sky_of([967.5, 643.5]).unwrap();
    assert!((ra_deg - found.ra_deg).abs() < 1e-9 && (dec_deg - found.dec_deg).abs() < 1e-9);
    let there = found.pixel_of_sky(ra_deg, dec_deg).unwrap();
    assert!((there[0] - 967.5).hypot(there[1] - 643.5) < 0.01, "{there:?}");
}

/// Low in the picture the air lifts stars by up to a quarter of a degree, five pixels; left out, it stays in the residuals.
#[test]
fn the_air_makes_the_fit_better() {
    let (with, without) = (solved(Some("2026-11-25T20:00:00Z"), Some(place())), solved(None, None));
    println!("with {:.3} px, without {:.3} px", with.residual_px, without.residual_px);
    assert!(with.residual_px < 0.3 && with.residual_px < without.residual_px);
    assert!(without.alt_deg.is_none() && without.horizontal_of([0.0, 0.0]).is_none() && !without.contradicts_time);
}

/// Half a day later these stars are on the other side of the pole, or set: a clock on the wrong half of the day is told.
#[test]
fn a_clock_that_puts_the_stars_below_the_horizon_is_told() {
    let south = GeoPosition::new(-45.0, 15.1, 20.0).unwrap();
    let found = solved(Some("2026-11-25T20:00:00Z"), Some(south));
    assert!(found.contradicts_time && found.alt_deg.is_none() && found.horizontal_of([0.0, 0.0]).is_none());
}

#[test]
fn a_time_out_of_range_is_no_time() {
    let found = solved(Some("1850-01-01T00:00:00Z"), Some(place()));
    assert!(found.alt_deg.is_none());
}
