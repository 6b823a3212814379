//! Frames of the true sky, drawn: what the stars of the catalogue say of lens, focus and movement, whatever lamps stand below.

use frame::MotionKind;
use job::{CheckReport, CheckRequest, CheckedScene, Kit, TimeSource, check};
use optics::{Camera, Pointing, Projection};
use quantity::{GeoPosition, Timestamp};
use sky::{Air, ObserverSky};

const SIZE: [u32; 2] = [900, 600];
/// Haldane Point, invented.
const LATITUDE_DEG: f64 = 69.2;
const LONGITUDE_DEG: f64 = 15.1;
const BEGAN: &str = "2026-11-25T20:00:00Z";

/// Even numbers from 0 to 1 (xorshift64*), and bell-shaped ones.
struct Chance(u64);

impl Chance {
    fn even(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// A frame of the sky over Haldane Point.
#[derive(Clone)]
struct Sky {
    faintest_v_mag: f64,
    exposure_s: f64,
    /// Whether the stars trail as they do over a camera that stands still.
    turns: bool,
    /// Movement of the camera, px.
    shaken: [f64; 2],
    /// Lamps in the lowest quarter: wider than stars.
    lamps: usize,
    noise: f64,
    pictures: u32,
    azimuth_deg: f64,
}

impl Sky {
    fn good() -> Self {
        Self {
            faintest_v_mag: 5.4,
            exposure_s: 4.0,
            turns: true,
            shaken: [0.0; 2],
            lamps: 0,
            noise: 60.0,
            pictures: 1,
            azimuth_deg: 20.0,
        }
    }

    fn camera(&self) -> Camera {
        let pointing = Pointing { azimuth_deg: self.azimuth_deg, altitude_deg: 38.0, roll_deg: 2.0 };
        let mut camera = Camera::centred(Projection::Rectilinear, 6.0, 10.0, SIZE, pointing);
        (camera.k1, camera.centre_px) = (-0.04, [456.0, 296.0]);
        camera
    }

    /// Stars on the picture after some seconds: place and light.
    fn stars(&self, seconds: f64) -> Vec<([f64; 2], f64)> {
        let began: Timestamp = BEGAN.parse().unwrap();
        let place = GeoPosition::new(LATITUDE_DEG, LONGITUDE_DEG, 0.0).unwrap();
        let at = began + jiff::SignedDuration::from_secs_f64(seconds);
        let camera = self.camera();
        ObserverSky::new(at, place)
            .unwrap()
            .bright_stars_up(self.faintest_v_mag)
            .iter()
            .filter_map(|star| {
                let pixel = camera.pixel_of(Air::default().apparent(star.horizontal))?;
                Some((pixel, 3_000.0 * 10f64.powf(-0.4 * (star.star.v_mag - 5.0))))
            })
            .collect()
    }

    /// As recorders of research cameras write it: grey, 16 bits, settings in comments.
    fn pgm(&self) -> Vec<u8> {
        let mut chance = Chance(0x0005_eed5);
        let mut out = Vec::new();
        for picture in 0..self.pictures {
            let late_s = 6 * picture;
            let mut light = vec![2_000.0; (SIZE[0] * SIZE[1]) as usize];
            let moves = self.turns || self.shaken[0].hypot(self.shaken[1]) > 0.0;
            let steps = if moves { 9 } else { 1 };
            for step in 0..steps {
                let share = f64::from(step) / f64::from((steps - 1).max(1));
                let seconds = if self.turns { share * self.exposure_s } else { 0.0 };
                for ([x, y], flux) in self.stars(f64::from(late_s) + seconds) {
                    let moved = [x + (share - 0.5) * self.shaken[0], y + (share - 0.5) * self.shaken[1]];
                    spot(&mut light, moved, 1.1, flux / f64::from(steps));
                }
            }
            let mut lamp = Chance(77);
            for _ in 0..self.lamps {
                let at = [900.0 * lamp.even(), 470.0 + 120.0 * lamp.even()];
                spot(&mut light, at, 1.9, 20_000.0 + 40_000.0 * lamp.even());
            }
            let time = format!("20:{:02}:{:02}.000", late_s / 60, late_s % 60);
            out.extend(
                format!(
                    "P5\n#\"Geodetic latitude\" {LATITUDE_DEG}\n#\"Geodetic longitude\" {LONGITUDE_DEG}\n\
                     #\"Exposure options\" XBIN=1 YBIN=1 MSEC={:.0}\n#\"Image request start\" 2026-11-25 {time} UTC\n\
                     {} {}\n65535\n",
                    1_000.0 * self.exposure_s,
                    SIZE[0],
                    SIZE[1]
                )
                .bytes(),
            );
            for value in light {
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535")]
                let number = (value + self.noise * chance.bell()).clamp(0.0, 65_535.0).round() as u16;
                out.extend(number.to_be_bytes());
            }
        }
        out
    }
}

/// A Gaussian of some width, px.
fn spot(light: &mut [f64], [x, y]: [f64; 2], sigma_px: f64, flux: f64) {
    let [width, height] = SIZE.map(f64::from);
    let reach = 5.0 * sigma_px;
    let (mut row, end) = ((y - reach).ceil().max(0.0), (y + reach).min(height - 1.0));
    while row <= end {
        let mut column = (x - reach).ceil().max(0.0);
        while column <= (x + reach).min(width - 1.0) {
            let off2 = ((column - x).powi(2) + (row - y).powi(2)) / (sigma_px * sigma_px);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the picture")]
            let place = (row * width + column) as usize;
            light[place] += flux * (-0.5 * off2).exp() / (std::f64::consts::TAU * sigma_px * sigma_px);
            column += 1.0;
        }
        row += 1.0;
    }
}

fn looked_at(sky: &Sky, kit: Option<Kit>) -> CheckReport {
    check(&CheckRequest { name: "sky.pgm".to_owned(), kit, ..CheckRequest::default() }, &sky.pgm())
}

/// Lamps below, nearly twice as wide as stars: focus and widths are those of the catalogue's stars.
#[test]
fn lamps_do_not_pass_for_stars() {
    let lit = looked_at(&Sky { lamps: 70, ..Sky::good() }, None);
    let plain = looked_at(&Sky::good(), None);
    assert!(lit.stars.matched.unwrap() >= 20 && lit.stars.count > plain.stars.count + 30, "{:?}", lit.stars);
    let (lit, plain) = (lit.stars.hfd_px.unwrap(), plain.stars.hfd_px.unwrap());
    assert!((lit / plain - 1.0).abs() < 0.04, "{lit} {plain}");
}

#[test]
fn the_lens_and_its_direction_are_those_drawn() {
    let report = looked_at(&Sky::good(), None);
    // a moon of that night stands above the place
    assert_eq!(report.scene, CheckedScene::Moonlit, "{}", report.scene_why);
    assert_eq!(report.taken.as_ref().unwrap().source, TimeSource::Camera);
    let lens = report.lens.unwrap();
    let camera = Sky::good().camera();
    let middle = camera.direction_of([449.5, 299.5]).unwrap();
    assert!((lens.alt_deg.unwrap() - middle.altitude_deg).abs() < 0.05, "{lens:?}");
    assert!((lens.az_deg.unwrap() - middle.azimuth_deg).abs() < 0.05, "{lens:?}");
    let profile = lens.profile.unwrap();
    assert!((profile.focal_px / 600.0 - 1.0).abs() < 0.003, "{profile:?}");
    assert!((profile.k1 + 0.04).abs() < 0.01, "{profile:?}");
    let off = [profile.centre_offset_px[0] - 6.5, profile.centre_offset_px[1] + 3.5];
    assert!(off[0].hypot(off[1]) < 4.0, "{profile:?}");
    assert!((profile.focal_mm(10.0, 900) / 6.0 - 1.0).abs() < 0.003);
    assert_eq!(profile.frame, "sky.pgm");
}

/// A camera whose battery was changed: its year is still to come, and neither moon nor directions are made of it.
#[test]
fn a_clock_ahead_of_now_is_not_believed() {
    let asked = |now: &str| CheckRequest {
        name: "sky.pgm".to_owned(),
        now: Some(now.parse().unwrap()),
        ..CheckRequest::default()
    };
    let early = check(&asked("2001-01-01T00:00:00Z"), &Sky::good().pgm());
    let taken = early.taken.unwrap();
    assert_eq!((taken.source, taken.utc), (TimeSource::StillToCome, None));
    assert!(early.doubts.iter().any(|doubt| doubt.contains("still to come")), "{:?}", early.doubts);
    let lens = early.lens.unwrap();
    assert!(lens.solved && lens.alt_deg.is_none() && !lens.contradicts_time, "{lens:?}");
    assert_eq!(early.moonlit, None);
    let late = check(&asked("2199-01-01T00:00:00Z"), &Sky::good().pgm());
    assert_eq!(late.taken.unwrap().source, TimeSource::Camera);
    assert!(late.doubts.is_empty(), "{:?}", late.doubts);
}

/// Towards the pole stars trail round it, by 1 to 5 px here in 90 s; a knock draws all the same way.
#[test]
fn the_turning_sky_is_told_from_a_knock() {
    let trailing = looked_at(&Sky { exposure_s: 90.0, ..Sky::good() }, None).motion.unwrap();
    assert_eq!(trailing.kind, MotionKind::Trailing, "{trailing:?}");
    // the fastest stars of the picture make 90 s times 15.04" at 344" a pixel in the middle, more towards the corners
    assert!((2.5..7.0).contains(&trailing.sky_px.unwrap()), "{trailing:?}");
    let knocked = Sky { exposure_s: 10.0, turns: false, shaken: [3.0, 3.0], ..Sky::good() };
    let shaken = looked_at(&knocked, None).motion.unwrap();
    assert_eq!(shaken.kind, MotionKind::Shaken, "{shaken:?}");
    // the same knock in the time in which the sky would do as much: its pattern is another
    let long = looked_at(&Sky { exposure_s: 90.0, ..knocked }, None).motion.unwrap();
    assert_eq!(long.kind, MotionKind::Shaken, "{long:?}");
    let held = looked_at(&Sky { exposure_s: 4.0, ..Sky::good() }, None).motion.unwrap();
    assert_eq!(held.kind, MotionKind::Held, "{held:?}");
}

/// Dusk: a dozen stars over lamps. With the lens of an earlier frame in the kit they are enough.
#[test]
fn a_kit_whose_lens_is_known_needs_fewer_stars() {
    let profile = looked_at(&Sky::good(), None).lens.unwrap().profile.unwrap();
    let mut kit = Kit::plain();
    (kit.camera.width_px, kit.camera.height_px, kit.lens.profile) = (6_000, 4_000, Some(profile));
    kit.check().unwrap();
    let (mut with, mut without) = (0, 0);
    for azimuth_deg in [20.0, 110.0, 200.0, 290.0] {
        let dusk = Sky { faintest_v_mag: 3.0, lamps: 8, azimuth_deg, ..Sky::good() };
        let solved = |kit| looked_at(&dusk, kit).lens.filter(|lens| lens.solved);
        let known = solved(Some(kit.clone()));
        if let Some(lens) = &known {
            let off = (lens.az_deg.unwrap() - azimuth_deg + 540.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < 3.0, "{azimuth_deg}: {lens:?}");
        }
        with += u32::from(known.is_some());
        without += u32::from(solved(None).is_some());
    }
    assert!(with > without && with >= 2, "{with} {without}");
}

/// Ten pictures in which few stars stand above the noise.
#[test]
fn a_stack_is_averaged_and_says_so() {
    let noisy = Sky { noise: 900.0, turns: false, ..Sky::good() };
    let one = looked_at(&noisy, None);
    let ten = looked_at(&Sky { pictures: 10, ..noisy }, None);
    assert!(ten.notes.iter().any(|note| note.contains("10 pictures")), "{:?}", ten.notes);
    assert!(ten.stars.count > one.stars.count, "{:?} {:?}", one.stars, ten.stars);
    // 27 s after the first began, in the middle of ten that began every 6 s
    let utc: Timestamp = "2026-11-25T20:00:27Z".parse().unwrap();
    assert_eq!(ten.taken.unwrap().utc, Some(utc));
    assert!(ten.lens.unwrap().solved);
}

#[test]
fn lens_numbers_that_no_camera_has_are_refused() {
    let mut kit = Kit::plain();
    let mut profile = looked_at(&Sky::good(), None).lens.unwrap().profile.unwrap();
    profile.focal_px = f64::NAN;
    kit.lens.profile = Some(profile);
    assert!(kit.check().unwrap_err().to_string().contains("focal_px"));
}
