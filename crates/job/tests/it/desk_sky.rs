//! Frames of the true sky over a dark land, drawn without a word on when and where: what the stars say for and against claims.

use job::{DeskCheck, DeskCheckKind, DeskClaim, DeskReport, DeskRequest, DeskVerdict, desk};
use optics::{Camera, Pointing, Projection};
use quantity::{GeoPosition, Timestamp};
use sky::{Air, ObserverSky, Planet};

const SIZE: [u32; 2] = [900, 600];
/// Stars drawn, V magnitudes, and the light of one of magnitude 5.
const FAINTEST_V_MAG: f64 = 5.4;
const FIFTH_MAG_LIGHT: f64 = 3_000.0;
/// Levels of sky and land, and their noise.
const SKY: f64 = 2_000.0;
const LAND: f64 = 300.0;
const NOISE: f64 = 50.0;

/// A picture that somebody took.
#[derive(Clone, Copy)]
struct Taken {
    at: &'static str,
    latitude_deg: f64,
    longitude_deg: f64,
    azimuth_deg: f64,
    altitude_deg: f64,
    roll_deg: f64,
}

/// North and south, towards four sides, held not quite level.
const TAKEN: [Taken; 4] = [
    Taken {
        at: "2026-11-25T20:00:00Z",
        latitude_deg: 69.2,
        longitude_deg: 15.1,
        azimuth_deg: 20.0,
        altitude_deg: 17.0,
        roll_deg: 2.0,
    },
    Taken {
        at: "2026-03-14T03:30:00Z",
        latitude_deg: 62.0,
        longitude_deg: -114.0,
        azimuth_deg: 300.0,
        altitude_deg: 20.0,
        roll_deg: -3.0,
    },
    Taken {
        at: "2025-06-02T12:00:00Z",
        latitude_deg: -45.0,
        longitude_deg: 169.0,
        azimuth_deg: 175.0,
        altitude_deg: 19.0,
        roll_deg: 1.0,
    },
    Taken {
        at: "2024-10-10T22:15:00Z",
        latitude_deg: 56.0,
        longitude_deg: 9.0,
        azimuth_deg: 75.0,
        altitude_deg: 18.0,
        roll_deg: 0.0,
    },
];

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

impl Taken {
    fn at(&self) -> Timestamp {
        self.at.parse().unwrap()
    }

    fn place(&self) -> GeoPosition {
        GeoPosition::new(self.latitude_deg, self.longitude_deg, 0.0).unwrap()
    }

    fn camera(&self) -> Camera {
        let pointing =
            Pointing { azimuth_deg: self.azimuth_deg, altitude_deg: self.altitude_deg, roll_deg: self.roll_deg };
        Camera::centred(Projection::Rectilinear, 6.0, 10.0, SIZE, pointing)
    }

    /// Stars and planets down to a hilly skyline of 2 to 6 degrees.
    fn pgm(&self) -> Vec<u8> {
        self.developed(self.light())
    }

    fn light(&self) -> Vec<f64> {
        let (camera, [width, height]) = (self.camera(), SIZE.map(|side| side as usize));
        let mut light = vec![SKY; width * height];
        let sky = ObserverSky::new(self.at(), self.place()).unwrap();
        for star in sky.bright_stars_up(FAINTEST_V_MAG) {
            if let Some(at) = camera.pixel_of(Air::default().apparent(star.horizontal)) {
                spot(&mut light, at, FIFTH_MAG_LIGHT * 10f64.powf(-0.4 * (star.star.v_mag - 5.0)));
            }
        }
        for planet in Planet::ALL {
            let place = sky.planet(planet);
            let seen = Air::default().apparent(place.horizontal);
            if let Some(at) = camera.pixel_of(seen).filter(|_| seen.altitude_deg > 0.0) {
                spot(&mut light, at, FIFTH_MAG_LIGHT * 10f64.powf(-0.4 * (place.v_mag - 5.0)));
            }
        }
        light
    }

    /// Grey, 16 bits, without a comment.
    fn developed(&self, light: Vec<f64>) -> Vec<u8> {
        let (camera, [width, height]) = (self.camera(), SIZE.map(|side| side as usize));
        let mut chance = Chance(0x5eed);
        let mut out = format!("P5\n{width} {height}\n65535\n").into_bytes();
        for (index, value) in light.into_iter().enumerate() {
            let pixel = [(index % width) as f64, (index / width) as f64];
            let is_land = camera.direction_of(pixel).is_some_and(|direction| {
                direction.altitude_deg < 4.0 + 2.0 * (8.0 * direction.azimuth_deg.to_radians()).sin()
            });
            let level = if is_land { LAND } else { value };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535")]
            let number = (level + NOISE * chance.bell()).clamp(0.0, 65_535.0).round() as u16;
            out.extend(number.to_be_bytes());
        }
        out
    }

    /// Two places on the horizon, px.
    fn horizon_px(&self) -> [[f64; 2]; 2] {
        [-20.0, 20.0].map(|aside| {
            let direction = quantity::Horizontal::new(0.0, self.azimuth_deg + aside);
            self.camera().pixel_of(direction).unwrap()
        })
    }
}

/// A burnt-out disc with its bloom and a glare that thins out with the square of the distance.
fn moon(light: &mut [f64], [x, y]: [f64; 2]) {
    const RADIUS_PX: f64 = 8.0;
    for (index, value) in light.iter_mut().enumerate() {
        let (column, row) = (index % SIZE[0] as usize, index / SIZE[0] as usize);
        let far = (column as f64 - x).hypot(row as f64 - y);
        *value += match far {
            on if on <= RADIUS_PX => 65_535.0,
            _ => 50_000.0 * (-(far - RADIUS_PX) / 5.0).exp() + 9_000.0 * (RADIUS_PX / far).powi(2),
        };
    }
}

/// A Gaussian star 1.1 px wide.
fn spot(light: &mut [f64], [x, y]: [f64; 2], flux: f64) {
    const SIGMA: f64 = 1.1;
    let [width, height] = SIZE.map(f64::from);
    let (mut row, end) = ((y - 6.0).ceil().max(0.0), (y + 6.0).min(height - 1.0));
    while row <= end {
        let mut column = (x - 6.0).ceil().max(0.0);
        while column <= (x + 6.0).min(width - 1.0) {
            let off2 = ((column - x).powi(2) + (row - y).powi(2)) / (SIGMA * SIGMA);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the picture")]
            let place = (row * width + column) as usize;
            light[place] += flux * (-0.5 * off2).exp() / (std::f64::consts::TAU * SIGMA * SIGMA);
            column += 1.0;
        }
        row += 1.0;
    }
}

fn claimed(bytes: &[u8], at: Timestamp, position: GeoPosition, horizon_px: Option<[[f64; 2]; 2]>) -> DeskReport {
    let claim = DeskClaim { at: Some(at), position: Some(position), ..DeskClaim::default() };
    desk(&DeskRequest { name: "sent.pgm".to_owned(), claim, horizon_px, ..DeskRequest::default() }, bytes)
}

fn stars(report: &DeskReport) -> &DeskCheck {
    report.checks.iter().find(|check| check.kind == DeskCheckKind::Stars).unwrap()
}

fn later(at: Timestamp, hours: i64) -> Timestamp {
    at + jiff::SignedDuration::from_hours(hours)
}

#[test]
fn a_true_claim_is_never_inconsistent_and_one_far_off_never_consistent() {
    let mut consistent = 0;
    let (mut wrong, mut told) = (0, 0);
    for taken in &TAKEN {
        let bytes = taken.pgm();
        let (at, place) = (taken.at(), taken.place());
        let truth = claimed(&bytes, at, place, None);
        assert!(truth.frame.lens.as_ref().is_some_and(|lens| lens.solved), "{}: {:?}", taken.at, truth.frame.lens);
        for check in &truth.checks {
            assert_ne!(check.verdict, DeskVerdict::Inconsistent, "{}: {check:?}", taken.at);
        }
        consistent += usize::from(stars(&truth).verdict == DeskVerdict::Consistent);
        let east = 27.0 / taken.latitude_deg.to_radians().cos();
        let away = |north: f64, east: f64| {
            let longitude = quantity::wrap_degrees_180(taken.longitude_deg + east);
            GeoPosition::new(taken.latitude_deg + north, longitude, 0.0).unwrap()
        };
        // 27 degrees are 3,000 km
        let towards_the_equator = away(-27.0 * taken.latitude_deg.signum(), 0.0);
        let claims = [
            (later(at, 6), place),
            (later(at, -6), place),
            (later(at, 12), place),
            (at, away(0.0, east)),
            (at, away(0.0, -east)),
            (at, towards_the_equator),
        ];
        for (number, (at, place)) in claims.into_iter().enumerate() {
            let report = claimed(&bytes, at, place, None);
            let check = stars(&report);
            assert_ne!(check.verdict, DeskVerdict::Consistent, "{} claim {number}: {check:?}", taken.at);
            wrong += 1;
            told += usize::from(check.verdict == DeskVerdict::Inconsistent);
        }
    }
    // ground that rises to 6 degrees in a picture held level within 3: three of four at least should speak for their claim
    assert!(consistent >= 3, "{consistent}");
    assert!(3 * told >= 2 * wrong, "{told} of {wrong}");
}

/// Deviations of the zenith's range that the truth must lie within.
const DEVIATIONS: f64 = 2.0;

#[test]
fn with_a_horizon_the_stars_say_latitude_and_time() {
    for taken in &TAKEN[..2] {
        let bytes = taken.pgm();
        let report = claimed(&bytes, taken.at(), taken.place(), Some(taken.horizon_px()));
        let check = stars(&report);
        assert_eq!(check.verdict, DeskVerdict::Consistent, "{check:?}");
        let value = |name: &str| {
            let evidence = check.evidence.iter().find(|evidence| evidence.name.starts_with(name)).unwrap();
            evidence.value.unwrap()
        };
        let latitude = value("latitude by the stars");
        let sigma = 0.5 * (latitude.high - latitude.low);
        assert!((latitude.value - taken.latitude_deg).abs() < DEVIATIONS * sigma.max(1.0), "{latitude:?}");
        // a horizon level within a degree bounds the latitude to a few
        assert!(sigma < 4.0, "{latitude:?}");
        let hours = value("time by the stars");
        assert!(hours.value.abs() < DEVIATIONS * 0.5 * (hours.high - hours.low).max(0.2), "{hours:?}");
    }
}

#[test]
fn a_claim_of_noon_is_spoken_against_by_the_sun() {
    let taken = TAKEN[3];
    let noon = "2024-10-10T11:30:00Z".parse().unwrap();
    let report = claimed(&taken.pgm(), noon, taken.place(), None);
    let sun = report.checks.iter().find(|check| check.kind == DeskCheckKind::Sun).unwrap();
    assert_eq!(sun.verdict, DeskVerdict::Inconsistent, "{sun:?}");
    assert_eq!(report.verdict, DeskVerdict::Inconsistent);
    assert!(report.summary.starts_with("Against the claim: sun and twilight"), "{}", report.summary);
}

/// Jupiter and Mars stand in the picture of 10 October 2024. A year earlier they stood elsewhere, with the same stars around the place.
#[test]
fn planets_tell_the_year() {
    let taken = TAKEN[3];
    let bytes = taken.pgm();
    let planets = |at: Timestamp| {
        let report = claimed(&bytes, at, taken.place(), None);
        report.checks.into_iter().find(|check| check.kind == DeskCheckKind::Planets).unwrap()
    };
    let truth = planets(taken.at());
    assert_eq!(truth.verdict, DeskVerdict::Consistent, "{truth:?}");
    let year_before = planets("2023-10-10T22:16:00Z".parse().unwrap());
    assert_ne!(year_before.verdict, DeskVerdict::Consistent, "{year_before:?}");
    // Jupiter's own dates are found: October 2024 lies within them
    let stranger = year_before.evidence.iter().find(|evidence| evidence.name.contains("in no catalogue")).unwrap();
    assert!(stranger.text.contains("Jupiter 2024-"), "{stranger:?}");
}

/// The young moon of 5 March 2025 in the west. Its mean motion is 13.18 degrees a day, 11.7 to 15.4 as it goes (Meeus 1998,
/// chapter 49: periods; the bounds from the eccentricity, 0.055).
const MOON_DEG_A_DAY: [f64; 2] = [11.0, 16.0];

#[test]
fn the_moon_tells_the_day() {
    let at: Timestamp = "2025-03-05T22:00:00Z".parse().unwrap();
    let place = GeoPosition::new(56.0, 9.0, 0.0).unwrap();
    let seen = Air::default().apparent(sky::sun_moon(at, place).unwrap().moon.horizontal);
    let taken = Taken {
        at: "2025-03-05T22:00:00Z",
        latitude_deg: 56.0,
        longitude_deg: 9.0,
        azimuth_deg: seen.azimuth_deg - 6.0,
        altitude_deg: 17.0,
        roll_deg: 1.0,
    };
    let mut light = taken.light();
    let bare = taken.developed(light.clone());
    moon(&mut light, taken.camera().pixel_of(seen).unwrap());
    let bytes = taken.developed(light);
    let check = |bytes: &[u8], at: Timestamp| {
        let report = claimed(bytes, at, place, None);
        report.checks.into_iter().find(|check| check.kind == DeskCheckKind::Moon).unwrap()
    };
    let truth = check(&bytes, at);
    assert_eq!(truth.verdict, DeskVerdict::Consistent, "{truth:?}");
    let day_late = check(&bytes, later(at, 24));
    // a disc of few pixels might be a lamp: the evidence tells how far off it is, the verdict may be "cannot tell"
    assert_ne!(day_late.verdict, DeskVerdict::Consistent, "{day_late:?}");
    let off = day_late.evidence.iter().find(|evidence| evidence.name.starts_with("moon in the picture")).unwrap();
    let off_deg = off.value.unwrap().value;
    assert!((MOON_DEG_A_DAY[0]..MOON_DEG_A_DAY[1]).contains(&off_deg), "{off:?}");
    // a moon burns out to some half a degree: nothing narrower is told
    let range = off.value.unwrap();
    assert!(range.high - range.low >= 1.0, "{off:?}");
    // taken on a night without a moon there
    let without = check(&bare, at);
    assert_ne!(without.verdict, DeskVerdict::Consistent, "{without:?}");
}
