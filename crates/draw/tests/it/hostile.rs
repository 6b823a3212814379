//! Reports that no sane job would make: a picture must come out all the same.

use draw::{BowlStyle, CompareStyle, Palette, StripStyle, compare_sites, night_strip, sky_bowl};
use quantity::{Basis, Estimate, Horizontal, Timestamp};

use crate::sample;

fn sound(picture: &str) {
    roxmltree::Document::parse(picture).unwrap();
    assert!(!picture.contains("NaN") && !picture.contains("\"inf"), "{picture}");
}

#[test]
fn a_script_in_a_name_stays_text() {
    let name = "<script>alert(1)</script>\" onload=\"x\u{0}&amp;";
    let mut outlook = sample::normal().outlook();
    name.clone_into(&mut outlook.request.site.name);
    name.clone_into(&mut outlook.strip_text);
    let mut row = sample::normal().row(name);
    name.clone_into(&mut row.site.name);
    let mut skymap = sample::normal().skymap(10.0, 5.0);
    name.clone_into(&mut skymap.request.site.name);
    name.clone_into(&mut skymap.text);
    for picture in [
        night_strip(&outlook, &StripStyle::desk(Palette::Day)),
        sky_bowl(&skymap, &BowlStyle::new(600.0, Palette::Day)),
        compare_sites(&[row], &CompareStyle { width_px: 600.0, palette: Palette::Day }),
    ] {
        sound(&picture);
        assert!(!picture.contains("<script") && !picture.contains("onload=\""));
    }
}

#[test]
fn numbers_that_are_none_leave_gaps_and_no_panic() {
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e300];
    let mut outlook = sample::normal().outlook();
    for (index, step) in outlook.steps.iter_mut().enumerate() {
        let value = bad[index % bad.len()];
        step.sun_altitude_deg = value;
        step.moon_altitude_deg = value;
        step.moon_lit_fraction = value;
        if let Some(patch) = &mut step.brightest {
            patch.brightest_arc_kr = Estimate { value, low: value, high: value, basis: Basis::Model };
        }
    }
    sound(&night_strip(&outlook, &StripStyle::desk(Palette::Day)));
    let mut skymap = sample::normal().skymap(10.0, 3.0);
    for (index, kr) in skymap.green_5577_kr.iter_mut().enumerate() {
        *kr = bad[index % bad.len()];
    }
    let nowhere = Horizontal { altitude_deg: f64::NAN, azimuth_deg: f64::INFINITY };
    skymap.brightest = nowhere;
    skymap.magnetic_zenith = nowhere;
    skymap.moon = Some(nowhere);
    skymap.sun = nowhere;
    skymap.moon_lit_fraction = f64::NAN;
    skymap.brightest_arc_kr = Estimate { value: f64::NAN, low: -1.0, high: f64::INFINITY, basis: Basis::Model };
    sound(&sky_bowl(
        &skymap,
        &BowlStyle { size_px: f64::NAN, palette: Palette::Day, frame_outline: Some(&[nowhere; 4]) },
    ));
}

#[test]
fn empty_and_torn_reports_give_a_picture() {
    let mut outlook = sample::normal().outlook();
    outlook.steps.clear();
    sound(&night_strip(&outlook, &StripStyle::phone(Palette::Day)));
    outlook.night.to = outlook.night.from;
    outlook.night.sunset = None;
    sound(&night_strip(
        &outlook,
        &StripStyle { width_px: -5.0, height_px: f64::INFINITY, ..StripStyle::phone(Palette::Day) },
    ));
    sound(&compare_sites(&[], &CompareStyle { width_px: f64::NAN, palette: Palette::Print }));
    for keep in [0, 1, 7, 200] {
        let mut skymap = sample::normal().skymap(10.0, 5.0);
        skymap.green_5577_kr.truncate(keep);
        sound(&sky_bowl(&skymap, &BowlStyle::new(390.0, Palette::Day)));
        skymap.altitudes_deg.truncate(keep);
        sound(&sky_bowl(&skymap, &BowlStyle::new(390.0, Palette::Day)));
        skymap.azimuths_deg.truncate(keep);
        sound(&sky_bowl(&skymap, &BowlStyle::new(390.0, Palette::Day)));
    }
}

#[test]
fn the_ends_of_the_calendar_do_not_overflow() {
    for end in [Timestamp::MIN, Timestamp::MAX] {
        let mut outlook = sample::normal().outlook();
        outlook.night.sunset = Some(end);
        outlook.night.from = Timestamp::MIN;
        outlook.night.to = Timestamp::MAX;
        outlook.windows[0].from = end;
        sound(&night_strip(&outlook, &StripStyle { cursor: Some(end), ..StripStyle::desk(Palette::Day) }));
        let mut skymap = sample::normal().skymap(10.0, 5.0);
        skymap.request.at = end;
        sound(&sky_bowl(&skymap, &BowlStyle::new(390.0, Palette::Day)));
    }
}
