//! The sky integral against geometry and against itself.

use aurora::{EmissionTable, Oval, SkyMoment, SkySampler};
use geomag::{FieldModel, MagneticClock};
use quantity::{GeoPosition, Horizontal, LineBrightness, Timestamp};
use sky::Extinction;

/// Air that takes nothing away: the integral alone.
pub(crate) fn vacuum() -> Extinction {
    Extinction { rayleigh_mag: 0.0, aerosol_mag: 0.0, ozone_mag: 0.0, glow_loss: 1.0 }
}

fn sky(
    place: (f64, f64),
    at: &str,
    kp: f64,
    extinction: &Extinction,
    directions: Vec<Horizontal>,
) -> Vec<LineBrightness> {
    let at: Timestamp = at.parse().unwrap();
    let field = FieldModel::at(at).unwrap();
    let site = GeoPosition::new(place.0, place.1, 0.0).unwrap();
    let sampler = SkySampler::new(site, &field, extinction, directions).unwrap();
    let (oval, emission) = (Oval::new(kp), EmissionTable::new(120.0));
    sampler.brightness(&SkyMoment::new(&oval, &emission, &MagneticClock::new(&field, at)))
}

const TROMSO: (f64, f64) = (69.65, 18.96);
const WINTER_EVENING: &str = "2026-01-15T21:30:00Z";

/// Slabs of 4 km and a flux taken at their middle against the flux straight overhead; the oval changes by a few per cent over the
/// lean of the field line between 82 and 497 km.
const OVERHEAD_TOLERANCE: f64 = 0.05;

#[test]
fn overhead_the_integral_is_efficiency_times_flux() {
    let at: Timestamp = WINTER_EVENING.parse().unwrap();
    let field = FieldModel::at(at).unwrap();
    let place = geomag::trace(&field, TROMSO.0, TROMSO.1, 110.0).unwrap();
    let mlt = MagneticClock::new(&field, at).mlt_h(place.apex_lon_deg);
    let zenith = sky(TROMSO, WINTER_EVENING, 3.0, &vacuum(), vec![Horizontal::new(90.0, 0.0)])[0];
    let fall = aurora::precipitation(place.model_lat_deg, mlt, 3.0);
    let column = aurora::efficiency_kr_per_mw_m2(fall.mean_energy_kev * 500.0, 120.0);
    let ratio = zenith.green_5577_kr / (column.green_5577_kr * fall.energy_flux_mw_m2);
    assert!((ratio - 1.0).abs() < OVERHEAD_TOLERANCE, "{ratio}: {zenith:?}, {fall:?}, {column:?}");
}

/// The layer is 30 km thick instead of thin and the oval is not even over the path: a tenth.
const VAN_RHIJN_TOLERANCE: f64 = 0.10;

#[test]
fn a_wide_even_layer_brightens_toward_the_horizon_as_van_rhijn_says() {
    // Along magnetic east and west the mean oval is nearly even: at 30 degrees up a layer at 110 km is 1.906 times its zenith
    // brightness (van Rhijn 1921; thin layer on a sphere of 6371 km).
    let directions = vec![Horizontal::new(90.0, 0.0), Horizontal::new(30.0, 100.0), Horizontal::new(30.0, 280.0)];
    let light = sky(TROMSO, WINTER_EVENING, 3.0, &vacuum(), directions);
    let sides = 0.5 * (light[1].green_5577_kr + light[2].green_5577_kr);
    assert!((sides / light[0].green_5577_kr / 1.906 - 1.0).abs() < VAN_RHIJN_TOLERANCE, "{light:?}");
}

#[test]
fn south_of_the_oval_the_light_stands_in_the_north_and_the_other_way_round() {
    let around: Vec<_> = (0..36).map(|i| Horizontal::new(15.0, f64::from(i) * 10.0)).collect();
    let brightest = |place, at: &str, kp| {
        let light = sky(place, at, kp, &Extinction::clear(0.0), around.clone());
        let best = (0..36).max_by(|&a, &b| light[a].green_5577_kr.total_cmp(&light[b].green_5577_kr)).unwrap();
        around[best].azimuth_deg
    };
    // Edinburgh looks north, Dunedin south, Longyearbyen (poleward of a quiet oval at night) south.
    let edinburgh = brightest((55.95, -3.19), "2026-01-15T23:00:00Z", 5.0);
    assert!(!(30.0..330.0).contains(&edinburgh), "{edinburgh}");
    let dunedin = brightest((-45.87, 170.50), "2026-05-15T12:00:00Z", 5.0);
    assert!((150.0..210.0).contains(&dunedin), "{dunedin}");
    let longyearbyen = brightest((78.22, 15.63), "2026-01-15T21:00:00Z", 2.0);
    assert!((120.0..260.0).contains(&longyearbyen), "{longyearbyen}");
}

#[test]
fn more_activity_brings_more_light_to_lower_latitudes() {
    let north = vec![Horizontal::new(12.0, 0.0)];
    let at_kp =
        |kp| sky((55.95, -3.19), "2026-01-15T23:00:00Z", kp, &Extinction::clear(0.0), north.clone())[0].green_5577_kr;
    assert!(at_kp(3.0) > at_kp(1.0) && at_kp(5.0) > at_kp(3.0) && at_kp(7.0) > at_kp(5.0));
    assert!(at_kp(0.0) < 0.02, "{}", at_kp(0.0));
}

#[test]
fn extinction_reddens_a_low_aurora() {
    let low = vec![Horizontal::new(5.0, 0.0)];
    let clear = sky(TROMSO, WINTER_EVENING, 3.0, &Extinction::clear(0.0), low.clone())[0];
    let vacuum = sky(TROMSO, WINTER_EVENING, 3.0, &vacuum(), low)[0];
    let loss = |line: fn(&LineBrightness) -> f64| line(&clear) / line(&vacuum);
    assert!(loss(|l| l.red_6300_kr) > loss(|l| l.green_5577_kr));
    assert!(loss(|l| l.green_5577_kr) > loss(|l| l.blue_4278_kr));
}

#[test]
fn the_equator_is_refused_and_below_the_horizon_is_dark() {
    let at: Timestamp = WINTER_EVENING.parse().unwrap();
    let field = FieldModel::at(at).unwrap();
    let equator = GeoPosition::new(-5.0, 20.0, 0.0).unwrap();
    let refused = SkySampler::new(equator, &field, &vacuum(), vec![]);
    assert!(refused.is_err() || refused.is_ok_and(|sampler| sampler.directions().is_empty()));
    let below = sky(TROMSO, WINTER_EVENING, 5.0, &vacuum(), vec![Horizontal::new(-2.0, 0.0)])[0];
    assert_eq!(below, LineBrightness::default());
}
