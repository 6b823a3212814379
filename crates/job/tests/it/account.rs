//! The account of a night: nothing in it that is not in the record, and nothing told where the record is silent.

use job::{
    AccountMet, AccountReport, AccountRequest, FormName, OutlookReport, ReadAurora, ReadBay, ReadBrightening, ReadForm,
    ReadFrames, ReadLens, ReadLineShares, ReadMagnetic, ReadOnset, ReadPatch, ReadPulsation, ReadReddest, ReadReport,
    ReadRequest, SeenOutcome, UpstreamWind, account, outlook,
};
use quantity::{Basis, Estimate};
use serde_json::Value;

use crate::sample;

/// Name and position of the invented place, to be found nowhere in an account.
const PLACE: &str = "Skerrow Bay";

pub(crate) fn foretold(wind: bool) -> OutlookReport {
    let site = sample::site(PLACE, 69.3117, 16.0243);
    let mut request = sample::request(site, "2026-03-14", "2026-03-14T12:00:00Z", &[4.333; 8]);
    request.upstream = wind.then(|| UpstreamWind {
        source: "an invented spacecraft".to_owned(),
        measured_at: request.asked_at,
        by_nt: 2.0,
        bz_nt: -6.37,
        speed_km_s: 523.4,
        density_cm3: None,
    });
    outlook(request).unwrap()
}

pub(crate) fn reading() -> ReadReport {
    let at = |text: &str| text.parse().unwrap();
    let patch = |period_s| ReadPatch {
        from: at("2026-03-14T23:10:00Z"),
        to: at("2026-03-14T23:14:00Z"),
        period_s,
        alt_deg: 61.0,
        az_deg: 12.0,
        relative_amplitude: 0.31,
        cells: 4,
        on_s: None,
        off_s: None,
    };
    ReadReport {
        request: ReadRequest {
            name: "a folder".to_owned(),
            inputs: Vec::new(),
            utc_offset_s: None,
            position: None,
            height_km: 110.0,
            height_sigma_km: 10.0,
            azimuth_deg: None,
            kit: None,
            kp: None,
            assumed: None,
        },
        frames: ReadFrames {
            read: 412,
            skipped: 0,
            skips: Vec::new(),
            first: Some(at("2026-03-14T21:31:00Z")),
            last: Some(at("2026-03-14T23:58:00Z")),
            interval_s: Some(6.0),
            span_s: 8820.0,
            longest_gap_s: 6.0,
            exposure_s: Some(4.0),
            rescaled: 0,
            not_comparable: 0,
        },
        lens: ReadLens::default(),
        unit: "share of full scale".to_owned(),
        light: Vec::new(),
        keogram: None,
        ewogram: None,
        brightenings: Some(vec![ReadBrightening {
            at: at("2026-03-14T22:47:30Z"),
            kind: "substorm candidate".to_owned(),
            factor: 3.42,
            zenith_angle_deg: -12.0,
            magnetic_latitude_deg: None,
            poleward_km_s: Some(1.13),
            after_magnetic_onset_s: Some(210.0),
        }]),
        drift: None,
        drift_across: None,
        pulsation: Some(ReadPulsation {
            blocks: 3,
            cells_judged: 240,
            patches: vec![patch(7.8), patch(12.61)],
            other: Vec::new(),
            spectra: Vec::new(),
            period_map: Vec::new(),
        }),
        limits: Vec::new(),
        magnetic: Some(magnetic()),
        space: None,
        account: Vec::new(),
        aurora: ReadAurora {
            looked_at: 412,
            yes: 388,
            no: 12,
            cannot_tell: 12,
            brightest: None,
            lines: Some(ReadLineShares {
                frames: 371,
                blue_4278: share(0.05, 0.01, 0.11),
                green_5577: share(0.82, 0.68, 0.91),
                red_6300: share(0.13, 0.06, 0.24),
                reddest: Some(ReadReddest { at: at("2026-03-14T22:51:00Z"), red_6300: share(0.42, 0.27, 0.58) }),
            }),
        },
        calibration: None,
        forms: vec![
            form(Some(FormName::Arc), "2026-03-14T21:31:00Z", "2026-03-14T22:40:00Z", 180, 0.83),
            form(None, "2026-03-14T22:40:06Z", "2026-03-14T22:47:00Z", 60, 0.0),
            form(Some(FormName::Corona), "2026-03-14T22:49:00Z", "2026-03-14T22:49:00Z", 1, 0.61),
        ],
    }
}

/// A bay and its onset beside the frames.
fn magnetic() -> ReadMagnetic {
    let at = |text: &str| text.parse().unwrap();
    ReadMagnetic {
        station: "TST".to_owned(),
        element: "X".to_owned(),
        quiet_nt: 11_000.0,
        quiet_basis: "the median of a day or more".to_owned(),
        least_depth_nt: 500.0,
        bays: vec![ReadBay { from: at("2026-03-14T22:44:00Z"), to: at("2026-03-14T23:40:00Z"), depth_nt: 643.0 }],
        bays_elsewhere: 0,
        onsets: vec![ReadOnset { at: at("2026-03-14T22:44:00Z"), likely: true, depth_nt: 643.0 }],
        onsets_elsewhere: 0,
        coverage: 1.0,
        frames_covered: Some(1.0),
        spikes: 0,
        steps: 0,
        untried_minutes: Some(0),
        rejected_rows: 0,
        trace: Vec::new(),
    }
}

fn share(value: f64, low: f64, high: f64) -> Estimate {
    Estimate { value, low, high, basis: Basis::Model }
}

pub(crate) fn form(name: Option<FormName>, from: &str, to: &str, frames: u32, confidence: f64) -> ReadForm {
    ReadForm {
        from: Some(from.parse().unwrap()),
        to: Some(to.parse().unwrap()),
        frames,
        looked_at: frames,
        middle: None,
        name,
        code: None,
        confidence,
        reasons: vec!["12 times longer than wide".to_owned()],
        shape: None,
        place: None,
    }
}

fn whole() -> AccountRequest {
    let outlook = foretold(true);
    AccountRequest {
        night: outlook.request.night,
        place: Some("the north coast".to_owned()),
        time_zone: "Europe/Oslo".to_owned(),
        invented: false,
        met: Some(AccountMet {
            said_at: "2026-03-15T09:00:00Z".parse().unwrap(),
            eye: Some(SeenOutcome::Yes),
            camera: Some(SeenOutcome::Yes),
            kr: Some(Estimate { value: 23.7, low: 14.1, high: 38.2, basis: Basis::Measured }),
            kr_source: Some("IMG_0101.JPG".to_owned()),
        }),
        reading: Some(reading()),
        minutes_of_air: None,
        card_order: Vec::new(),
        outlook: Some(outlook),
    }
}

/// Every number of a JSON value.
fn numbers(value: &Value, found: &mut Vec<f64>) {
    match value {
        Value::Number(number) => found.extend(number.as_f64()),
        Value::Array(list) => list.iter().for_each(|item| numbers(item, found)),
        Value::Object(fields) => fields.values().for_each(|item| numbers(item, found)),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

fn sentence<'a>(report: &'a AccountReport, id: &str) -> Option<&'a str> {
    report.sentences.iter().find(|sentence| sentence.id == id).map(|sentence| sentence.text.as_str())
}

#[test]
fn every_number_told_is_in_the_record_and_has_its_source() {
    let request = whole();
    let report = account(&request).unwrap();
    let record = serde_json::to_value(&request).unwrap();
    let mut known = Vec::new();
    numbers(&record, &mut known);
    // what is counted, not written: two patches
    known.push(2.0);
    let texts = record.to_string();
    for sentence in &report.sentences {
        let mut rest = sentence.text.clone();
        for number in &sentence.numbers {
            assert!(!number.source.is_empty(), "{number:?}");
            for value in number.value.into_iter().chain(number.range.into_iter().flatten()) {
                assert!(known.contains(&value), "{value} of {sentence:?}");
            }
            if let Some(at) = number.at {
                assert!(texts.contains(&at.to_string()), "{at} of {sentence:?}");
            }
            let place = rest.find(&number.words).unwrap_or_else(|| unreachable!("{number:?} in {rest}"));
            rest.replace_range(place..place + number.words.len(), "");
        }
        assert!(!rest.contains(|letter: char| letter.is_ascii_digit()), "a number without a source: {sentence:?}");
    }
    assert_eq!(sentence(&report, "wind").unwrap().matches("southward").count(), 1);
    assert!(sentence(&report, "pulsation").unwrap().contains("2 in all, with periods of 7.8 to 13 seconds"));
    // 22:47:30 UTC on 14 March is 23:47 in Oslo
    assert!(sentence(&report, "brightening_1").unwrap().starts_with("At 23:47 it flared to 3.4 times"));
    assert!(sentence(&report, "brightening_1").unwrap().contains("3.5 minutes after the field's snap"));
    assert!(sentence(&report, "form_1").unwrap().starts_with("From 22:31 to 23:40 it was an arc, by 180 frames"));
    assert!(sentence(&report, "form_2").unwrap().starts_with("At 23:49 it was a corona"));
    assert_eq!(sentence(&report, "form_3"), None, "what has no name is not told");
    assert!(sentence(&report, "colours").unwrap().contains("82 (likely 68 to 91) were oxygen's green"));
    assert!(sentence(&report, "colours_why").unwrap().starts_with("It was green because"));
    assert!(sentence(&report, "reddest").unwrap().contains("23:51"));
    assert!(sentence(&report, "brightness").unwrap().contains("24 (likely 14 to 38) kilorayleighs"));
}

#[test]
fn the_field_is_told_beside_the_frames_alone_and_who_came_first() {
    let mut request = whole();
    let reading = request.reading.as_mut().unwrap();
    let magnetic = reading.magnetic.as_mut().unwrap();
    let at = |text: &str| text.parse().unwrap();
    // a deeper bay and an earlier onset eight hours before the first frame
    magnetic
        .bays
        .insert(0, ReadBay { from: at("2026-03-14T13:00:00Z"), to: at("2026-03-14T13:40:00Z"), depth_nt: 1210.0 });
    magnetic.onsets.insert(0, ReadOnset { at: at("2026-03-14T12:58:00Z"), likely: true, depth_nt: 1210.0 });
    magnetic.frames_covered = Some(0.4);
    reading.brightenings.as_mut().unwrap()[0].after_magnetic_onset_s = Some(-180.0);
    let report = account(&request).unwrap();
    assert!(sentence(&report, "bay").unwrap().contains("640 nanotesla between 23:44 and 00:40"), "{report:?}");
    assert!(sentence(&report, "onset").unwrap().contains("came at 23:44"), "{report:?}");
    assert!(sentence(&report, "brightening_1").unwrap().contains("3.0 minutes before the field's snap"), "{report:?}");
    let silent = report.not_known.iter().filter(|line| line.contains("covers 40 % of the frames' time")).count();
    assert_eq!(silent, 1, "{:?}", report.not_known);
}

#[test]
fn where_the_record_is_silent_so_is_the_account() {
    let silent = AccountRequest { outlook: Some(foretold(false)), reading: None, met: None, ..whole() };
    let report = account(&silent).unwrap();
    for gone in [
        "wind",
        "seen",
        "recorded",
        "brightness",
        "frames",
        "aurora",
        "form_1",
        "brightening_1",
        "drift",
        "pulsation",
        "bay",
        "onset",
        "colours",
        "colours_why",
        "reddest",
    ] {
        assert_eq!(sentence(&report, gone), None, "{gone}");
    }
    let not_known = report.not_known.join("\n");
    for subject in ["solar wind", "What was seen", "pulsated", "colours"] {
        assert!(not_known.contains(subject), "{subject}: {not_known}");
    }
    // explanations come with what they explain, and never alone
    let told: String = report.sentences.iter().map(|sentence| sentence.text.as_str()).collect();
    assert!(!told.contains("electrons") && !told.contains("southward") && !told.contains("oxygen"), "{told}");
    let nothing = account(&AccountRequest { outlook: None, ..silent }).unwrap();
    assert_eq!(nothing.sentences.len(), 1);
    assert!(nothing.not_known.len() >= 4);
    // hidden by cloud is no "no"
    let cloud = AccountMet { eye: Some(SeenOutcome::Cloud), camera: None, kr: None, ..whole().met.unwrap() };
    let report = account(&AccountRequest { met: Some(cloud), ..whole() }).unwrap();
    assert!(sentence(&report, "seen").unwrap().contains("nobody can tell"));
}

#[test]
fn no_place_finer_than_the_owners_words_is_told() {
    let request = whole();
    let site = &request.outlook.as_ref().unwrap().request.site;
    for place in [None, Some("the north coast".to_owned())] {
        let told = serde_json::to_string(&account(&AccountRequest { place, ..request.clone() }).unwrap()).unwrap();
        assert!(!told.contains(PLACE), "{told}");
        let position = site.position;
        for degrees in [position.latitude_deg(), position.longitude_deg()] {
            assert!(!told.contains(&format!("{degrees}")), "{degrees}: {told}");
        }
    }
}

#[test]
fn the_running_order_fits_the_time_on_air_and_keeps_what_was_seen_longest() {
    /// Sums of a dozen lengths.
    const EXACT: f64 = 1e-6;
    for minutes in [0.25, 0.5, 1.0, 2.0, 5.0] {
        let report = account(&AccountRequest { minutes_of_air: Some(minutes), ..whole() }).unwrap();
        assert!((report.length_s - 60.0 * minutes).abs() < EXACT, "{minutes} min: {}", report.length_s);
        let mut start_s = 0.0;
        for card in &report.cards {
            assert!((card.start_s - start_s).abs() < EXACT && card.length_s > 0.0, "{card:?}");
            start_s += card.length_s;
        }
        let on_air: Vec<&String> = report.cards.iter().flat_map(|card| &card.sentences).collect();
        assert_eq!(on_air.len() + report.left_out.len(), report.sentences.len(), "{minutes} min");
        assert!(
            on_air.iter().any(|id| *id == "night") && on_air.iter().any(|id| *id == "seen"),
            "{minutes}: {on_air:?}"
        );
    }
    assert!(account(&AccountRequest { minutes_of_air: Some(0.0), ..whole() }).is_err());
    assert!(account(&AccountRequest { time_zone: "Nowhere/None".to_owned(), ..whole() }).is_err());
    assert!(account(&whole()).unwrap().left_out.is_empty());
}

/// Cards change places, and the times follow; what a card holds and how long it lasts does not.
#[test]
fn the_running_order_follows_the_order_asked_for() {
    let usual = account(&whole()).unwrap();
    let ids = |report: &AccountReport| report.cards.iter().map(|card| card.id.clone()).collect::<Vec<_>>();
    assert_eq!(ids(&usual), ["where", "cause", "foretold", "seen", "course", "colours"]);
    let asked = AccountRequest { card_order: vec!["seen".to_owned(), "where".to_owned()], ..whole() };
    let report = account(&asked).unwrap();
    assert_eq!(ids(&report), ["seen", "where", "cause", "foretold", "course", "colours"]);
    let mut start_s = 0.0;
    for card in &report.cards {
        assert!((card.start_s - start_s).abs() < 1e-9, "{card:?}");
        let before = usual.cards.iter().find(|other| other.id == card.id).unwrap();
        assert_eq!((&before.sentences, before.length_s), (&card.sentences, card.length_s));
        start_s += card.length_s;
    }
    assert!((report.length_s - usual.length_s).abs() < 1e-9);
    for wrong in [vec!["weather".to_owned()], vec!["seen".to_owned(), "seen".to_owned()]] {
        assert_eq!(account(&AccountRequest { card_order: wrong, ..whole() }).unwrap_err().field(), Some("card_order"));
    }
}

/// A reason for green or red stands only where the ranges leave no doubt which was the stronger.
#[test]
fn why_it_was_green_or_red_is_told_only_where_the_frames_can_tell() {
    let of = |green: Estimate, red: Estimate| {
        let mut request = whole();
        let aurora = &mut request.reading.as_mut().unwrap().aurora;
        let lines = ReadLineShares {
            frames: 9,
            blue_4278: share(0.02, 0.0, 0.1),
            green_5577: green,
            red_6300: red,
            reddest: None,
        };
        aurora.lines = Some(lines);
        account(&request).unwrap()
    };
    let red = of(share(0.2, 0.1, 0.3), share(0.78, 0.6, 0.9));
    let why = sentence(&red, "colours_why").unwrap();
    assert!(why.starts_with("It was red because") && why.contains("high up"), "{why}");
    assert_eq!(sentence(&red, "reddest"), None);
    let open = of(share(0.5, 0.3, 0.7), share(0.48, 0.28, 0.68));
    assert_eq!(sentence(&open, "colours_why"), None);
    assert!(sentence(&open, "colours").is_some());
    assert!(open.not_known.iter().any(|line| line.contains("green or red")), "{:?}", open.not_known);
}
