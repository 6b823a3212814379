//! Keogram and map for air: nothing on them tells the place more exactly than its owner wishes.

use job::{
    FormName, PlacePrecision, ReadBin, ReadBorder, ReadCalibration, ReadColumn, ReadKeogram, ReadReport,
    TellSheetRequest, outlook_map, reading_keogram, reading_map,
};
use quantity::{Basis, GeoPosition, Horizontal};

use crate::account::{foretold, form, reading};

/// An invented place whose degrees are easy to look for.
const PLACE: [f64; 2] = [69.3117, 16.0243];

/// How far kilorayleighs of the invented night may be off.
const SCALE_FACTOR: f64 = 1.6;

/// Three moments along a line to the north: the second is the brightest, the third has a form.
fn night() -> ReadReport {
    let bins: Vec<ReadBin> = (-15_i32..=15)
        .map(|place| ReadBin {
            zenith_angle_deg: f64::from(5 * place),
            alt_deg: 90.0 - f64::from((5 * place).abs()),
            latitude_deg: Some(PLACE[0]),
            longitude_deg: Some(PLACE[1]),
            magnetic_latitude_deg: Some(66.4),
        })
        .collect();
    // light of 45 degrees on the side of the line's azimuth over a dim sky
    let column = |at: &str, peak: f32| ReadColumn {
        at: at.parse().unwrap(),
        frames: 1,
        values: bins
            .iter()
            .map(|bin| Some(if (bin.zenith_angle_deg - 45.0).abs() < 1.0 { peak } else { 0.3 }))
            .collect(),
    };
    let mut report = reading();
    report.request.position = Some(GeoPosition::new(PLACE[0], PLACE[1], 12.0).unwrap());
    report.forms = vec![form(Some(FormName::Arc), "2026-03-14T21:34:00Z", "2026-03-14T21:36:00Z", 2, 0.8)];
    report.calibration = Some(ReadCalibration {
        frame: "f1.jpg".to_owned(),
        by_stars: false,
        is_estimate: true,
        scale_factor: Some(SCALE_FACTOR),
        notes: Vec::new(),
    });
    let columns = vec![
        column("2026-03-14T21:31:00Z", 2.0),
        column("2026-03-14T21:33:00Z", 40.0),
        column("2026-03-14T21:35:00Z", 9.0),
    ];
    report.keogram = Some(ReadKeogram {
        azimuth_deg: 0.0,
        column_s: 120.0,
        is_kilorayleighs: true,
        borders: vec![ReadBorder {
            at: columns[2].at,
            zenith_angle_deg: [40.0, 50.0],
            magnetic_latitude_deg: [None; 2],
            open: [false, true],
        }],
        bins,
        columns,
    });
    report
}

fn coarse(place_precision: PlacePrecision) -> TellSheetRequest {
    TellSheetRequest { place_precision, time_zone: Some("Europe/Oslo".to_owned()), ..TellSheetRequest::default() }
}

#[test]
fn a_map_stands_on_the_rounded_place_and_takes_the_moment_of_a_form() {
    /// At 110 km and 45 degrees a flat Earth has 110 km; its curve and 45 degrees of refraction leave a little less.
    const AWAY_KM: [f64; 2] = [102.0, 110.0];
    let map = reading_map(&night(), &coarse(PlacePrecision::Degree)).unwrap();
    assert!((map.camera.latitude_deg() - 69.0).abs() < 1e-9 && (map.camera.longitude_deg() - 16.0).abs() < 1e-9);
    assert!((map.rounded_km - 55.6).abs() < 0.1);
    assert!(!format!("{map:?}").contains("69.31") && !format!("{map:?}").contains("16.02"), "{map:?}");
    // a lamp at 21:33 is brighter than the arc at 21:35
    assert_eq!(map.caption[0], "2026-03-14 22:35 CET");
    let brightest = &map.sightlines[0];
    assert_eq!((brightest.name.as_str(), brightest.kr.map(|kr| kr.value)), ("brightest", Some(9.0)));
    // how far the scale may be off stands beside it
    let kr = brightest.kr.unwrap();
    assert!((kr.high / 9.0 - SCALE_FACTOR).abs() < 1e-9 && (9.0 / kr.low - SCALE_FACTOR).abs() < 1e-9, "{kr:?}");
    assert_eq!(kr.basis, Basis::Model, "by settings it is an estimate");
    let away = &brightest.distance_km;
    assert!(
        (AWAY_KM[0]..AWAY_KM[1]).contains(&away.value) && away.low < away.value && away.value < away.high,
        "{away:?}"
    );
    let under = brightest.ground[1];
    assert!((under.latitude_deg() - 69.0 - away.value / 111.3).abs() < 0.02, "{under:?}");
    // of two edges one lies beyond what the line shows
    assert_eq!(map.sightlines.iter().filter(|line| line.name == "edge").count(), 1);
    let asked = TellSheetRequest { at: Some("2026-03-14T21:32:50Z".parse().unwrap()), ..coarse(PlacePrecision::Tenth) };
    let lamp = reading_map(&night(), &asked).unwrap();
    assert!((lamp.camera.latitude_deg() - 69.3).abs() < 1e-9);
    assert_eq!(lamp.sightlines[0].kr.map(|kr| kr.value), Some(40.0));
}

/// The lamp's 40 kR are not the aurora's: what is scored is the light when the aurora was brightest.
#[test]
fn the_brightness_to_be_scored_is_that_of_the_aurora_with_its_scale() {
    let mut report = night();
    report.aurora.brightest = None;
    assert_eq!(report.brightest_kr(), Err("no frame of it shows aurora for sure"));
    report.aurora.brightest = Some("2026-03-14T21:34:30Z".parse().unwrap());
    let (_, kr) = report.brightest_kr().unwrap();
    assert!((kr.value - 9.0).abs() < 1e-6 && (kr.high / 9.0 - SCALE_FACTOR).abs() < 1e-6, "{kr:?}");
    assert_eq!(kr.basis, Basis::Model, "by settings it is an estimate");
    report.calibration = None;
    assert!(report.brightest_kr().is_err());
}

#[test]
fn what_cannot_be_drawn_is_said_with_its_remedy() {
    let field = |error: job::JobError| error.field().map(str::to_owned);
    let hidden = reading_map(&night(), &coarse(PlacePrecision::Hidden)).unwrap_err();
    assert_eq!(field(hidden), Some("place_precision".to_owned()));
    let degree = coarse(PlacePrecision::Degree);
    assert_eq!(field(reading_map(&reading(), &degree).unwrap_err()), Some("reading".to_owned()));
    assert_eq!(field(reading_keogram(&reading(), &degree).unwrap_err()), Some("reading".to_owned()));
    let late = TellSheetRequest { at: Some("2026-03-15T03:00:00Z".parse().unwrap()), ..degree };
    assert_eq!(field(reading_map(&night(), &late).unwrap_err()), Some("at".to_owned()));
}

#[test]
fn a_keogram_for_air_holds_no_latitude_and_an_outlook_gives_a_map_too() {
    let told = reading_keogram(&night(), &coarse(PlacePrecision::Hidden)).unwrap();
    assert!(told.keogram.bins.iter().all(|bin| bin.latitude_deg.is_none() && bin.magnetic_latitude_deg.is_none()));
    assert_eq!(told.caption, ["2026-03-14 22:31 to 00:58 CET"]);
    // here it would stand overhead, at no distance at all
    let mut outlook = foretold(false);
    for patch in outlook.steps.iter_mut().filter_map(|step| step.brightest.as_mut()) {
        patch.direction = Horizontal::new(25.0, 0.0);
    }
    let map = outlook_map(&outlook, &coarse(PlacePrecision::Tenth)).unwrap();
    let line = &map.sightlines[0];
    assert_eq!((map.sightlines.len(), line.name.as_str()), (1, "expected"));
    assert!(line.kr.is_some_and(|kr| kr.low < kr.high) && line.distance_km.low < line.distance_km.high, "{line:?}");
    // 110 km over the tangent of 25 degrees is 236 km on a flat Earth
    assert!((200.0..236.0).contains(&line.distance_km.value), "{line:?}");
    assert!((map.camera.latitude_deg() - 69.3).abs() < 1e-9);
}
