//! Keograms of drawn light.

use proptest::prelude::*;
use quantity::GeoPosition;
use sequence::{
    BrighteningKind, Keogram, LightUnit, LitRule, Onset, OnsetStanding, SequenceError, SliceLine, SliceSampler,
    SliceSettings, borders, brightenings,
};

use crate::drawn::{Fisheye, after, bell, evening, skerrow_bay};
use crate::spectra::gaussian;

pub(crate) fn meridian() -> SliceLine {
    SliceLine::magnetic_meridian(skerrow_bay(), evening(), SliceSettings::default()).unwrap()
}

/// Magnetic latitudes of the bins.
fn latitudes(line: &SliceLine) -> Vec<f64> {
    line.bins.iter().map(|bin| bin.place.unwrap().magnetic_latitude_deg.unwrap()).collect()
}

/// A keogram whose light is a function of minutes and magnetic latitude, in kR, a column every `step_s`.
fn drawn(step_s: f64, minutes: f64, unit: LightUnit, light: impl Fn(f64, f64) -> f64) -> Keogram {
    let line = meridian();
    let latitudes = latitudes(&line);
    let mut keogram = Keogram::new(line, unit, step_s, 2000).unwrap();
    let mut state = 5;
    let mut at_s = 0.0;
    while at_s < minutes * 60.0 {
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let slice: Vec<f32> = latitudes
            .iter()
            .map(|latitude| (light(at_s / 60.0, *latitude) * (1.0 + 0.01 * gaussian(&mut state))) as f32)
            .collect();
        keogram.push(after(at_s), &slice).unwrap();
        at_s += step_s;
    }
    keogram
}

#[test]
fn the_meridian_lies_where_geometry_puts_it() {
    let line = meridian();
    let latitudes = latitudes(&line);
    assert!(latitudes.windows(2).all(|pair| pair[1] > pair[0]), "poleward is positive");
    // a place near 69.2 N 15.1 E has a magnetic latitude of some 66.5 degrees
    assert!((latitudes[latitudes.len() / 2] - 66.8).abs() < 0.6, "{}", latitudes[latitudes.len() / 2]);
    // light at 110 km stands 10 degrees high at 502 km on the ground (spherical earth), 511 km in its own layer; the air lifts it
    // by a tenth of a degree, which is 5 km
    let end = line.bins.last().unwrap();
    assert!((end.direction.altitude_deg - 10.0).abs() < 1e-9);
    assert!((end.place.unwrap().along_km - 511.0).abs() < 8.0, "{}", end.place.unwrap().along_km);
    // and 20 degrees high at 280 km, 285 in the layer
    let twenty = line.bins.iter().find(|bin| (bin.zenith_angle_deg + 70.0).abs() < 1e-9).unwrap();
    assert!((twenty.place.unwrap().along_km + 285.0).abs() < 5.0, "{}", twenty.place.unwrap().along_km);
    let east = SliceLine::magnetic_east_west(skerrow_bay(), evening(), SliceSettings::default()).unwrap();
    assert!((east.azimuth_deg - line.azimuth_deg - 90.0).abs() < 1e-9);
}

#[test]
fn in_the_south_poleward_is_south() {
    let place = GeoPosition::new(-52.0, 170.0, 0.0).unwrap();
    let line = SliceLine::magnetic_meridian(place, evening(), SliceSettings::default()).unwrap();
    assert!((120.0..260.0).contains(&line.azimuth_deg), "{}", line.azimuth_deg);
    let latitudes = latitudes(&line);
    assert!(latitudes.windows(2).all(|pair| pair[1].abs() > pair[0].abs()) && latitudes[0] < 0.0);
    let east = SliceLine::magnetic_east_west(place, evening(), SliceSettings::default()).unwrap();
    assert!((30.0..170.0).contains(&east.azimuth_deg), "{}", east.azimuth_deg);
}

#[test]
fn a_slice_sees_the_sky_and_not_the_stars() {
    let eye = Fisheye { size: 401 };
    let line = meridian();
    let mut picture = eye.picture(|direction| 2.0 + direction.altitude_deg / 90.0);
    // drawn stars: every 97th pixel a hundred times as bright
    picture.iter_mut().step_by(97).for_each(|pixel| *pixel *= 100.0);
    let sampler = SliceSampler::new(&line, &eye, &eye.grid(&picture)).unwrap();
    let slice = sampler.sample(&eye.grid(&picture)).unwrap();
    for (bin, value) in line.bins.iter().zip(&slice) {
        let expected = 2.0 + (90.0 - bin.zenith_angle_deg.abs()) / 90.0;
        assert!((f64::from(*value) - expected).abs() < 0.02, "{}: {value} {expected}", bin.zenith_angle_deg);
    }
    let other = Fisheye { size: 101 };
    let small = other.picture(|_| 1.0);
    assert!(matches!(sampler.sample(&other.grid(&small)), Err(SequenceError::UnequalLengths { .. })));
}

#[test]
fn borders_are_those_of_the_drawn_band() {
    let keogram =
        drawn(
            60.0,
            20.0,
            LightUnit::Kilorayleighs,
            |_, latitude| {
                if (65.2..68.1).contains(&latitude) { 20.0 } else { 0.2 }
            },
        );
    let found = borders(&keogram, LitRule::for_unit(keogram.unit()));
    assert_eq!(found.len(), keogram.len());
    for borders in found {
        let [near, far] = [borders.near, borders.far].map(|border| border.magnetic_latitude_deg.unwrap());
        // bins near the zenith are 2 km apart, those at 35 degrees of altitude six
        assert!((near - 65.2).abs() < 0.1 && (far - 68.1).abs() < 0.1, "{near} {far}");
        assert!(!borders.near.open && !borders.far.open);
    }
    let all = drawn(60.0, 5.0, LightUnit::Kilorayleighs, |_, _| 5.0);
    assert!(borders_open(&all));
    let dark = drawn(60.0, 5.0, LightUnit::Kilorayleighs, |_, _| 0.3);
    assert!(borders(&dark, LitRule::for_unit(dark.unit())).is_empty());
}

fn borders_open(keogram: &Keogram) -> bool {
    borders(keogram, LitRule::Above(1.0)).iter().all(|borders| borders.near.open && borders.far.open)
}

/// An arc at 66 degrees that breaks up at minute 60, three degrees poleward in five minutes, and lasts a while.
fn breakup(minutes: f64, latitude: f64, lasting: f64) -> f64 {
    let since = minutes - 60.0;
    let up = if since < 0.0 {
        0.0
    } else {
        (1.0 - (-since / 1.5).exp()) * if since > lasting { (-(since - lasting) / 1.5).exp() } else { 1.0 }
    };
    let edge = 66.3 + 3.0 * (since / 5.0).clamp(0.0, 1.0);
    let inside = if (65.7..edge).contains(&latitude) { 1.0 } else { 0.0 };
    0.3 + 4.0 * bell(latitude - 66.0, 0.3) + 60.0 * up * inside
}

#[test]
fn a_breakup_is_a_candidate_once() {
    for unit in [LightUnit::Kilorayleighs, LightUnit::FileNumbers] {
        let keogram = drawn(20.0, 120.0, unit, |minutes, latitude| breakup(minutes, latitude, 35.0));
        let found = brightenings(&keogram, LitRule::for_unit(unit)).unwrap();
        let candidates: Vec<_> =
            found.iter().filter(|found| found.kind == BrighteningKind::SubstormCandidate).collect();
        assert_eq!(candidates.len(), 1, "{found:?}");
        let candidate = candidates[0];
        assert!((candidate.at_s / 60.0 - 60.5).abs() < 1.0, "{}", candidate.at_s / 60.0);
        assert!(candidate.poleward_deg.is_some_and(|deg| (2.3..3.3).contains(&deg)), "{candidate:?}");
        // three degrees in five minutes at 110 km: 339 km in 300 s
        assert!(candidate.poleward_km_s.is_some_and(|speed| (0.6..1.4).contains(&speed)), "{candidate:?}");
        assert_eq!(candidate.lasted, Some(true));
        assert!(found.len() <= 2);
    }
}

#[test]
fn a_candidate_meets_its_magnetic_onset() {
    let keogram = drawn(20.0, 90.0, LightUnit::Kilorayleighs, |minutes, latitude| breakup(minutes, latitude, 35.0));
    let found = brightenings(&keogram, LitRule::Above(1.0)).unwrap();
    let onset = |minutes: f64| Onset {
        at: after(minutes * 60.0),
        standing: OnsetStanding::Likely,
        mean_fall_nt: 200.0,
        depth_nt: 300.0,
        deepest_at: after(minutes * 60.0 + 900.0),
        half_recovered_minutes: None,
        mlt_h: None,
    };
    let onsets = [onset(20.0), onset(63.0), onset(58.0)];
    let met = found[0].magnetic_onset(keogram.first().unwrap(), &onsets);
    assert_eq!(met.unwrap().at, after(58.0 * 60.0));
    assert!(found[0].magnetic_onset(keogram.first().unwrap(), &[onset(20.0), onset(100.0)]).is_none());
}

#[test]
fn a_short_one_is_a_pseudobreakup_and_the_rest_is_no_candidate() {
    let short = drawn(20.0, 120.0, LightUnit::Kilorayleighs, |minutes, latitude| breakup(minutes, latitude, 6.0));
    let found = brightenings(&short, LitRule::Above(1.0)).unwrap();
    assert!(found.iter().any(|found| found.kind == BrighteningKind::Pseudobreakup), "{found:?}");
    assert!(found.iter().all(|found| found.kind != BrighteningKind::SubstormCandidate), "{found:?}");
    let quiet = |latitude: f64| 0.3 + 4.0 * bell(latitude - 66.0, 0.3);
    // twilight, tenfold in an hour; a change of exposure by a stop; clouds that dim all of it by degrees
    let twilight =
        drawn(20.0, 60.0, LightUnit::ShareOfFullScale, |minutes, latitude| quiet(latitude) * (minutes / 26.0).exp());
    let stop = drawn(20.0, 60.0, LightUnit::ShareOfFullScale, |minutes, latitude| {
        quiet(latitude) * if minutes > 30.0 { 2.0 } else { 1.0 }
    });
    let drifting = drawn(20.0, 60.0, LightUnit::Kilorayleighs, |minutes, latitude| {
        0.3 + 4.0 * bell(latitude - 67.0 + minutes / 60.0, 0.3)
    });
    for (name, keogram) in [("twilight", twilight), ("stop", stop), ("drifting", drifting)] {
        let rule = LitRule::for_unit(keogram.unit());
        let found = brightenings(&keogram, rule).unwrap();
        assert!(found.iter().all(|found| found.kind == BrighteningKind::Brightening), "{name}: {found:?}");
    }
    assert!(brightenings(&drawn(300.0, 60.0, LightUnit::Kilorayleighs, |_, _| 1.0), LitRule::Above(1.0)).is_none());
}

#[test]
fn light_at_a_latitude_and_in_all_is_what_was_drawn() {
    let keogram = drawn(30.0, 10.0, LightUnit::Kilorayleighs, |minutes, _| 2.0 + minutes);
    let at = keogram.at_magnetic_latitude(67.4).unwrap();
    assert!((at[10] - 7.0).abs() < 0.3, "{}", at[10]);
    assert_eq!(keogram.at_magnetic_latitude(20.0), None);
    let total = keogram.total_light();
    assert!((total[10] / (7.0 * 161.0) - 1.0).abs() < 0.01, "{}", total[10]);
}

#[test]
fn a_night_of_frames_takes_no_more_room_than_an_hour() {
    let line = meridian();
    let bins = line.bins.len();
    let mut keogram = Keogram::new(line, LightUnit::FileNumbers, 0.04, 256).unwrap();
    for frame in 0..50_000_u32 {
        #[expect(clippy::cast_precision_loss, reason = "a drawing")]
        keogram.push(after(f64::from(frame) * 0.04), &vec![(frame % 7) as f32; bins]).unwrap();
        assert!(keogram.len() <= 256);
    }
    let frames: u32 = (0..keogram.len()).map(|column| keogram.column(column).unwrap().frames).sum();
    assert_eq!(frames, 50_000);
    assert!((f64::from(keogram.value(100, 3)) - 3.0).abs() < 0.05);
    assert!(keogram.column_s() > 7.0 && keogram.len() > 128);
    // the first frame is the middle of the first 0.04 s
    assert!((keogram.middle_s(100) - 100.5 * keogram.column_s() + 0.02).abs() < 1e-9);
}

#[test]
fn wrong_frames_and_settings_are_refused_with_a_remedy() {
    let mut keogram = Keogram::new(meridian(), LightUnit::Kilorayleighs, 6.0, 100).unwrap();
    keogram.push(after(60.0), &[1.0; 161]).unwrap();
    let settings =
        |step_deg, least_altitude_deg| SliceSettings { step_deg, least_altitude_deg, ..SliceSettings::default() };
    let line = |settings| SliceLine::toward(skerrow_bay(), 0.0, evening(), settings);
    for (error, says) in [
        (keogram.push(after(0.0), &[1.0; 161]).unwrap_err(), "outside 0 to"),
        (keogram.push(after(300_000.0), &[1.0; 161]).unwrap_err(), "outside 0 to"),
        (keogram.push(after(70.0), &[1.0; 3]).unwrap_err(), "3 values, 161 expected"),
        (Keogram::new(meridian(), LightUnit::Kilorayleighs, 0.0, 100).unwrap_err(), "above 0"),
        (Keogram::new(meridian(), LightUnit::Kilorayleighs, 6.0, 1).unwrap_err(), "16 to 20000"),
        (line(settings(0.0, 10.0)).unwrap_err(), "0.05 to 45"),
        (line(settings(1.0, f64::NAN)).unwrap_err(), "0 to 80"),
        (
            SliceLine::toward(skerrow_bay(), 0.0, "1960-01-01T00:00:00Z".parse().unwrap(), settings(1.0, 10.0))
                .unwrap_err(),
            "",
        ),
    ] {
        assert!(error.to_string().contains(says), "{error} does not say {says}");
        assert!(!error.hint().is_empty());
    }
}

proptest! {
    #[test]
    fn no_light_is_lost_or_made(times in proptest::collection::vec(0.0_f64..5000.0, 1..200), step in 0.5_f64..50.0) {
        let mut keogram = Keogram::new(meridian(), LightUnit::FileNumbers, step, 16).unwrap();
        keogram.push(after(0.0), &[0.0; 161]).unwrap();
        let mut sum = 0.0;
        for time in &times {
            #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
            keogram.push(after(*time), &[*time as f32; 161]).unwrap();
            sum += time;
        }
        let columns: Vec<_> = (0..keogram.len()).map(|column| keogram.column(column).unwrap()).collect();
        let frames: u32 = columns.iter().map(|column| column.frames).sum();
        prop_assert_eq!(frames as usize, times.len() + 1);
        let held: f64 = columns.iter().filter(|column| column.frames > 0)
            .map(|column| f64::from(column.frames) * f64::from(column.values[7])).sum();
        prop_assert!((held - sum).abs() < 1e-3 * sum.max(1.0));
        // every frame lies within its own column
        for column in columns.iter().filter(|column| column.frames > 0) {
            prop_assert!((f64::from(column.values[7]) - column.middle_s).abs() <= keogram.column_s() / 2.0 + 1e-3);
        }
    }

    #[test]
    fn no_slice_is_too_wild(values in proptest::collection::vec(any::<f32>(), 161)) {
        let mut keogram = Keogram::new(meridian(), LightUnit::FileNumbers, 5.0, 64).unwrap();
        for frame in 0..20 {
            keogram.push(after(f64::from(frame) * 5.0), &values).unwrap();
        }
        borders(&keogram, LitRule::AboveBackground);
        brightenings(&keogram, LitRule::AboveBackground);
        keogram.total_light();
    }
}
