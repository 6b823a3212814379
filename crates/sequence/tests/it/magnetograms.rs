//! Bays and onsets in drawn records of known truth.

use proptest::prelude::*;
use quantity::{GeoPosition, Timestamp};
use sequence::{
    MagneticComponent, MagneticElement, MagneticQuality, MagneticRecord, MagneticReference, MagneticSearch,
    OnsetStanding, SequenceError, magnetic_events,
};

use crate::spectra::gaussian;

/// A drawn record of X at an invented station in the auroral zone: noise of 0.5 nT and slow daily change.
fn record(cadence_s: f64, hours: f64, disturbance: impl Fn(f64) -> f64) -> MagneticRecord {
    let mut state = 77;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand")]
    let steps = (hours * 3600.0 / cadence_s) as u32;
    let values = (0..steps)
        .map(|step| {
            let minutes = f64::from(step) * cadence_s / 60.0;
            Some(11_000.0 + 10.0 * (minutes / 720.0).sin() + 0.5 * gaussian(&mut state) + disturbance(minutes))
        })
        .collect();
    MagneticRecord {
        station_code: "SKB".to_owned(),
        station_name: Some("Skerrow Bay".to_owned()),
        place: GeoPosition::new(68.0, 16.0, 20.0).ok(),
        source: None,
        quality: MagneticQuality::Variation,
        start: "2026-11-14T18:00:00Z".parse::<Timestamp>().unwrap(),
        cadence_s,
        components: vec![MagneticComponent { element: MagneticElement::X, values }],
    }
}

/// A bay: down within ten minutes, back over an hour.
fn bay(minutes: f64, at: f64, depth: f64) -> f64 {
    let since = minutes - at;
    if since <= 0.0 { 0.0 } else { -depth * (1.0 - (-since / 4.0).exp()) * (-since / 60.0).exp() }
}

fn minutes(record: &MagneticRecord, search: &MagneticSearch) -> Vec<i64> {
    let events = magnetic_events(record, search).unwrap();
    events.onsets.iter().map(|onset| onset.at.duration_since(record.start).as_secs() / 60).collect()
}

#[test]
fn a_bay_is_found_at_its_onset_by_minutes_and_by_seconds() {
    for cadence_s in [1.0, 10.0, 60.0] {
        let record = record(cadence_s, 8.0, |minutes| bay(minutes, 150.0, 700.0));
        let events =
            magnetic_events(&record, &MagneticSearch { depth_nt: 300.0, ..MagneticSearch::default() }).unwrap();
        assert_eq!(events.onsets.len(), 1, "{cadence_s}: {:?}", events.onsets);
        let onset = events.onsets[0];
        let minute = onset.at.duration_since(record.start).as_secs() / 60;
        assert!((149..=151).contains(&minute), "{cadence_s}: {minute}");
        assert_eq!(onset.standing, OnsetStanding::Likely);
        assert!((onset.depth_nt - 560.0).abs() < 30.0, "{}", onset.depth_nt);
        assert!(onset.half_recovered_minutes.is_some_and(|minutes| (30.0..80.0).contains(&minutes)));
        assert_eq!(events.bays.len(), 1);
        assert_eq!(events.reference, MagneticReference::MedianOfHours);
        assert_eq!((events.spike_count, events.steps.len()), (0, 0));
    }
}

#[test]
fn spikes_steps_and_gaps_are_no_events() {
    let mut spiky = record(1.0, 6.0, |_| 0.0);
    let mut stepped = record(1.0, 6.0, |minutes| if minutes > 100.0 { -900.0 } else { 0.0 });
    let mut with_gap = record(1.0, 6.0, |_| 0.0);
    let cell = |record: &mut MagneticRecord, at: usize, value: Option<f64>| record.components[0].values[at] = value;
    for at in [4000, 9000, 9001, 9002, 15000] {
        cell(&mut spiky, at, Some(8000.0));
    }
    for at in 5000..8000 {
        cell(&mut with_gap, at, None);
    }
    cell(&mut stepped, 10, None);
    let spiky = magnetic_events(&spiky, &MagneticSearch::default()).unwrap();
    assert_eq!((spiky.spike_count, spiky.bays.len(), spiky.onsets.len()), (5, 0, 0));
    let stepped = magnetic_events(&stepped, &MagneticSearch::default()).unwrap();
    assert_eq!((stepped.steps.len(), stepped.bays.len(), stepped.onsets.len()), (1, 0, 0), "{stepped:?}");
    assert!((stepped.steps[0].height_nt + 900.0).abs() < 5.0);
    let with_gap = magnetic_events(&with_gap, &MagneticSearch::default()).unwrap();
    assert_eq!((with_gap.bays.len(), with_gap.onsets.len()), (0, 0));
    assert!(with_gap.untried_minutes.is_some_and(|minutes| minutes >= 50));
    assert!((with_gap.coverage - (21600.0 - 3000.0) / 21600.0).abs() < 1e-9);
}

#[test]
fn a_station_by_day_or_off_the_oval_says_no_more_than_possible() {
    let mut record = record(60.0, 8.0, |minutes| bay(minutes, 150.0, 700.0));
    record.start = "2026-11-14T08:00:00Z".parse().unwrap();
    assert_eq!(
        magnetic_events(&record, &MagneticSearch::default()).unwrap().onsets[0].standing,
        OnsetStanding::Possible
    );
    record.start = "2026-11-14T18:00:00Z".parse().unwrap();
    record.place = GeoPosition::new(50.0, 16.0, 0.0).ok();
    assert_eq!(
        magnetic_events(&record, &MagneticSearch::default()).unwrap().onsets[0].standing,
        OnsetStanding::Possible
    );
    record.place = None;
    assert_eq!(
        magnetic_events(&record, &MagneticSearch::default()).unwrap().onsets[0].standing,
        OnsetStanding::Possible
    );
}

#[test]
fn far_from_the_current_half_as_much_is_possible() {
    let record = record(60.0, 8.0, |minutes| bay(minutes, 150.0, 110.0));
    assert!(minutes(&record, &MagneticSearch::default()).is_empty());
    // at Kp 8 the oval lies fifteen degrees south of this station
    let storm = MagneticSearch { kp: Some(8.0), ..MagneticSearch::default() };
    let events = magnetic_events(&record, &storm).unwrap();
    assert_eq!(events.onsets.len(), 1);
    assert_eq!(events.onsets[0].standing, OnsetStanding::Possible);
}

#[test]
fn a_record_that_cannot_be_judged_says_why() {
    let mut uvw = record(60.0, 1.0, |_| 0.0);
    uvw.components[0].element = MagneticElement::U;
    let error = magnetic_events(&uvw, &MagneticSearch::default()).unwrap_err();
    assert_eq!(error.to_string(), "the record of SKB has no component toward north (X or H)");
    assert!(!error.hint().is_empty());
    let hourly = record(3600.0, 30.0, |_| 0.0);
    assert_eq!(magnetic_events(&hourly, &MagneticSearch::default()).unwrap().untried_minutes, None);
    let mut empty = record(60.0, 1.0, |_| 0.0);
    empty.components[0].values.fill(None);
    assert!(matches!(magnetic_events(&empty, &MagneticSearch::default()), Err(SequenceError::NoNorthward { .. })));
    let bad = MagneticSearch { depth_nt: f64::NAN, ..MagneticSearch::default() };
    assert!(magnetic_events(&hourly, &bad).is_err());
}

#[test]
fn the_record_beside_a_sequence_is_cut_to_its_time() {
    let record = record(60.0, 8.0, |_| 0.0);
    let at = |text: &str| text.parse::<Timestamp>().unwrap();
    assert_eq!(record.steps_between(at("2026-11-14T19:00:30Z"), at("2026-11-14T19:10:00Z")), 61..71);
    assert_eq!(record.steps_between(at("2026-11-14T10:00:00Z"), at("2026-11-14T18:01:00Z")), 0..2);
    assert!(record.steps_between(at("2026-11-13T10:00:00Z"), at("2026-11-13T18:01:00Z")).is_empty());
    assert!(record.steps_between(at("2026-11-16T10:00:00Z"), at("2026-11-17T18:01:00Z")).is_empty());
}

proptest! {
    #[test]
    fn a_level_added_changes_nothing(level in -5000.0_f64..30_000.0, at in 40.0_f64..200.0) {
        let search = MagneticSearch { depth_nt: 300.0, ..MagneticSearch::default() };
        let plain = record(60.0, 6.0, |minutes| bay(minutes, at, 600.0));
        let moved = record(60.0, 6.0, |minutes| bay(minutes, at, 600.0) + level);
        prop_assert_eq!(minutes(&plain, &search), minutes(&moved, &search));
        prop_assert_eq!(minutes(&plain, &search).len(), 1);
    }

    #[test]
    fn noise_and_single_spikes_make_no_onset(at in 0_usize..480, height in -20_000.0_f64..20_000.0) {
        let mut record = record(60.0, 8.0, |_| 0.0);
        record.components[0].values[at] = Some(11_000.0 + height);
        prop_assert!(minutes(&record, &MagneticSearch::default()).is_empty());
    }

    #[test]
    fn no_values_are_too_wild(values in proptest::collection::vec(proptest::option::of(any::<f64>()), 0..120), cadence in any::<f64>()) {
        let mut record = record(60.0, 1.0, |_| 0.0);
        record.cadence_s = cadence;
        record.components[0].values = values;
        if let Err(error) = magnetic_events(&record, &MagneticSearch::default()) {
            prop_assert!(!error.hint().is_empty());
        }
    }
}
