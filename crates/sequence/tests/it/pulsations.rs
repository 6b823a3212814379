//! Pulsation of drawn light, and what is none.

use std::f64::consts::TAU;

use quantity::Horizontal;
use sequence::{PulsationBlock, PulsationSettings, PulsationStanding, PulsationWatch, SkyCells};

use crate::drawn::{Fisheye, after, bell};
use crate::spectra::gaussian;

const EYE: Fisheye = Fisheye { size: 101 };

fn cells(size_deg: f64) -> SkyCells {
    let picture = EYE.picture(|_| 1.0);
    SkyCells::new(&EYE, &EYE.grid(&picture), size_deg, 15.0).unwrap()
}

/// Runs frames of drawn light through a watch; light is a function of seconds and direction.
fn run(
    times_s: impl Iterator<Item = f64>,
    settings: PulsationSettings,
    noise: f64,
    light: impl Fn(f64, Horizontal) -> f64,
) -> (SkyCells, Vec<PulsationBlock>) {
    let cells = cells(10.0);
    let mut watch = PulsationWatch::new(cells.clone(), settings);
    let mut state = 4711;
    let mut blocks = Vec::new();
    for at_s in times_s {
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let values: Vec<f32> = cells
            .cells
            .iter()
            .map(|cell| (light(at_s, cell.direction) * (1.0 + noise * gaussian(&mut state))) as f32)
            .collect();
        blocks.extend(watch.push(after(at_s), &values).unwrap());
    }
    blocks.extend(watch.finish());
    (cells, blocks)
}

fn every(step_s: f64, count: u32) -> impl Iterator<Item = f64> {
    (0..count).map(move |index| f64::from(index) * step_s)
}

/// On for a third of the period, as pulsating patches are.
fn pulse(at_s: f64, period_s: f64) -> f64 {
    if (at_s / period_s).rem_euclid(1.0) < 0.35 { 1.0 } else { 0.0 }
}

fn pulsating(blocks: &[PulsationBlock]) -> Vec<(usize, f64)> {
    blocks
        .iter()
        .flat_map(|block| &block.found)
        .filter(|found| {
            matches!(found.standing, PulsationStanding::Pulsating | PulsationStanding::CannotTellFromCommon)
        })
        .map(|found| (found.cell, found.period_s))
        .collect()
}

#[test]
fn a_patch_that_pulsates_is_found_with_its_period_and_place() {
    let patch = Horizontal::new(50.0, 200.0);
    for jitter in [0.0, 0.2] {
        let times = every(0.5, 500).map(|t| t + jitter * (t * 7.0).sin());
        let (cells, blocks) = run(times, PulsationSettings::default(), 0.03, |at_s, direction| {
            2.0 + 0.6 * pulse(at_s, 8.0) * bell(direction.separation_deg(patch), 15.0)
        });
        let block = &blocks[0];
        let map = block.period_map(cells.cells.len());
        for (cell, period) in cells.cells.iter().zip(&map) {
            let away = cell.direction.separation_deg(patch);
            if away < 12.0 {
                assert!(period.is_some_and(|period| (period - 8.0).abs() < 0.1), "{jitter}: {away}: {period:?}");
            }
            assert!(away < 32.0 || period.is_none(), "{jitter}: {away}: {period:?}");
        }
        assert_eq!(block.patches.len(), 1);
        assert!(block.patches[0].direction.separation_deg(patch) < 6.0);
        let strongest = block.found.iter().max_by(|a, b| a.amplitude.total_cmp(&b.amplitude)).unwrap();
        // 250 s hold 31 pulses of 2.8 s
        assert!((29..=32).contains(&strongest.on_s.len()), "{}", strongest.on_s.len());
        assert!(
            (strongest.on_median_s.unwrap() - 2.8).abs() < 0.5 && (strongest.off_median_s.unwrap() - 5.2).abs() < 0.5
        );
        assert_eq!(block.common_period_s, None);
    }
}

/// Pulses that come back at intervals scattered by a quarter, as patches do: hardly any power stands at one frequency.
#[test]
fn patches_that_come_back_unevenly_are_found() {
    let mut state = 99;
    let mut starts = vec![0.0];
    while starts.last().unwrap() < &1100.0 {
        starts.push(starts.last().unwrap() + (9.0 + 2.2 * gaussian(&mut state)).max(4.0));
    }
    let on = |at_s: f64| {
        let since = at_s - starts[starts.partition_point(|start| *start <= at_s) - 1];
        if since < 3.0 { 1.0 } else { 0.0 }
    };
    let patch = Horizontal::new(55.0, 120.0);
    let (cells, blocks) = run(every(1.0, 1024), PulsationSettings::default(), 0.03, |at_s, direction| {
        2.0 + 0.6 * on(at_s) * bell(direction.separation_deg(patch), 15.0)
    });
    for block in blocks.iter().filter(|block| block.frames_averaged == 1) {
        let map = block.period_map(cells.cells.len());
        let inner = cells.cells.iter().zip(&map).filter(|(cell, _)| cell.direction.separation_deg(patch) < 10.0);
        let periods: Vec<Option<f64>> = inner.map(|(_, period)| *period).collect();
        assert!(!periods.is_empty());
        assert!(periods.iter().all(|period| period.is_some_and(|period| (7.0..12.0).contains(&period))), "{periods:?}");
        let outer = cells.cells.iter().zip(&map).filter(|(cell, _)| cell.direction.separation_deg(patch) > 35.0);
        assert!(outer.filter(|(_, period)| period.is_some()).count() <= 1);
        assert!(block.found.iter().any(|found| !found.is_regular));
        assert_eq!(block.frequencies_hz.len(), block.mean_powers.len());
    }
}

#[test]
fn slow_pulsation_of_a_long_film_is_found_in_the_means() {
    let patch = Horizontal::new(50.0, 90.0);
    let (_, blocks) = run(every(0.04, 6000), PulsationSettings::default(), 0.05, |at_s, direction| {
        2.0 + 0.6 * pulse(at_s, 12.0) * bell(direction.separation_deg(patch), 15.0)
            + 0.4 * (at_s * TAU * 7.0).sin() * bell(direction.separation_deg(Horizontal::new(40.0, 300.0)), 10.0)
    });
    let periods: Vec<f64> = pulsating(&blocks).iter().map(|found| found.1).collect();
    assert!(periods.iter().any(|period| (period - 12.0).abs() < 0.6), "{periods:?}");
    assert!(periods.iter().any(|period| (period - 1.0 / 7.0).abs() < 0.002), "{periods:?}");
    // harmonics of short pulses are periods too; nothing else is
    let explained = |period: f64| {
        (period * 7.0 - 1.0).abs() < 0.02
            || (1..12).any(|harmonic| (period * f64::from(harmonic) / 12.0 - 1.0).abs() < 0.06)
    };
    assert!(periods.iter().all(|period| explained(*period)), "{periods:?}");
}

/// A value between 0 and 1 at each whole place, without rule, and smooth between.
fn lump(x: f64, y: f64) -> f64 {
    let corner = |x: f64, y: f64| {
        let mixed = (x * 127.1 + y * 311.7).sin() * 43_758.545_3;
        mixed - mixed.floor()
    };
    let smooth = |share: f64| share * share * (3.0 - 2.0 * share);
    let (fx, fy) = (smooth(x - x.floor()), smooth(y - y.floor()));
    let (x, y) = (x.floor(), y.floor());
    let across = |y: f64| corner(x, y) * (1.0 - fx) + corner(x + 1.0, y) * fx;
    across(y) * (1.0 - fy) + across(y + 1.0) * fy
}

#[test]
fn noise_steps_twilight_and_cloud_do_not_pulsate() {
    let settings = PulsationSettings::default();
    let noise = run(every(0.5, 2100), settings, 0.05, |_, _| 2.0).1;
    let steps = run(every(0.5, 512), settings, 0.02, |at_s, _| {
        2.0 * if (at_s / 40.0).rem_euclid(2.0) < 1.0 { 1.0 } else { 1.6 }
    })
    .1;
    let twilight = run(every(6.0, 512), settings, 0.02, |at_s, direction| {
        0.5 + (at_s / 1200.0).exp() * (1.0 + direction.azimuth_deg / 360.0)
    })
    .1;
    // drawn cloud: lumps of three sizes that drive over the sky and dim it, without any rule
    let cloud = run(every(2.0, 512), settings, 0.02, |at_s, direction| {
        let [east, north, up] = direction.east_north_up();
        let (x, y) = (east / up - 0.011 * at_s, north / up + 0.004 * at_s);
        let lumps = lump(x, y) + 0.5 * lump(2.0 * x + 40.0, 2.0 * y) + 0.25 * lump(4.0 * x, 4.0 * y + 70.0);
        2.0 * (-1.2 * lumps).exp()
    })
    .1;
    for (name, blocks) in [("noise", noise), ("steps", steps), ("twilight", twilight), ("cloud", cloud)] {
        assert!(!blocks.is_empty());
        let found = pulsating(&blocks);
        let judged: usize = blocks.iter().map(|block| block.judged).sum();
        assert!(found.len() * 100 <= judged, "{name}: {} of {judged}: {found:?}", found.len());
        if name == "steps" {
            assert_eq!(blocks[0].common_steps.len(), 6, "{:?}", blocks[0].common_steps);
            assert!(blocks[0].common_steps.iter().all(|step| (step.factor.ln().abs() - 1.6_f64.ln()).abs() < 0.05));
        }
    }
}

#[test]
fn a_lamp_over_all_of_the_sky_is_no_aurora() {
    // a lamp lights the haze: everywhere, more at one side
    let (_, blocks) = run(every(0.5, 512), PulsationSettings::default(), 0.01, |at_s, direction| {
        2.0 + 0.5 * pulse(at_s, 6.0) * (1.0 + 0.5 * (direction.azimuth_deg.to_radians()).cos())
    });
    assert!(
        blocks[0].common_period_s.is_some_and(|period| (period - 6.0).abs() < 0.1),
        "{:?}",
        blocks[0].common_period_s
    );
    assert!(pulsating(&blocks).iter().all(|(_, period)| (period - 6.0).abs() > 0.2), "{:?}", pulsating(&blocks));
}

#[test]
fn a_beat_of_the_mains_is_named_as_such() {
    // a lit shore at 30 frames a second under lamps of 100 Hz: a beat of 10 Hz, in a tenth of the cells
    let settings = PulsationSettings { exposure_s: Some(1.0 / 60.0), ..PulsationSettings::default() };
    let (_, blocks) = run(every(1.0 / 30.0, 512), settings, 0.02, |at_s, direction| {
        let lit = direction.altitude_deg < 25.0 && direction.azimuth_deg < 90.0;
        2.0 + if lit { 0.3 * (TAU * 100.0 * at_s).cos() } else { 0.0 }
    });
    let lamps: Vec<f64> = blocks[0]
        .found
        .iter()
        .filter(|found| matches!(found.standing, PulsationStanding::MayBeLamp { .. }))
        .map(|found| found.period_s)
        .collect();
    assert!(!lamps.is_empty() && lamps.iter().all(|period| (period - 0.1).abs() < 0.002), "{lamps:?}");
    assert!(pulsating(&blocks).is_empty());
}

#[test]
fn few_cells_do_not_tell_a_lamp_from_aurora() {
    let picture = EYE.picture(|_| 1.0);
    let few = SkyCells::new(&EYE, &EYE.grid(&picture), 45.0, 50.0).unwrap();
    assert!(few.cells.len() < 8, "{}", few.cells.len());
    let mut watch = PulsationWatch::new(few.clone(), PulsationSettings::default());
    let mut state = 1;
    for at_s in every(0.5, 300) {
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        let values: Vec<f32> =
            few.cells.iter().map(|_| (2.0 + pulse(at_s, 8.0) + 0.02 * gaussian(&mut state)) as f32).collect();
        watch.push(after(at_s), &values).unwrap();
    }
    let blocks = watch.finish();
    assert!(blocks[0].found.iter().all(|found| found.standing == PulsationStanding::CannotTellFromCommon));
    assert_eq!(blocks[0].found.len(), few.cells.len());
}

#[test]
fn pauses_end_a_block_and_frames_out_of_order_are_refused() {
    let times = every(0.5, 200).chain((0..200).map(|index| 5000.0 + f64::from(index) * 0.5));
    let (_, blocks) = run(times, PulsationSettings::default(), 0.02, |_, _| 2.0);
    assert_eq!(blocks.len(), 2);
    assert!(blocks[0].to_s < 101.0 && blocks[1].from_s > 4999.0);
    let cells = cells(20.0);
    let values = vec![1.0; cells.cells.len()];
    let mut watch = PulsationWatch::new(cells, PulsationSettings::default());
    watch.push(after(10.0), &values).unwrap();
    for (error, says) in [
        (watch.push(after(10.0), &values).unwrap_err(), "outside 0 to"),
        (watch.push(after(5.0), &values).unwrap_err(), "outside 0 to"),
        (watch.push(after(20.0), &values[1..]).unwrap_err(), "expected"),
    ] {
        assert!(error.to_string().contains(says), "{error}");
    }
    watch.push(after(11.0), &vec![f32::NAN; values.len()]).unwrap();
    assert!(watch.finish().is_empty());
}

#[test]
fn cells_cover_the_sky_once() {
    for size in [3.0, 10.0, 17.0] {
        let cells = cells(size);
        let all: f64 = cells.cells.iter().map(|cell| cell.solid_angle_sr).sum();
        // the sky above 15 degrees, or above the ring that holds them
        let expected = |altitude: f64| TAU * (1.0 - altitude.to_radians().sin());
        let ring = (15.0 / size).floor() * size;
        assert!((all - expected(ring)).abs() < 0.02 * all, "{size}: {all} {}", expected(ring));
        let light = cells.total_light(&vec![3.0; cells.cells.len()]);
        assert!((light - 3.0 * all).abs() < 1e-6);
    }
}
