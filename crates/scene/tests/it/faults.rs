//! Faults are what they are called, as the measuring crate sees them.

use frame::{Limits, StarSearch, find_stars, open};
use optics::{Channel, Exposure};
use scene::{Development, Faults, SceneSpec, render, sample};

fn small() -> SceneSpec {
    let mut spec = sample("empty").unwrap();
    spec.kit.sensor = optics::Sensor { width_px: 900, height_px: 600, ..spec.kit.sensor };
    spec.pointing.altitude_deg = 45.0;
    spec
}

fn stars_of(spec: &SceneSpec) -> frame::StarField {
    let rendered = render(spec, 2).unwrap();
    let frame = open(&rendered.to_dng(), &Limits::default()).unwrap();
    find_stars(&frame.plane(Channel::Green).unwrap(), &StarSearch::default())
}

#[test]
fn defocus_makes_stars_as_wide_as_said() {
    let sharp = stars_of(&small());
    let blurred = stars_of(&SceneSpec { faults: Faults { defocus_px: 9.0, ..Faults::default() }, ..small() });
    let (sharp, blurred) = (sharp.typical.unwrap(), blurred.typical.unwrap());
    // an even disc has a deviation of a quarter of its diameter, so its measured width is 0.59 of it or more
    assert!(sharp.fwhm_px < 3.5, "{}", sharp.fwhm_px);
    assert!((4.5..11.0).contains(&blurred.fwhm_px), "{}", blurred.fwhm_px);
}

#[test]
fn a_shake_draws_all_stars_out_its_own_way() {
    let shaken = SceneSpec { faults: Faults { shake_px: [8.0, 8.0], ..Faults::default() }, ..small() };
    let field = stars_of(&shaken);
    let long: Vec<_> = field.stars.iter().filter(|star| star.shape_measured && star.snr > 30.0).collect();
    assert!(long.len() > 10, "{} stars", long.len());
    let drawn_out = long.iter().filter(|star| star.elongation > 0.3).count();
    assert!(2 * drawn_out > long.len(), "{drawn_out} of {}", long.len());
}

#[test]
fn a_long_exposure_trails_by_the_turning_of_the_sky() {
    let mut spec = small();
    spec.exposure = Exposure { seconds: 60.0, iso: 400.0, f_number: 4.0 };
    let truth = render(&spec, 2).unwrap().truth;
    let scale_arcsec = optics::pixel_scale_arcsec(spec.kit.sensor.pixel_um, spec.kit.lens.focal_mm);
    let mut compared = 0;
    for star in truth.stars.iter().filter(|star| star.hip > 0).take(40) {
        let declination = sky::catalogue().star(star.hip).unwrap().declination_deg;
        let on_axis = optics::trail_px(60.0, declination, spec.kit.sensor.pixel_um, spec.kit.lens.focal_mm);
        let length = star.trail_px[0].hypot(star.trail_px[1]);
        // off the axis a rectilinear lens stretches, at this corner by up to 1/cos² 30 deg
        assert!(
            length > 0.93 * on_axis - 0.05 && length < 1.45 * on_axis + 0.05,
            "{star:?}: {length} against {on_axis}"
        );
        compared += 1;
    }
    assert!(compared > 20 && scale_arcsec > 200.0);
}

#[test]
fn a_cap_leaves_only_the_sensors_own_noise() {
    let capped = SceneSpec { faults: Faults { dark_stops: 20.0, ..Faults::default() }, ..small() };
    let rendered = render(&capped, 2).unwrap();
    let numbers = &rendered.mosaic;
    let mean = numbers.values.iter().map(|v| f64::from(*v)).sum::<f64>() / numbers.values.len() as f64;
    // dark current and hot pixels: a few steps above black
    assert!((mean - f64::from(numbers.black)).abs() < 3.0, "{mean}");
}

#[test]
fn what_cannot_be_is_refused_with_a_hint() {
    let mut spec = small();
    spec.faults.defocus_px = -1.0;
    let error = render(&spec, 1).unwrap_err();
    assert_eq!(error.to_string(), "defocus in pixels -1 is outside 0 to 200");
    assert_eq!(error.hint(), "give defocus in pixels between 0 and 200");
    let mut spec = small();
    spec.exposure.seconds = 0.0;
    assert!(render(&spec, 1).is_err());
    let mut spec = small();
    spec.kit.lens.focal_mm = f64::NAN;
    assert!(render(&spec, 1).is_err());
    let mut spec = small();
    (spec.kit.sensor.width_px, spec.kit.sensor.height_px) = (60_000, 60_000);
    assert!(render(&spec, 1).unwrap_err().to_string().contains("more than"));
}

#[test]
fn a_jpeg_of_a_bright_moon_clips_where_the_moon_is() {
    let mut spec = small();
    spec.opens_at = "2026-11-23T22:00:00Z".parse().unwrap();
    spec.forms_epoch = spec.opens_at;
    let moon = sky::sun_moon(spec.opens_at, spec.place).unwrap().moon.horizontal;
    assert!(moon.altitude_deg > 10.0);
    (spec.pointing.azimuth_deg, spec.pointing.altitude_deg) = (moon.azimuth_deg, moon.altitude_deg + 5.0);
    let rendered = render(&spec, 1).unwrap();
    let [x, y] = spec.camera().pixel_of(spec.air.apparent(moon)).unwrap();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a pixel")]
    let at = y.round() as usize * rendered.mosaic.width + x.round() as usize;
    assert_eq!(rendered.mosaic.values[at], rendered.mosaic.white);
    assert!(rendered.to_jpeg(&Development::default()).is_ok());
}
