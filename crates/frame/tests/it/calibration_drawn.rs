//! A drawn camera of known optics under a drawn sky: the calibration must give back what was put in.
//!
//! The drawing goes by the camera's electrons (étendue, transmission, efficiency) and by black bodies as stars; the
//! calibration goes by catalogue stars. They meet only in the catalogue's V and B - V and in the response curves.

use std::sync::LazyLock;

use frame::{
    Calibration, CalibrationFailure, CalibrationHints, Frame, LensHints, LensSolution, LightChannel, LightMap,
    LineExcess, StarField, StarSearch, calibrate, calibrate_by_settings, find_stars, solve_lens,
};
use optics::{Camera, Channel, Pointing, Projection, line_response, relative_response};
use quantity::{EmissionLine, GeoPosition, Horizontal};
use sky::{Air, Extinction, ObserverSky};

use crate::fits_writer::fits;
use crate::rendered::{Canvas, Dice, gaussian};

const SIZE: [usize; 2] = [1600, 1200];
/// 20 mm f/1.8, transmission times peak efficiency 0.45: the example of the arithmetic.
const F_NUMBER: f64 = 1.8;
const FOCAL_MM: f64 = 20.0;
const THROUGHPUT: f64 = 0.45;
const EXPOSURE_S: f64 = 4.0;
const FOCAL_PX: f64 = 1000.0;
const BIAS: f64 = 600.0;
const GAIN_E: f64 = 2.0;
const READ_E: f64 = 3.0;
/// Two thirds of a stop in the corner beside the pixel's solid angle.
const CORNER_MAG: f64 = 0.5;
const SKY_MAG: f64 = 20.5;
const AURORA_KR: [f64; 3] = [4.0, 12.0, 5.0];
/// V of the stars that keep their light in a camera that does not keep proportion.
const MIDDLE_MAG: f64 = 4.5;
/// Colour of the drawn sky.
const SKY_BV: f64 = 0.8;

/// Photons m⁻² s⁻¹ of a star of V = 0 in a channel, weighed by its response: a black body (Planck) of the temperature of its
/// colour (Ballesteros 2012, EPL 97, 34008) with 9.96e6 photons m⁻² s⁻¹ Å⁻¹ at 545 nm (Bessell et al. 1998).
fn star_photons(channel: Channel, bv: f64) -> f64 {
    let kelvin = 4600.0 * (1.0 / (0.92 * bv + 1.7) + 1.0 / (0.92 * bv + 0.62));
    let planck = |nm: f64| nm.powi(-4) / ((1.438_776_877e7 / (nm * kelvin)).exp() - 1.0);
    (380..=780).map(f64::from).map(|nm| relative_response(channel, nm) * 9.96e7 * planck(nm) / planck(545.0)).sum()
}

/// Aperture times throughput times time over gain: numbers of the file for each photon per m² of the peak.
fn light_gathering() -> f64 {
    let radius_m = 0.5e-3 * FOCAL_MM / F_NUMBER;
    std::f64::consts::PI * radius_m * radius_m * THROUGHPUT * EXPOSURE_S / GAIN_E
}

struct Drawn {
    frame: Frame,
    field: StarField,
    lens: LensSolution,
    camera: Camera,
    hints: CalibrationHints,
}

fn place() -> GeoPosition {
    GeoPosition::new(69.2, 15.1, 0.0).unwrap()
}

fn sky_then() -> ObserverSky {
    ObserverSky::new("2025-01-28T21:30:00Z".parse().unwrap(), place()).unwrap()
}

/// Light that a place has of what the axis has: solid angle of the pixel (cosine to the third) and the lens's own loss.
fn shares(camera: &Camera, pixel: [f64; 2]) -> [f64; 2] {
    let [cx, cy] = camera.centre_px;
    let radius = (pixel[0] - cx).hypot(pixel[1] - cy);
    let cos = (radius / FOCAL_PX).atan().cos();
    let corner = 0.5 * (SIZE[0] as f64).hypot(SIZE[1] as f64);
    [cos.powi(3), 10f64.powf(-0.4 * CORNER_MAG * (radius / corner).powi(2))]
}

/// One picture for most tests.
static DRAWN: LazyLock<Drawn> = LazyLock::new(|| draw(7, K, 1.0));
/// Its extinction in V, magnitudes per airmass: hazy.
const K: f64 = 0.32;

/// What two ways of the same sum may differ by.
const ROUNDING: f64 = 1e-12;

/// In which half of the frame the aurora is.
fn is_aurora(x: f64) -> bool {
    x > 0.7 * SIZE[0] as f64
}

#[expect(clippy::cast_possible_truncation, reason = "sides of a picture")]
fn draw(seed: u64, k_v: f64, slope: f64) -> Drawn {
    let pointing = Pointing { azimuth_deg: 20.0, altitude_deg: 42.0, roll_deg: 3.0 };
    let camera = Camera::centred(
        Projection::Rectilinear,
        FOCAL_MM,
        1000.0 * FOCAL_MM / FOCAL_PX,
        SIZE.map(|side| side as u32),
        pointing,
    );
    let view = camera.view();
    let air = Extinction::from_v_coefficient(k_v, 0.0);
    let mean_nm = [600.0, 535.0, 465.0];
    let mut planes = Channel::ALL.map(|_| Canvas::sky(SIZE[0], SIZE[1], 0.0));
    let sky_then = sky_then();
    for star in sky::catalogue().brighter_than(7.0) {
        let seen = Air::default().apparent(sky_then.star(star));
        let Some(pixel) = view.pixel_of(seen).filter(|pixel| camera.contains(*pixel) && seen.altitude_deg > 1.0) else {
            continue;
        };
        let bv = star.colour_bv_mag.unwrap_or(0.6);
        for (channel, canvas) in Channel::ALL.into_iter().zip(&mut planes) {
            let through = air.transmission(mean_nm[channel.index()], seen.altitude_deg);
            let numbers = star_photons(channel, bv) * light_gathering() * through * shares(&camera, pixel)[1];
            let mag = MIDDLE_MAG + slope * (star.v_mag - MIDDLE_MAG);
            canvas.star(pixel, numbers * GAIN_E * 10f64.powf(-0.4 * mag), 8.0, &gaussian(1.6));
        }
    }
    let mut dice = Dice::new(seed);
    let mut values = Vec::with_capacity(SIZE[0] * SIZE[1]);
    let axis_sr = FOCAL_PX.powi(-2);
    let axis_arcsec2 = axis_sr * 4.254_517e10;
    let lines_photons = |channel: Channel, x: f64, altitude_deg: f64| -> f64 {
        EmissionLine::ALL
            .into_iter()
            .zip(AURORA_KR)
            .map(|(line, kr)| {
                let through = air.transmission(line.wavelength_nm(), altitude_deg);
                let share = line_response(channel, line) * through;
                if is_aurora(x) { kr * 1e13 / (4.0 * std::f64::consts::PI) * share } else { 0.0 }
            })
            .sum()
    };
    // 1 kR and one pixel: the numbers of the file by étendue, the focal length cancelled
    let sky_photons = Channel::ALL.map(|channel| star_photons(channel, SKY_BV) * 10f64.powf(-0.4 * SKY_MAG));
    for y in 0..SIZE[1] {
        for x in 0..SIZE[0] {
            let channel = [[Channel::Red, Channel::Green], [Channel::Green, Channel::Blue]][y % 2][x % 2];
            let pixel = [x as f64, y as f64];
            let altitude_deg = view.direction_of(pixel).unwrap().altitude_deg;
            let [solid, lens] = shares(&camera, pixel);
            let even =
                sky_photons[channel.index()] * axis_arcsec2 + lines_photons(channel, pixel[0], altitude_deg) * axis_sr;
            let electrons =
                planes[channel.index()].electrons[y * SIZE[0] + x] + even * light_gathering() * GAIN_E * solid * lens;
            let noisy = electrons + (electrons + READ_E * READ_E).sqrt() * dice.normal();
            values.push((BIAS + noisy / GAIN_E).round().clamp(0.0, 65_535.0));
        }
    }
    let frame = fits(&values, SIZE, &["BAYERPAT= 'RGGB    '".to_owned(), format!("EXPTIME = {EXPOSURE_S:>20}")]);
    let field = find_stars(&frame.luminance().unwrap(), &StarSearch::default());
    let hints = LensHints {
        taken_at: Some("2025-01-28T21:30:00Z".parse().unwrap()),
        place: Some(place()),
        ..LensHints::default()
    };
    let lens = solve_lens(&field, &hints).unwrap();
    let hints = CalibrationHints { black: Some(BIAS), ..CalibrationHints::of(&frame.metadata) };
    Drawn { frame, field, lens, camera, hints }
}

impl Drawn {
    fn calibrated(&self) -> Calibration {
        calibrate(&self.frame, &self.field, &self.lens, &self.hints).unwrap()
    }

    /// Excess of the aurora at a pixel without noise, by étendue.
    fn excess(&self, channel: Channel, pixel: [f64; 2], k_v: f64) -> f64 {
        let altitude_deg = self.camera.direction_of(pixel).unwrap().altitude_deg;
        let air = Extinction::from_v_coefficient(k_v, 0.0);
        let [solid, lens] = shares(&self.camera, pixel);
        // n = I 1e10 p² T QE t / 16 N², p the pixel pitch: its focal length cancelled by hand
        let pitch_m = 1e-3 * FOCAL_MM / FOCAL_PX;
        EmissionLine::ALL
            .into_iter()
            .zip(AURORA_KR)
            .map(|(line, kr)| {
                let through = air.transmission(line.wavelength_nm(), altitude_deg);
                let n = 1e3 * kr * 1e10 * pitch_m * pitch_m * THROUGHPUT / (16.0 * F_NUMBER * F_NUMBER);
                n * EXPOSURE_S / GAIN_E * line_response(channel, line) * through * solid * lens
            })
            .sum()
    }
}

/// Places across the frame: middle, sides and near the corners.
const PLACES: [[f64; 2]; 5] = [[800.0, 600.0], [150.0, 150.0], [1450.0, 150.0], [150.0, 1000.0], [1450.0, 1000.0]];

#[test]
fn what_was_drawn_is_found_again() {
    let drawn = &*DRAWN;
    let calibration = drawn.calibrated();
    for note in &calibration.notes {
        println!("- {note}");
    }
    for channel in &calibration.channels {
        println!(
            "{:?}: Z {:?} c {:?} k {:?} slope {:?} corner {:?} stars {} scatter {:.3} growth {:?}",
            channel.channel,
            channel.zero_point_mag,
            channel.colour_term_mag,
            channel.extinction_mag,
            channel.slope,
            channel.corner_falloff_mag,
            channel.stars,
            channel.scatter_mag,
            channel.aperture_mag
        );
    }
    assert!(calibration.knows_altitudes && calibration.stars_expected > 50);
    assert!(f64::from(u32::try_from(calibration.stars_missing).unwrap()) < 0.05 * calibration.stars_expected as f64);

    let green = calibration.channel(LightChannel::Green).unwrap();
    let within = |found: &frame::FittedTerm, truth: f64, least: f64| {
        assert!((found.value - truth).abs() < 3.0 * found.sigma.max(least), "{found:?} against {truth}");
    };
    // the zero point by the camera's electrons: stars of B - V = 0
    let zero = 2.5 * (star_photons(Channel::Green, 0.0) * light_gathering()).log10();
    within(&green.zero_point_mag, zero, 0.02);
    within(&green.extinction_mag, Extinction::from_v_coefficient(K, 0.0).coefficient_mag(535.0), 0.02);
    within(&green.corner_falloff_mag, CORNER_MAG, 0.05);
    // linear, with stars from full to faint
    assert!((green.slope.value - 1.0).abs() < 0.02 && green.scatter_mag < 0.06, "{green:?}");

    // the sky, where there is no aurora: the errors are those of colour (0.03) and of the fit
    let map = LightMap::of(&drawn.frame).unwrap();
    let cells = calibration.cells(&map, drawn.frame.ceiling, None);
    let at = |values: &[f32], [x, y]: [f64; 2]| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a cell of the frame")]
        let cell = (y / cells.cell_px) as usize * cells.columns + (x / cells.cell_px) as usize;
        f64::from(values[cell])
    };
    for place in PLACES.into_iter().filter(|place| !is_aurora(place[0])) {
        let mag = at(&cells.mag_arcsec2, place);
        println!("sky at {place:?}: {mag:.3} ± {:.3}, drawn {SKY_MAG}", at(&cells.mag_sigma, place));
        assert!((mag - SKY_MAG).abs() < 0.1, "{mag}");
        assert!(at(&cells.green_kr, place) < 0.5, "{}", at(&cells.green_kr, place));
    }
    // the aurora: 557.7 nm and what the other lines leave in green, by étendue
    for place in PLACES.into_iter().filter(|place| is_aurora(place[0])) {
        let excess = Channel::ALL.map(|channel| drawn.excess(channel, place, K));
        let [red, green_excess, blue] = excess;
        let all_green = calibration.green_kr(green_excess, 0.0, place).unwrap();
        let mapped = at(&cells.green_kr, place);
        let split =
            calibration.split(&LineExcess { level: [red, green_excess, blue], sigma: [0.3; 3] }, place).unwrap();
        println!("aurora at {place:?}: all green {all_green:.2?}, map {mapped:.2}, split {:.2?}", split.kr);
        // 4 kR of blue and 5 of red leave 0.9 kR in green
        assert!((all_green.value / 12.9 - 1.0).abs() < 0.08, "{all_green:?}");
        assert!((mapped / all_green.value - 1.0).abs() < 0.06, "{mapped}");
        for (kr, truth) in split.kr.iter().zip(AURORA_KR) {
            // black bodies are no stars: blue differs by 10 %
            assert!((kr.value / truth - 1.0).abs() < 0.2 && kr.low < truth && kr.high > truth, "{kr:?} is not {truth}");
        }
        // a factor of 2 at 630.0 nm; at 557.7 nm a tenth, and low in the sky what the air gives back
        assert!(split.kr[2].high / split.kr[2].low > 3.0);
        assert!(split.kr[1].high / split.kr[1].low < 1.8, "{:?}", split.kr[1]);
    }
    // what a cell's excess of 1 is worth is worked out once, and any excess is so many times as much
    let per_excess = calibration.kr_per_excess(&map);
    let single = calibration.excess_kr(&map, None, &vec![250.0; per_excess.len()], &vec![true; per_excess.len()]);
    assert!(single.iter().flatten().count() > per_excess.len() / 2, "the lens sees the sky in most cells");
    for (single, per_excess) in single.iter().zip(&per_excess) {
        let expected = per_excess.map(|kr| 250.0 * kr);
        assert!(single.zip(expected).is_none_or(|(kr, expected)| (kr / expected - 1.0).abs() < ROUNDING));
        assert_eq!(single.is_some(), expected.is_some());
    }
    let below = drawn.lens.pixel_of_horizontal(Horizontal::new(-3.0, 20.0));
    if let Some(below) = below {
        assert!(calibration.surface_brightness(LightChannel::Green, 900.0, below).is_none());
        assert!(calibration.green_kr(100.0, 1.0, below).is_none());
    }
    assert!(calibration.surface_brightness(LightChannel::Green, BIAS - 1.0, PLACES[0]).is_none());
    assert!(calibration.green_kr(f64::NAN, 1.0, PLACES[0]).is_none());
}

/// The arithmetic of the units: V = 0 gives 4.46e5 electrons a second through 9.70e-5 m² with 0.45 and 1015 Å; and 1 kR of
/// 557.7 nm looks to a green pixel like 22.08 mag arcsec⁻² (0.853 R/Å at 22.0, 0.802 at the line).
#[test]
fn a_kilorayleigh_is_worth_its_magnitude() {
    let radius_m = 0.5e-3 * FOCAL_MM / F_NUMBER;
    let area = std::f64::consts::PI * radius_m * radius_m;
    assert!((area / 9.70e-5 - 1.0).abs() < 0.001);
    assert!((1.007e7 * area * THROUGHPUT * 1015.0 / 4.46e5 - 1.0).abs() < 0.003);

    let calibration = DRAWN.calibrated();
    let place = PLACES[0];
    let green = calibration.channel(LightChannel::Green).unwrap();
    // a star of the Sun's colour through the drawn camera
    let electrons =
        10f64.powf(0.4 * (green.zero_point_mag.value - 0.65 * green.colour_term_mag.value)) * GAIN_E / EXPOSURE_S;
    println!("V = 0 gives {electrons:.3e} electrons a second");
    assert!((electrons / 4.46e5 - 1.0).abs() < 0.06, "{electrons}");

    let optics = CalibrationHints { f_number: Some(F_NUMBER), focal_mm: Some(FOCAL_MM), ..DRAWN.hints.clone() };
    let throughput = calibration.throughput(GAIN_E, &optics).unwrap();
    println!("throughput {throughput:?}");
    assert!(throughput.low < 1.03 * THROUGHPUT && throughput.high > 0.97 * THROUGHPUT, "{throughput:?}");
    assert!(calibration.throughput(GAIN_E, &DRAWN.hints).is_none());

    let kr = calibration.green_kr(1000.0, 0.0, place).unwrap().value;
    let mag = calibration.surface_brightness(LightChannel::Green, BIAS + 1000.0, place).unwrap().value;
    // the air is taken off kR and left in magnitudes
    let altitude_deg = 42.0;
    let air_mag = -2.5 * calibration.extinction().transmission(557.7, altitude_deg).log10();
    let of_one_kr = mag + 2.5 * kr.log10() - air_mag;
    println!("1 kR is {of_one_kr:.3} mag");
    // that figure takes 1007 photons per Å all over the band for a V of 0. Stars have 996 at 545 nm, and a sky as red as the
    // night's 5 % less in green than in V: 0.06 to 0.09 mag
    assert!((of_one_kr - 22.08).abs() < 0.12, "{of_one_kr}");
}

#[test]
fn the_error_said_is_the_error_made() {
    // the same camera under three noises: the zero points must not scatter more than they say
    let zeros: Vec<frame::FittedTerm> = (20..23)
        .map(|seed| draw(seed, 0.25, 1.0).calibrated().channel(LightChannel::Green).unwrap().zero_point_mag)
        .collect();
    let truth = 2.5 * (star_photons(Channel::Green, 0.0) * light_gathering()).log10();
    println!("{zeros:?} against {truth:.3}");
    assert!(zeros.iter().all(|zero| (zero.value - truth).abs() < 3.0 * zero.sigma));
    assert!(zeros.iter().all(|zero| zero.sigma < 0.05));
}

#[test]
fn a_camera_that_keeps_no_proportion_is_told_or_refused() {
    let bent = draw(11, 0.25, 0.75).calibrated();
    let slope = bent.channel(LightChannel::Green).unwrap().slope;
    println!("{slope:?} {:?}", bent.notes);
    assert!((slope.value - 0.75).abs() < 0.04, "{slope:?}");
    assert!(bent.notes.iter().any(|note| note.contains("do not look linear")));
    // and the error of the sky grows with its distance from the stars' tops
    let wide = |calibration: &Calibration| {
        let sky = calibration.surface_brightness(LightChannel::Green, BIAS + 10.0, PLACES[0]).unwrap();
        sky.high - sky.value
    };
    let straight = wide(&DRAWN.calibrated());
    println!("± {:.3} against ± {straight:.3}", wide(&bent));
    assert!(wide(&bent) > 3.0 * straight);

    let flat = draw(12, 0.25, 0.1);
    let failure = calibrate(&flat.frame, &flat.field, &flat.lens, &flat.hints).unwrap_err();
    println!("{failure}; {}", failure.hint());
    assert!(matches!(failure, CalibrationFailure::NotFollowing { .. } | CalibrationFailure::Scattered { .. }));
}

#[test]
fn without_black_level_only_an_excess_is_told() {
    let drawn = &*DRAWN;
    let hints = CalibrationHints { black: None, ..drawn.hints.clone() };
    let calibration = calibrate(&drawn.frame, &drawn.field, &drawn.lens, &hints).unwrap();
    assert!(calibration.surface_brightness(LightChannel::Green, 900.0, PLACES[0]).is_none());
    assert!(calibration.green_kr(100.0, 1.0, PLACES[0]).is_some());
    let map = LightMap::of(&drawn.frame).unwrap();
    assert!(calibration.cells(&map, drawn.frame.ceiling, None).mag_arcsec2.iter().all(|mag| mag.is_nan()));
    assert!(calibration.notes.iter().any(|note| note.contains("level of no light")));
    let failure = calibrate_by_settings(&drawn.frame, Some(&drawn.lens), &hints).unwrap_err();
    assert_eq!(failure, CalibrationFailure::OwnUnits);
}

#[test]
fn stars_of_another_sky_do_not_calibrate() {
    let drawn = &*DRAWN;
    // no stars at all
    let mut empty = drawn.field.clone();
    empty.stars.clear();
    let mut lens = drawn.lens.clone();
    lens.pairs.clear();
    let failure = calibrate(&drawn.frame, &empty, &lens, &drawn.hints).unwrap_err();
    assert!(matches!(failure, CalibrationFailure::TooFewStars { needed: 6, .. }), "{failure:?}");
    // pairs at places where there are no stars
    let mut shifted = drawn.lens.clone();
    for pair in &mut shifted.pairs {
        pair.found_px = [pair.found_px[1] + 37.0, pair.found_px[0] + 11.0];
    }
    shifted.model.centre_px[0] += 61.0;
    assert!(calibrate(&drawn.frame, &drawn.field, &shifted, &drawn.hints).is_err());
}
