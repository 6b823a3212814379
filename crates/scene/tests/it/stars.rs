//! Stars lie where they should, and a picture tells its lens.

use frame::{LensHints, Limits, StarSearch, find_stars, open, solve_lens};
use optics::Channel;
use quantity::{Horizontal, angular_separation_deg};
use scene::{Development, SceneSpec, render, sample};
use sky::{ObserverSky, catalogue};

/// The sharp core's place is rounded to a fifth of a pixel, and a trail's to its steps.
const PLACE_PX: f64 = 0.25;

#[test]
fn stars_lie_where_the_sky_and_the_lens_put_them() {
    let spec = sample("empty").unwrap();
    let rendered = render(&spec, 1).unwrap();
    let sky_now = ObserverSky::new(spec.middle(), spec.place).unwrap();
    assert!(rendered.truth.stars.len() > 300);
    for star in rendered.truth.stars.iter().filter(|star| star.hip > 0).take(100) {
        let airless = sky_now.star(catalogue().star(star.hip).unwrap());
        let [x, y] = spec.camera().pixel_of(spec.air.apparent(airless)).unwrap();
        assert!((x - star.x_px).hypot(y - star.y_px) < 0.01, "{star:?}: {x}, {y}");
        // by the sky's turning: at most 15.041" a second
        let longest = 15.041 * spec.exposure.seconds / 247.5 * 2.5;
        assert!(star.trail_px[0].hypot(star.trail_px[1]) < longest);
    }
}

#[test]
fn the_stars_found_are_those_put_in() {
    let spec = sample("empty").unwrap();
    let rendered = render(&spec, 1).unwrap();
    let frame = open(&rendered.to_png16(&Development::default()).unwrap(), &Limits::default()).unwrap();
    let found = find_stars(&frame.plane(Channel::Green).unwrap(), &StarSearch::default());
    let bright: Vec<_> = rendered.truth.stars.iter().filter(|star| star.altitude_deg > 5.0).take(60).collect();
    let near =
        |x: f64, y: f64| found.stars.iter().map(|s| (s.x_px - x).hypot(s.y_px - y)).fold(f64::INFINITY, f64::min);
    let seen = bright.iter().filter(|star| near(star.x_px, star.y_px) < 1.0).count();
    // a close pair is one star to the finder
    assert!(seen >= 52, "{seen} of 60");
    let mut misses: Vec<f64> = bright.iter().map(|star| near(star.x_px, star.y_px)).collect();
    misses.sort_by(f64::total_cmp);
    assert!(misses[30] < PLACE_PX, "median {}", misses[30]);
}

#[test]
fn a_picture_tells_where_it_looked() {
    for name in ["empty", "folded_bands"] {
        let mut spec: SceneSpec = sample(name).unwrap();
        spec.pointing.roll_deg = 3.0;
        let rendered = render(&spec, 5).unwrap();
        let frame = open(&rendered.to_jpeg(&Development::default()).unwrap(), &Limits::default()).unwrap();
        let stars = find_stars(&frame.plane(Channel::Green).unwrap(), &StarSearch::default());
        let hints = LensHints { taken_at: Some(spec.middle()), place: Some(spec.place), ..LensHints::default() };
        let solution = solve_lens(&stars, &hints).unwrap_or_else(|failure| panic!("{name}: {failure:?}"));
        let camera = spec.camera();
        for place in [[100.0, 100.0], [750.0, 500.0], [1400.0, 300.0]] {
            let told = solution.horizontal_of(place).unwrap();
            let truth = camera.direction_of(place).unwrap();
            let apart = angular_separation_deg(told.east_north_up(), Horizontal::east_north_up(truth));
            assert!(apart < 0.05, "{name} at {place:?}: {apart} deg");
        }
    }
}
