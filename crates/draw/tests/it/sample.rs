//! Invented reports, plausible enough to judge a picture by. Nothing here is measured.

use jiff::civil::Date;
use job::{
    Activity, BrightestPatch, Chances, DarknessClass, HorizonPoint, Kit, MoonState, NightTimes, OutlookReport,
    OutlookRequest, OutlookStep, Recommendation, Site, SiteOutlook, SkyQuality, SkymapReport, SkymapRequest, SunState,
    Verdict, WatchWindow, Weather,
};
use quantity::{Basis, Estimate, Fraction, GeoPosition, Horizontal, LineBrightness, Timestamp};

/// What a made-up night is made of.
#[derive(Clone)]
pub(crate) struct Night {
    pub(crate) name: &'static str,
    pub(crate) zone: &'static str,
    pub(crate) latitude_deg: f64,
    pub(crate) longitude_deg: f64,
    pub(crate) date: Date,
    pub(crate) sun_declination_deg: f64,
    /// Hours after the sun at which the moon crosses the meridian, and its declination and lit share.
    pub(crate) moon: (f64, f64, f64),
    /// Mean brightness of the night at its best, kR; none without activity.
    pub(crate) peak_kr: Option<f64>,
    /// Clear sightline at the start and the end of the night.
    pub(crate) clear: Option<(f64, f64)>,
}

pub(crate) fn normal() -> Night {
    Night {
        name: "Skerrow Bay",
        zone: "Europe/Oslo",
        latitude_deg: 69.2,
        longitude_deg: 15.1,
        date: jiff::civil::date(2026, 3, 14),
        sun_declination_deg: -2.3,
        moon: (19.0, -22.0, 0.18),
        peak_kr: Some(14.0),
        clear: Some((0.35, 0.9)),
    }
}

pub(crate) fn polar_night() -> Night {
    Night {
        name: "Hollow Fjord",
        zone: "Arctic/Longyearbyen",
        latitude_deg: 78.2,
        longitude_deg: 15.6,
        date: jiff::civil::date(2026, 12, 20),
        sun_declination_deg: -23.4,
        moon: (8.0, 20.0, 0.82),
        peak_kr: Some(4.0),
        clear: Some((1.0, 1.0)),
    }
}

pub(crate) fn moonlit_without_activity() -> Night {
    Night {
        name: "Lang Ness",
        zone: "Europe/London",
        latitude_deg: 60.2,
        longitude_deg: -1.3,
        moon: (12.2, 12.0, 0.99),
        peak_kr: None,
        ..normal()
    }
}

pub(crate) fn southern() -> Night {
    Night {
        name: "Tussock Point",
        zone: "Pacific/Auckland",
        latitude_deg: -46.6,
        longitude_deg: 168.4,
        date: jiff::civil::date(2026, 6, 11),
        sun_declination_deg: 23.1,
        moon: (21.5, 15.0, 0.22),
        peak_kr: Some(60.0),
        clear: Some((0.8, 0.2)),
    }
}

pub(crate) fn clouds_unknown() -> Night {
    Night { clear: None, ..normal() }
}

/// The night in which the clock goes back an hour.
pub(crate) fn clock_change() -> Night {
    Night { date: jiff::civil::date(2026, 10, 24), sun_declination_deg: -12.0, ..normal() }
}

fn altitude_deg(latitude_deg: f64, declination_deg: f64, hour_angle_h: f64) -> f64 {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_dec, cos_dec) = declination_deg.to_radians().sin_cos();
    (sin_lat * sin_dec + cos_lat * cos_dec * (hour_angle_h * 15.0).to_radians().cos()).asin().to_degrees()
}

impl Night {
    fn noon(&self) -> Timestamp {
        let noon = self.date.at(12, 0, 0, 0).to_zoned_datetime(jiff::tz::TimeZone::UTC).unwrap().timestamp();
        plus(noon, -self.longitude_deg / 15.0)
    }

    fn sun_deg(&self, hours: f64) -> f64 {
        altitude_deg(self.latitude_deg, self.sun_declination_deg, hours)
    }

    fn moon_deg(&self, hours: f64) -> f64 {
        altitude_deg(self.latitude_deg, self.moon.1, hours - self.moon.0)
    }

    fn site(&self) -> Site {
        Site {
            time_zone: self.zone.to_owned(),
            sky_quality: SkyQuality::Bortle { class: 2 },
            horizon: [(0.0, 1.0), (40.0, 3.0), (70.0, 11.0), (110.0, 14.0), (150.0, 6.0), (220.0, 2.0), (300.0, 1.0)]
                .map(|(azimuth_deg, altitude_deg)| HorizonPoint { azimuth_deg, altitude_deg })
                .to_vec(),
            snow_cover: true,
            ..Site::bare(self.name, GeoPosition::new(self.latitude_deg, self.longitude_deg, 5.0).unwrap())
        }
    }

    fn step(&self, minutes: i32) -> OutlookStep {
        let hours = f64::from(minutes) / 60.0;
        let sun_altitude_deg = self.sun_deg(hours);
        let dark = sun_altitude_deg < -6.0;
        let patch = self.peak_kr.filter(|_| dark).map(|peak_kr| {
            let shape = (-((hours - 10.5) / 3.2).powi(2)).exp() * (1.0 + 0.25 * (hours * 4.1).sin());
            let arc_kr = Estimate::logarithmic((peak_kr * shape).max(0.05), 0.4, Basis::Model);
            BrightestPatch {
                direction: Horizontal::new(18.0, if self.latitude_deg > 0.0 { 350.0 } else { 185.0 }),
                mean_kr: LineBrightness {
                    blue_4278_kr: 0.1 * arc_kr.value,
                    green_5577_kr: 0.3 * arc_kr.value,
                    red_6300_kr: 0.05 * arc_kr.value,
                },
                brightest_arc_kr: arc_kr,
                looks_like: "IBC I-II, grey glow".to_owned(),
                background_mag_arcsec2: Estimate::symmetric(21.4, 0.2, Basis::Model),
            }
        });
        OutlookStep {
            at: plus(self.noon(), hours),
            darkness: DarknessClass::from_sun_altitude_deg(sun_altitude_deg),
            sun_altitude_deg,
            moon_altitude_deg: self.moon_deg(hours),
            moon_lit_fraction: self.moon.2,
            kp: self.peak_kr.map(|_| Estimate::symmetric(3.0, 1.0, Basis::Assumed)),
            mlt_h: (hours + 14.0) % 24.0,
            background_zenith_mag_arcsec2: Estimate::symmetric(21.5, 0.2, Basis::Model),
            chances: patch.as_ref().map(|_| chances()),
            brightest: patch,
            weather: None,
            clear_sightline: self.clear.map(|(a, b)| Fraction::clamped(a + (b - a) * hours / 24.0)),
        }
    }

    /// The instant near `from_h`..`to_h` hours after noon at which an altitude passes a value.
    fn crossing(&self, altitude: impl Fn(&Self, f64) -> f64, value: f64, from_h: f64, to_h: f64) -> Option<Timestamp> {
        let minutes = |h: f64| (h * 60.0) as i32;
        (minutes(from_h)..minutes(to_h)).map(|m| f64::from(m) / 60.0).find_map(|h| {
            let passes = (altitude(self, h) > value) != (altitude(self, h + 1.0 / 60.0) > value);
            passes.then(|| plus(self.noon(), h))
        })
    }

    fn times(&self) -> NightTimes {
        let dusk = |value| self.crossing(Self::sun_deg, value, 0.0, 12.0);
        let dawn = |value| self.crossing(Self::sun_deg, value, 12.0, 24.0);
        let moon_ups = (0..1440).map(|m| self.moon_deg(f64::from(m) / 60.0) > 0.0).collect::<Vec<_>>();
        let turn = |rising: bool| {
            moon_ups.windows(2).position(|w| w[0] != w[1] && w[1] == rising).map(|m| plus(self.noon(), m as f64 / 60.0))
        };
        NightTimes {
            date: self.date,
            from: self.noon(),
            to: plus(self.noon(), 24.0),
            sunset: dusk(-0.8333),
            civil_dusk: dusk(-6.0),
            nautical_dusk: dusk(-12.0),
            astronomical_dusk: dusk(-18.0),
            astronomical_dawn: dawn(-18.0),
            nautical_dawn: dawn(-12.0),
            civil_dawn: dawn(-6.0),
            sunrise: dawn(-0.8333),
            moonrise: turn(true),
            moonset: turn(false),
            sun_state: if self.sun_deg(0.0) < -0.8333 { SunState::PolarNight } else { SunState::Normal },
            moon_state: match (moon_ups.iter().all(|up| *up), moon_ups.iter().any(|up| *up)) {
                (true, _) => MoonState::UpThroughout,
                (_, false) => MoonState::DownThroughout,
                _ => MoonState::Normal,
            },
            darkest: DarknessClass::from_sun_altitude_deg(self.sun_deg(12.0)),
        }
    }

    pub(crate) fn outlook(&self) -> OutlookReport {
        let from = self.noon();
        let windows = self.peak_kr.map(|_| WatchWindow {
            from: plus(from, 9.0),
            to: plus(from, 12.2),
            best_at: plus(from, 10.5),
            chances: chances(),
            reason: "brightest and moon down".to_owned(),
        });
        OutlookReport {
            request: OutlookRequest {
                site: self.site(),
                night: self.date,
                asked_at: from,
                kit: Kit::plain(),
                activity: Activity::given(3.0, from, plus(from, 24.0)),
                other_activity: Vec::new(),
                weather: Weather::unknown(),
                elsewhere: Vec::new(),
                input_notes: Vec::new(),
                upstream: None,
                precipitation: None,
                f107: 120.0,
                adaptation_minutes: 30.0,
            },
            verdict: Verdict { recommendation: Recommendation::Go, text: "Worth going.".to_owned(), reasons: vec![] },
            chances: Some(chances()),
            windows: windows.into_iter().collect(),
            night: self.times(),
            steps: (0..=144).map(|i| self.step(i * 10)).collect(),
            ranking: Vec::new(),
            magnetic_zenith: Horizontal::new(77.0, 188.0),
            model_lat_deg: 66.4,
            kp_needed_eye: Some(1.3),
            would_change: vec![],
            inputs: vec![],
            limits: vec![],
            cautions: vec![],
            past_skill: "no outings kept yet".to_owned(),
            past_scores: None,
            strip_text: "An invented night: sunset, twilights, dark hours, moon and the best window in words."
                .to_owned(),
        }
    }

    /// The sky `hours` after noon, on a grid of `step_deg`, with an arc poleward of the zenith.
    /// The night as a row of a comparison.
    pub(crate) fn row(&self, reason: &str) -> SiteOutlook {
        let OutlookReport { request, verdict, chances, windows, night, steps, .. } = self.outlook();
        SiteOutlook {
            site: Site { drive_minutes: Some(45.0), ..request.site },
            night,
            recommendation: verdict.recommendation,
            chances,
            windows,
            worth: 0.5,
            reason: reason.to_owned(),
            steps,
        }
    }

    pub(crate) fn skymap(&self, hours: f64, step_deg: f64) -> SkymapReport {
        let south = self.latitude_deg < 0.0;
        let peak_kr = 0.3 * self.peak_kr.unwrap_or(0.0);
        let rows = (90.0 / step_deg) as usize;
        let altitudes_deg: Vec<f64> = (0..=rows).map(|i| i as f64 * step_deg).collect();
        let azimuths_deg: Vec<f64> = (0..(360.0 / step_deg) as usize).map(|j| j as f64 * step_deg).collect();
        let towards = if south { 180.0 } else { 0.0 };
        let green: Vec<f64> = altitudes_deg
            .iter()
            .flat_map(|altitude| azimuths_deg.iter().map(move |azimuth| (*altitude, *azimuth)))
            .map(|(altitude, azimuth)| {
                let pole = Horizontal::new(20.0, towards + 8.0).east_north_up();
                let here = Horizontal::new(altitude, azimuth).east_north_up();
                let along = here[1] * pole[1].signum() * 0.8 + 0.25 * here[0] - 0.45;
                let air = (-0.2 / (here[2] + 0.08)).exp();
                (peak_kr * 2.0 * (-(along / 0.32).powi(2)).exp() * air).max(0.0)
            })
            .collect();
        let (index, _) = green.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).unwrap();
        let brightest =
            Horizontal::new(altitudes_deg[index / azimuths_deg.len()], azimuths_deg[index % azimuths_deg.len()]);
        let moon = self.moon_deg(hours);
        let at = plus(self.noon(), hours);
        let sun_azimuth = if south { 360.0 - hours * 15.0 } else { 180.0 + hours * 15.0 };
        SkymapReport {
            request: SkymapRequest { site: self.site(), at, kp: 3.0, f107: 120.0, step_deg },
            red_6300_kr: green.iter().map(|kr| kr * 0.1).collect(),
            blue_4278_kr: green.iter().map(|kr| kr * 0.3).collect(),
            background_mag_arcsec2: vec![21.5; green.len()],
            green_5577_kr: green,
            altitudes_deg,
            azimuths_deg,
            brightest,
            brightest_mean_kr: LineBrightness {
                blue_4278_kr: peak_kr * 0.3,
                green_5577_kr: peak_kr,
                red_6300_kr: peak_kr * 0.1,
            },
            brightest_arc_kr: Estimate::logarithmic(self.peak_kr.unwrap_or(0.0), 0.4, Basis::Model),
            magnetic_zenith: Horizontal::new(77.0, if south { 8.0 } else { 188.0 }),
            sun: Horizontal::new(self.sun_deg(hours), sun_azimuth),
            moon: (moon > 0.0).then(|| Horizontal::new(moon, 110.0)),
            moon_lit_fraction: self.moon.2,
            model_lat_deg: 66.4,
            mlt_h: 23.0,
            equatorward_border_deg: Estimate::symmetric(62.0, 1.0, Basis::Model),
            text: "An invented sky: an arc over the poleward horizon.".to_owned(),
            inputs: vec![],
            limits: vec![],
        }
    }
}

/// An instant moved by hours.
pub(crate) fn plus(at: Timestamp, hours: f64) -> Timestamp {
    Timestamp::from_second(at.as_second() + (hours * 3600.0) as i64).unwrap()
}

fn chances() -> Chances {
    Chances {
        eye_sees: Fraction::clamped(0.4),
        eye_sees_colour: Fraction::clamped(0.1),
        camera_records: Fraction::clamped(0.8),
    }
}

/// The outline of a wide frame above a bearing.
pub(crate) fn frame(azimuth_deg: f64) -> Vec<Horizontal> {
    [(2.0, -40.0), (2.0, 40.0), (58.0, 58.0), (58.0, -58.0)]
        .map(|(altitude_deg, turn_deg)| Horizontal::new(altitude_deg, azimuth_deg + turn_deg))
        .to_vec()
}
