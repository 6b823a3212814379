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

#[test]
fn a_star_has_the_light_of_its_magnitude() {
    // G by hand: V = 0 through 20 mm at f/1.8, transmission times efficiency 0.45, a band of 1015 Å: 4.46e5 electrons a
    // second in green, for a star as white as the Sun or whiter; a red one has less of its V light there, as with real
    // cameras, whose green is bluer than V
    let mut spec = sample("empty").unwrap();
    spec.kit.lens.transmission = 0.9;
    spec.kit.sensor.peak_qe = [0.5; 3];
    spec.kit.lens.corner_loss_stops = 0.0;
    spec.extinction = sky::Extinction { rayleigh_mag: 0.0, aerosol_mag: 0.0, ozone_mag: 0.0, glow_loss: 1.0 };
    let rendered = render(&spec, 1).unwrap();
    let [cx, cy] = spec.camera().centre_px;
    let is_white = |hip: u32| catalogue().star(hip).unwrap().colour_bv_mag.is_some_and(|bv| (0.0..0.8).contains(&bv));
    let near = |x: f64, y: f64| (x - cx).hypot(y - cy) < 150.0;
    let mut compared = 0;
    for star in rendered
        .truth
        .stars
        .iter()
        .filter(|star| star.hip > 0 && is_white(star.hip) && near(star.x_px, star.y_px))
        .take(20)
    {
        let by_hand = 4.46e5 * spec.exposure.seconds * 10f64.powf(-0.4 * star.v_mag);
        // 150 px are 10 degrees: the falloff of the pupil there is 1.5 %
        assert!((star.green_e / by_hand - 1.0).abs() < 0.09, "{star:?}: {by_hand}");
        compared += 1;
    }
    assert!(compared >= 10, "{compared}");
}

#[test]
fn the_pixels_hold_the_light_of_the_star() {
    let mut spec = SceneSpec { faint_stars: false, ..sample("empty").unwrap() };
    // low enough that nothing clips
    spec.exposure.iso = 100.0;
    spec.exposure.seconds = 1.0;
    let rendered = render(&spec, 1).unwrap();
    let mut ratios = Vec::new();
    for star in rendered.truth.stars.iter().filter(|s| s.altitude_deg > 10.0).take(40) {
        let beside = rendered
            .truth
            .stars
            .iter()
            .filter(|s| s.green_e > 0.02 * star.green_e && (s.x_px - star.x_px).hypot(s.y_px - star.y_px) < 18.0);
        let alone = beside.count() == 1;
        if !alone || star.x_px < 20.0 || star.y_px < 20.0 || star.x_px > 1479.0 || star.y_px > 979.0 {
            continue;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a pixel inside the picture")]
        let (x0, y0) = (star.x_px.round() as usize, star.y_px.round() as usize);
        let sites = |reach: usize| {
            let side = move || (0..=2 * reach).map(move |i| (i, reach));
            side().flat_map(move |(i, _)| side().map(move |(j, r)| (x0 + i - r, y0 + j - r)))
        };
        let green = |(x, y): &(usize, usize)| (x + y) % 2 == 1;
        let sum = |reach: usize| {
            let values: Vec<f64> = sites(reach).filter(green).map(|(x, y)| rendered.electrons(x, y).unwrap()).collect();
            (values.iter().sum::<f64>(), values.len() as f64)
        };
        let ((inner, n), (outer, m)) = (sum(6), sum(10));
        let sky = (outer - inner) / (m - n);
        // half of the sites are green
        ratios.push(2.0 * (inner - n * sky) / star.green_e);
    }
    ratios.sort_by(f64::total_cmp);
    assert!(ratios.len() > 10, "{}", ratios.len());
    let median = ratios[ratios.len() / 2];
    // a sharp star lies unevenly on the two colours of sites; the median of many does not
    assert!((median - 1.0).abs() < 0.08, "{ratios:?}");
}
