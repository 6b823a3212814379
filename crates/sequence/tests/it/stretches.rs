//! Looks put together to forms over stretches of time, on composed answers. Nothing here was observed.

use quantity::{Horizontal, Timestamp};
use sequence::{FormAnswer, FormFound, FormGeometry, FormName, FormStretch, FormTracks, RegionForm};

const NORTH: Horizontal = Horizontal { altitude_deg: 25.0, azimuth_deg: 352.0 };
const OVERHEAD: Horizontal = Horizontal { altitude_deg: 80.0, azimuth_deg: 180.0 };

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_800_000_000 + second).unwrap()
}

/// An arc or band of a width, strayed by a share of it.
fn long(name: FormName, width_km: f64, stray: f64, middle: Horizontal) -> RegionForm {
    let geometry = FormGeometry {
        length_km: 600.0,
        width_km,
        tilt_deg: 5.0,
        stray_km: stray * width_km,
        poleward_km: 180.0,
        altitude_deg: [18.0, 34.0],
        span_deg: 90.0,
    };
    told(name, 0.75, Some(geometry), middle)
}

fn told(name: FormName, confidence: f64, geometry: Option<FormGeometry>, middle: Horizontal) -> RegionForm {
    let reasons = vec!["measured".to_owned()];
    let form = FormFound { name, code: None, confidence, reasons, geometry, place: None };
    RegionForm { answer: FormAnswer::Told(Box::new(form)), middle: Some(middle), is_whole: false }
}

fn open() -> RegionForm {
    let answer = FormAnswer::CannotTell(vec!["pieces may be one form cut by cloud".to_owned()]);
    RegionForm { answer, middle: None, is_whole: true }
}

/// Looks ten seconds apart.
fn together(looks: impl IntoIterator<Item = Vec<RegionForm>>) -> Vec<FormStretch> {
    let mut tracks = FormTracks::default();
    for (second, forms) in (0..).step_by(10).zip(looks) {
        tracks.push(Some(at(second)), &forms);
    }
    tracks.finish()
}

#[test]
fn an_arc_that_some_frames_leave_open_is_one_arc_and_less_sure() {
    let arc = |stray| vec![long(FormName::Arc, 80.0, stray, NORTH)];
    let looks = [arc(0.1), vec![open()], arc(0.2), arc(0.1), vec![open()], arc(0.2), arc(0.1)];
    let [arc] = &together(looks)[..] else { panic!("one stretch") };
    assert_eq!((arc.name, arc.looks, arc.agreeing), (Some(FormName::Arc), 7, 5));
    assert_eq!(arc.span, Some([at(0), at(60)]));
    // five of seven: less than a look by itself, more than half of it
    assert!(arc.confidence < 0.75 && arc.confidence > 0.5, "{}", arc.confidence);
    assert!(arc.reasons[0].contains("5 say arc") && arc.reasons[0].contains("2 cannot tell"), "{:?}", arc.reasons);
    let geometry = arc.geometry.unwrap();
    assert!((geometry.width_km - 80.0).abs() < 1e-9 && (geometry.poleward_km - 180.0).abs() < 1e-9);
    assert!(arc.middle.unwrap().separation_deg(NORTH) < 0.01);
}

#[test]
fn what_most_frames_leave_open_stays_open_and_says_what_some_say() {
    let looks =
        (0..12).map(|look| if look % 4 == 0 { vec![long(FormName::Arc, 80.0, 0.1, NORTH)] } else { vec![open()] });
    let stretches = together(looks);
    assert!(stretches.iter().all(|stretch| stretch.name.is_none()), "{stretches:?}");
    assert!(stretches[0].reasons.iter().any(|reason| reason.contains("say arc")), "{stretches:?}");
}

/// Single frames call one form arc and band in turn: their median shape decides.
#[test]
fn the_median_shape_decides_between_arc_and_band() {
    let of = |strays: [f64; 6]| {
        let name = |stray| if stray <= 0.4 { FormName::Arc } else { FormName::ArcOrBand };
        let stretches = together(strays.map(|stray| vec![long(name(stray), 60.0, stray, NORTH)]));
        assert_eq!(stretches.len(), 1, "{stretches:?}");
        stretches[0].name
    };
    assert_eq!(of([0.3, 0.5, 0.35, 0.2, 0.45, 0.3]), Some(FormName::Arc));
    assert_eq!(of([0.6, 0.5, 0.35, 0.7, 0.45, 0.8]), Some(FormName::ArcOrBand));
}

#[test]
fn a_breakup_makes_a_new_stretch_and_one_odd_frame_does_not() {
    let arc = || vec![long(FormName::Arc, 80.0, 0.1, NORTH)];
    let rays = || vec![told(FormName::RayedBand, 0.8, None, NORTH)];
    let looks = [arc(), arc(), rays(), arc(), arc(), rays(), rays(), rays(), rays()];
    let stretches = together(looks);
    let names: Vec<_> = stretches.iter().map(|stretch| (stretch.name, stretch.looks)).collect();
    assert_eq!(names, [(Some(FormName::Arc), 5), (Some(FormName::RayedBand), 4)]);
    assert_eq!(stretches[1].span, Some([at(50), at(80)]));
    assert!(stretches[0].confidence < stretches[1].confidence);
}

#[test]
fn two_regions_are_told_beside_each_other() {
    let arc = || long(FormName::Arc, 80.0, 0.1, NORTH);
    let corona = || told(FormName::Corona, 0.85, None, OVERHEAD);
    let none =
        RegionForm { answer: FormAnswer::NoAurora("no aurora (chance 0.02)".to_owned()), middle: None, is_whole: true };
    let mut looks = vec![vec![arc()], vec![arc(), corona()], vec![corona(), arc()], vec![arc(), corona()], vec![arc()]];
    looks.extend((0..4).map(|_| vec![none.clone()]));
    looks.push(vec![arc()]);
    let stretches = together(looks);
    let told: Vec<_> = stretches.iter().map(|stretch| (stretch.name.unwrap(), stretch.span.unwrap())).collect();
    let expected = [
        (FormName::Arc, [at(0), at(40)]),
        (FormName::Corona, [at(10), at(30)]),
        // four looks without aurora end what was before
        (FormName::Arc, [at(90), at(90)]),
    ];
    assert_eq!(told, expected);
}

/// Looks of all sorts in a long night: what is held must not grow with them.
#[test]
fn a_long_night_of_one_arc_is_one_stretch_with_medians_of_few() {
    let mut tracks = FormTracks::default();
    for second in 0..20_000 {
        let width = 60.0 + 20.0 * f64::from(u32::try_from(second % 3).unwrap());
        tracks.push(Some(at(second)), &[long(FormName::Arc, width, 0.1, NORTH)]);
    }
    let stretches = tracks.finish();
    assert_eq!((stretches.len(), stretches[0].looks, stretches[0].agreeing), (1, 20_000, 20_000));
    assert!((stretches[0].geometry.unwrap().width_km - 80.0).abs() < 1e-9);
}
