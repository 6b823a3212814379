//! From the solar wind to Kp: worked values, and what must hold for any wind.

use aurora::{BzNeeded, bz_needed, kp_from_newell, newell_coupling, newell_viscous};
use proptest::prelude::*;

fn kp(speed_km_s: f64, density_cm3: f64, by_nt: f64, bz_nt: f64) -> f64 {
    kp_from_newell(newell_coupling(speed_km_s, by_nt, bz_nt), newell_viscous(speed_km_s, density_cm3))
}

/// Worked by hand from the published formula, printed to three figures: half a unit of the last, and the rounding of
/// intermediate values.
const THREE_FIGURES: f64 = 0.006;

#[test]
fn worked_values_of_the_coupling() {
    for (speed, by, bz, expected) in [(400.0, 5.0, 0.0, 3.42e3), (500.0, 0.0, -10.0, 1.84e4)] {
        let found = newell_coupling(speed, by, bz);
        assert!((found / expected - 1.0).abs() < THREE_FIGURES, "{found} {expected}");
    }
}

#[test]
fn worked_values_of_kp() {
    assert!((kp(400.0, 5.0, 5.0, 0.0) - 1.84).abs() < THREE_FIGURES);
    assert!((kp(500.0, 5.0, 0.0, -10.0) - 5.77).abs() < THREE_FIGURES);
}

#[test]
fn a_wind_that_is_not_there_gives_next_to_nothing() {
    assert!(kp(0.0, 0.0, 0.0, 0.0) < 0.1);
    for value in [f64::NAN, f64::INFINITY, -f64::INFINITY, -1e300, 1e300] {
        let found = kp(value, value, value, value);
        assert!((0.0..=9.0).contains(&found), "{value}: {found}");
        assert!((0.0..=9.0).contains(&kp(500.0, value, 3.0, -5.0)));
        let _any = bz_needed(value, value, value, value);
    }
    assert_eq!(bz_needed(f64::NAN, 400.0, 5.0, 0.0), BzNeeded::OutOfReach);
}

#[test]
fn what_a_kp_needs_may_be_nothing_or_out_of_reach() {
    assert_eq!(bz_needed(0.0, 400.0, 5.0, 0.0), BzNeeded::Any);
    assert_eq!(bz_needed(9.0, 0.0, 5.0, 0.0), BzNeeded::OutOfReach);
    let BzNeeded::AtMost(slow) = bz_needed(6.0, 350.0, 5.0, 0.0) else { panic!("within reach") };
    let BzNeeded::AtMost(fast) = bz_needed(6.0, 700.0, 5.0, 0.0) else { panic!("within reach") };
    assert!(slow < fast && fast < 0.0, "a fast wind needs less: {slow} {fast}");
}

proptest! {
    #[test]
    fn more_southward_is_never_less(
        speed in 200.0..1200.0_f64, by in -40.0..40.0_f64, bz in -60.0..60.0_f64, step in 0.01..20.0_f64,
    ) {
        prop_assert!(newell_coupling(speed, by, bz - step) >= newell_coupling(speed, by, bz));
    }

    #[test]
    fn dusk_and_dawn_are_alike(speed in 200.0..1200.0_f64, by in -40.0..40.0_f64, bz in -60.0..60.0_f64) {
        prop_assert!((newell_coupling(speed, by, bz) - newell_coupling(speed, -by, bz)).abs() < 1e-9);
    }

    #[test]
    fn the_bz_needed_gives_that_kp(
        wanted in 1.0..8.9_f64, speed in 250.0..1000.0_f64, density in 0.1..30.0_f64, by in -20.0..20.0_f64,
    ) {
        match bz_needed(wanted, speed, density, by) {
            BzNeeded::AtMost(bz) => prop_assert!((kp(speed, density, by, bz) - wanted).abs() < 1e-6),
            BzNeeded::Any => prop_assert!(kp(speed, density, by, 190.0) >= wanted - 1e-9),
            BzNeeded::OutOfReach => prop_assert!(kp(speed, density, by, -199.0) < wanted),
        }
    }
}
