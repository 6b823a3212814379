//! The lens of an all-sky imager whose makers published azimuth and elevation of its every pixel: what the solver makes of
//! the catalogue's stars, laid where that table has them, against the table.
//!
//! The frames that came with the table (1 s through a filter) show no stars of their own, so the lens, its faults and its
//! mounting are real and the stars are drawn. Table and frame: Poker Flat, `SOURCES.md` of the real pictures.

use frame::{ImageCircle, LensHints, LensSolution, Limits, Plane, image_circle, open, solve_lens};
use optics::Channel;
use quantity::{GeoPosition, Horizontal, angular_separation_deg};
use sky::{Air, ObserverSky};

use crate::drawn_sky::{Dice, field_of};
use crate::pictures::picture;

/// Asked for where a calibration is known, degrees; a pixel of this imager sees 0.35.
const AGREES_DEG: f64 = 0.3;
/// Lowest altitude compared, degrees: the table's own edge, where its makers had no stars.
const LEAST_ALTITUDE_DEG: f64 = 15.0;
/// Error of a star's place, px: what finding stars of this width adds (`docs/measuring.md`).
const NOISE_PX: f64 = 0.3;
/// Faintest star of such an imager in a longer exposure, magnitude (a judgement), and false lights among them.
const FAINTEST_V: f64 = 4.5;
const FALSE_LIGHTS: usize = 8;
/// Skies that are laid over the table.
const SKIES: u64 = 3;

/// What the makers say that each pixel sees.
struct Calibration {
    azimuths: Plane,
    altitudes: Plane,
}

impl Calibration {
    fn read() -> Option<Self> {
        let plane = |name: &str| {
            let bytes = picture(&format!("allsky_mono/{name}"))?;
            open(&bytes, &Limits::default()).unwrap().plane(Channel::Green).ok()
        };
        let azimuths = plane("cal_PKR_DASC_0558_20150213_Az.FIT")?;
        Some(Self { azimuths, altitudes: plane("cal_PKR_DASC_0558_20150213_El.FIT")? })
    }

    fn at(&self, [x, y]: [usize; 2]) -> Horizontal {
        Horizontal::new(f64::from(self.altitudes.row(y).at(x)), f64::from(self.azimuths.row(y).at(x)))
    }

    /// Pixels that the table covers, and the unit vector that each sees: east, north, up.
    fn pixels(&self) -> Vec<([usize; 2], [f64; 3])> {
        let [width, height] = [self.altitudes.width(), self.altitudes.height()];
        let all = (1..height - 1).flat_map(|y| (1..width - 1).map(move |x| [x, y]));
        let seen = all.map(|pixel| (pixel, self.at(pixel))).filter(|(_, seen)| seen.altitude_deg >= LEAST_ALTITUDE_DEG);
        seen.map(|(pixel, seen)| (pixel, seen.east_north_up())).collect()
    }

    /// Where a direction falls: the nearest pixel, and from it along the table's own slope.
    fn place_of(&self, pixels: &[([usize; 2], [f64; 3])], there: [f64; 3]) -> Option<[f64; 2]> {
        let ([x, y], nearest) = *pixels.iter().max_by(|a, b| dot(a.1, there).total_cmp(&dot(b.1, there)))?;
        let away = difference(there, nearest);
        let step = |a: [usize; 2], b: [usize; 2]| {
            difference(self.at(a).east_north_up(), self.at(b).east_north_up()).map(|part| 0.5 * part)
        };
        let (along_x, along_y) = (step([x + 1, y], [x - 1, y]), step([x, y + 1], [x, y - 1]));
        // least squares of two steps in three coordinates
        let [xx, xy, yy] = [dot(along_x, along_x), dot(along_x, along_y), dot(along_y, along_y)];
        let [ax, ay] = [dot(away, along_x), dot(away, along_y)];
        let determinant = xx * yy - xy * xy;
        let [dx, dy] = [(ax * yy - ay * xy) / determinant, (ay * xx - ax * xy) / determinant];
        (dx.abs().max(dy.abs()) < 2.0).then_some([x as f64 + dx, y as f64 + dy])
    }
}

fn difference(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| a[i] - b[i])
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The sky of one hour as that lens shows it, solved.
fn solved(table: &Calibration, pixels: &[([usize; 2], [f64; 3])], circle: ImageCircle, sky: u64) -> LensSolution {
    let place = GeoPosition::new(65.126, -147.479, 0.0).unwrap();
    let first: jiff::Timestamp = "2015-10-07T08:23:51Z".parse().unwrap();
    let taken_at = first + jiff::SignedDuration::from_hours(4 * i64::try_from(sky).unwrap());
    let mut dice = Dice::new(31_000 + sky);
    let mut places = Vec::new();
    for star in &ObserverSky::new(taken_at, place).unwrap().bright_stars_up(FAINTEST_V) {
        if let Some([x, y]) = table.place_of(pixels, Air::default().apparent(star.horizontal).east_north_up()) {
            let flux = 10f64.powf(-0.4 * (star.star.v_mag + 0.2 * dice.gauss()));
            places.push([x + NOISE_PX * dice.gauss(), y + NOISE_PX * dice.gauss(), flux]);
        }
    }
    for _ in 0..FALSE_LIGHTS {
        let flux = 10f64.powf(-0.4 * (1.0 + 3.0 * dice.next()));
        places.push([dice.even(100.0, 400.0), dice.even(100.0, 400.0), flux]);
    }
    let hints =
        LensHints { image_circle: Some(circle), taken_at: Some(taken_at), place: Some(place), ..LensHints::default() };
    let size = [512, 512];
    solve_lens(&field_of(size, &places), &hints).unwrap_or_else(|error| panic!("sky {sky}: {error:?}"))
}

#[test]
fn a_published_calibration_of_every_pixel_is_met() {
    let frame = picture("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS");
    let (Some(table), Some(frame)) = (Calibration::read(), frame) else { return };
    let shown = open(&frame, &Limits::default()).unwrap().plane(Channel::Green).unwrap();
    let circle = image_circle(&shown).expect("the picture's edge");
    let pixels = table.pixels();
    let mut worst: f64 = 0.0;
    for sky in 0..SKIES {
        let found = solved(&table, &pixels, circle, sky);
        let off = |([x, y], seen): &([usize; 2], [f64; 3])| {
            angular_separation_deg(found.horizontal_of([*x as f64, *y as f64]).unwrap().east_north_up(), *seen)
        };
        let mut off: Vec<f64> = pixels.iter().map(off).collect();
        off.sort_by(f64::total_cmp);
        let part = |per_cent: usize| off[(off.len() - 1) * per_cent / 100];
        println!(
            "sky {sky}: {} stars, median {:.3}, 95 % {:.3}, worst {:.3} degrees of {} pixels",
            found.matched,
            part(50),
            part(95),
            part(100),
            off.len()
        );
        worst = worst.max(part(100));
    }
    assert!(worst < AGREES_DEG, "{worst}");
}
