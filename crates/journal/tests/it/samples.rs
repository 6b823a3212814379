//! An invented site, kit, outing and report; the numbers mean nothing but are awkward to store.

use jiff::civil::date;
use job::{
    Activity, ActivityKind, BrightestPatch, CameraBody, Caution, Chances, DarknessClass, HorizonPoint, Kit, KpInterval,
    Lens, MoonState, NightTimes, OutlookReport, OutlookRequest, OutlookStep, Recommendation, Site, SkyQuality,
    SunState, Verdict, WatchWindow, Weather,
};
use journal::{Journal, KitId, NewOuting, OutingId, SiteId};
use quantity::{Basis, Estimate, Fraction, GeoPosition, Horizontal, InputNote, InputState, LineBrightness, Timestamp};

/// Takes away what a later version added: a test that goes back to an older form does this first.
pub(crate) const DROP_SUBMISSIONS: &str = "DROP TABLE picture_likeness; DROP TABLE picture_print; DROP TABLE submission_change; DROP TABLE submission_export; \
                                           DROP TABLE submission_consent; DROP TABLE submission; DROP TABLE submission_link";

pub(crate) fn instant(text: &str) -> Timestamp {
    text.parse().unwrap()
}

pub(crate) fn site(name: &str) -> Site {
    Site {
        time_zone: "Europe/Oslo".to_owned(),
        sky_quality: SkyQuality::Measured { zenith_mag_arcsec2: 21.7 },
        horizon: vec![HorizonPoint { azimuth_deg: 0.1, altitude_deg: 2.0 / 7.0 }],
        snow_cover: true,
        notes: "gate; \"private\" road\n'ask' first".to_owned(),
        ..Site::bare(name, GeoPosition::new(69.1 + 0.2, -179.999_999_9, 1.0 / 3.0).unwrap())
    }
}

pub(crate) fn kit(name: &str) -> Kit {
    let camera = CameraBody {
        name: "full frame".to_owned(),
        pixel_um: 5.97,
        width_px: 6048,
        height_px: 4024,
        peak_quantum_efficiency: [0.3, 0.1 + 0.2, 0.5],
        read_noise_e: 1.6,
        full_well_e: 62_000.0,
        base_iso: 100.0,
    };
    let lens = Lens { name: "wide".to_owned(), focal_mm: 14.0, transmission: 0.9, ..Kit::plain().lens };
    Kit { name: name.to_owned(), camera, lens, exposure_s: 4.0, ..Kit::plain() }
}

pub(crate) fn new_outing(site: SiteId, kit: KitId) -> NewOuting {
    NewOuting {
        site,
        kit,
        night: date(2024, 5, 10),
        title: "The great night".to_owned(),
        created_at: instant("2024-05-10T11:22:33.123456789Z"),
        invented: true,
    }
}

/// A journal in memory with one site, one kit and one outing.
pub(crate) fn furnished() -> (Journal, OutingId) {
    let journal = Journal::in_memory().unwrap();
    let outing = furnish(&journal);
    (journal, outing)
}

pub(crate) fn furnish(journal: &Journal) -> OutingId {
    let site = journal.add_site(&site("Test bay")).unwrap();
    let kit = journal.add_kit(&kit("Wide")).unwrap();
    journal.add_outing(&new_outing(site, kit)).unwrap()
}

pub(crate) fn request(asked_at: &str) -> OutlookRequest {
    let interval = KpInterval {
        from: instant("2024-05-10T21:00:00Z"),
        to: instant("2024-05-11T00:00:00Z"),
        kp: 26.0 / 3.0,
        kind: ActivityKind::Definitive,
    };
    OutlookRequest {
        site: site("Test bay"),
        night: date(2024, 5, 10),
        asked_at: instant(asked_at),
        kit: kit("Wide"),
        activity: Activity { source: "a table".to_owned(), issued_at: None, intervals: vec![interval] },
        other_activity: Vec::new(),
        elsewhere: Vec::new(),
        weather: Weather::given_cloud(
            Fraction::new(0.3).unwrap(),
            instant("2024-05-10T12:00:00Z"),
            instant("2024-05-11T12:00:00Z"),
        ),
        input_notes: Vec::new(),
        upstream: None,
        precipitation: None,
        f107: 223.4,
        adaptation_minutes: 30.0,
    }
}

fn chances(eye: f64) -> Chances {
    let part = |value: f64| Fraction::new(value).unwrap();
    Chances { eye_sees: part(eye), eye_sees_colour: part(eye / 3.0), camera_records: part(0.99) }
}

pub(crate) fn step(at: &str, eye: f64, kp: f64) -> OutlookStep {
    OutlookStep {
        at: instant(at),
        darkness: DarknessClass::Nautical,
        sun_altitude_deg: -7.123_456_789_012_345,
        moon_altitude_deg: -0.1,
        moon_lit_fraction: 0.07,
        kp: Some(Estimate::symmetric(kp, 0.096, Basis::Measured)),
        mlt_h: 23.3,
        background_zenith_mag_arcsec2: Estimate::symmetric(16.0, 0.3, Basis::Model),
        brightest: Some(BrightestPatch {
            direction: Horizontal::new(35.0, 181.0),
            mean_kr: LineBrightness { blue_4278_kr: 0.1, green_5577_kr: 1e-17, red_6300_kr: 2.0 / 3.0 },
            brightest_arc_kr: Estimate::logarithmic(10.0 * kp, 0.3, Basis::Model),
            looks_like: "IBC II".to_owned(),
            background_mag_arcsec2: Estimate::symmetric(15.5, 0.3, Basis::Model),
        }),
        weather: None,
        clear_sightline: None,
        chances: Some(chances(eye)),
    }
}

/// A report whose second step is the best one.
pub(crate) fn report(asked_at: &str) -> OutlookReport {
    let best_at = instant("2024-05-10T22:10:00Z");
    let night = NightTimes {
        date: date(2024, 5, 10),
        from: instant("2024-05-10T11:00:00Z"),
        to: instant("2024-05-11T11:00:00Z"),
        sunset: None,
        civil_dusk: None,
        nautical_dusk: None,
        astronomical_dusk: None,
        astronomical_dawn: None,
        nautical_dawn: None,
        civil_dawn: None,
        sunrise: Some(instant("2024-05-11T00:00:00.5Z")),
        moonrise: None,
        moonset: None,
        sun_state: SunState::Normal,
        moon_state: MoonState::DownThroughout,
        darkest: DarknessClass::Nautical,
    };
    let note = InputNote {
        name: "Kp".to_owned(),
        source: "a table".to_owned(),
        observed_at: None,
        age_minutes: Some(-0.1),
        state: InputState::Record,
    };
    OutlookReport {
        request: request(asked_at),
        verdict: Verdict {
            recommendation: Recommendation::Go,
            text: "Go.".to_owned(),
            reasons: vec!["storm".to_owned()],
        },
        chances: Some(chances(0.7)),
        windows: vec![WatchWindow {
            from: instant("2024-05-10T22:00:00Z"),
            to: instant("2024-05-10T22:30:00Z"),
            best_at,
            chances: chances(0.7),
            reason: "darkest".to_owned(),
        }],
        night,
        steps: vec![step("2024-05-10T22:00:00Z", 0.9, 2.0), step("2024-05-10T22:10:00Z", 0.7, 8.667)],
        ranking: Vec::new(),
        magnetic_zenith: Horizontal::new(77.0, 187.0),
        model_lat_deg: 66.6,
        kp_needed_eye: Some(1.0 / 3.0),
        would_change: vec![],
        inputs: vec![note],
        limits: vec![],
        cautions: vec![Caution { text: "ice".to_owned(), defer_to: "the coast guard".to_owned() }],
        past_skill: String::new(),
        past_scores: None,
        strip_text: "dark from ten".to_owned(),
    }
}
