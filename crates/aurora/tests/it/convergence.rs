//! The sky map against a fine integration that takes none of its short cuts: WGS-84 instead of a sphere, every point of
//! the sightline traced along its own curved field line, steps in height from 32 km down to one.
//!
//! The table in `docs/aurora.md` is what `cargo test -p quietarc-aurora convergence -- --nocapture` prints.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of steps and coordinates of the oval's table"
)]

use aurora::{EmissionTable, Oval, SkyMoment, SkySampler, efficiency_kr_per_mw_m2, volume_emission_cm3_s};
use geomag::{FieldModel, MagneticClock, Sightline};
use quantity::{EmissionLine, GeoPosition, Horizontal, Timestamp};
use sky::Air;

use crate::sightlines::vacuum;

/// The heights between which the map integrates, km.
const HEIGHTS_KM: (f64, f64) = (82.0, 497.0);
/// Steps of the fine integration, km; the last is the reference.
const STEPS_KM: [f64; 6] = [32.0, 16.0, 8.0, 4.0, 2.0, 1.0];
/// Directions with less light than this share of the sky's brightest are left out of relative errors.
const FAINTEST_SHARE: f64 = 0.05;
/// Median error allowed to the map: 0.3 % was measured, and the light itself is known to 15 to 40 %.
const MEDIAN_TOLERANCE: f64 = 0.01;
/// Largest error allowed in any direction: 3.5 % was measured, where the edge of the oval crosses a low sightline.
const WORST_TOLERANCE: f64 = 0.06;

fn directions() -> Vec<Horizontal> {
    let azimuths = [0.0, 45.0, 100.0, 180.0, 215.0, 270.0, 330.0];
    let mut out: Vec<Horizontal> = [6.0, 12.0, 20.0, 35.0, 60.0]
        .into_iter()
        .flat_map(|altitude| azimuths.map(|azimuth| Horizontal::new(altitude, azimuth)))
        .collect();
    out.push(Horizontal::new(90.0, 0.0));
    out
}

/// Magnetic place of every kilometre of a sightline, and its slant.
struct Path {
    /// Height km, absolute magnetic latitude deg, magnetic local time h, path per height.
    points: Vec<(f64, f32, f32, f64)>,
}

fn path(site: GeoPosition, field: &FieldModel, clock: MagneticClock, apparent: Horizontal) -> Path {
    let airless = Horizontal::new(Air::default().airless_altitude_deg(apparent.altitude_deg), apparent.azimuth_deg);
    let line = Sightline::new(site, airless);
    let finest = STEPS_KM[STEPS_KM.len() - 1];
    let count = ((HEIGHTS_KM.1 - HEIGHTS_KM.0) / finest).round() as usize;
    let points = (0..count)
        .map(|index| {
            let height_km = HEIGHTS_KM.0 + (index as f64 + 0.5) * finest;
            let ends = [-0.5, 0.5].map(|half| line.at_height_km(height_km + half * finest).unwrap().slant_km);
            let point = line.at_height_km(height_km).unwrap();
            let traced = geomag::trace(field, point.latitude_deg, point.longitude_deg, height_km).unwrap();
            let mlt_h = clock.mlt_h(traced.apex_lon_deg);
            (height_km, traced.model_lat_deg.abs() as f32, mlt_h as f32, (ends[1] - ends[0]) / finest)
        })
        .collect();
    Path { points }
}

/// Green light along a path with steps of so many of its points, each step taken at its middle, kR.
fn integrate(path: &Path, oval: &Oval, step_km: f64) -> f64 {
    let stride = (step_km / STEPS_KM[STEPS_KM.len() - 1]).round() as usize;
    path.points
        .chunks(stride)
        .map(|chunk| {
            let (_, lat_deg, mlt_h, slant) = chunk[chunk.len() / 2];
            let (flux, log_e0) = oval.at(lat_deg, mlt_h);
            if flux <= 0.0 {
                return 0.0;
            }
            let e0_ev = 10f64.powf(f64::from(log_e0));
            let rates: f64 = chunk.iter().map(|(height_km, ..)| green_rate(*height_km, e0_ev)).sum();
            let emission = rates * STEPS_KM[STEPS_KM.len() - 1] / column(e0_ev);
            f64::from(flux) * slant * emission * efficiency_kr_per_mw_m2(e0_ev, 120.0).green_5577_kr
        })
        .sum()
}

fn green_rate(height_km: f64, e0_ev: f64) -> f64 {
    volume_emission_cm3_s(EmissionLine::Green5577, height_km, e0_ev)
}

/// Green light of the whole column, in the unit of [`green_rate`] times km, by the midpoint rule in steps of 2.5 km: finer than
/// the profile is tabulated.
fn column(e0_ev: f64) -> f64 {
    const STEPS: u32 = 166;
    let step = (HEIGHTS_KM.1 - HEIGHTS_KM.0) / f64::from(STEPS);
    (0..STEPS).map(|i| green_rate(HEIGHTS_KM.0 + (f64::from(i) + 0.5) * step, e0_ev)).sum::<f64>() * step
}

/// Median and largest of relative errors, in per cent.
fn errors(found: &[f64], reference: &[f64]) -> (f64, f64) {
    let brightest = reference.iter().copied().fold(0.0, f64::max);
    let mut relative: Vec<f64> = found
        .iter()
        .zip(reference)
        .filter(|(_, reference)| **reference > FAINTEST_SHARE * brightest)
        .map(|(found, reference)| (found / reference - 1.0).abs())
        .collect();
    relative.sort_by(f64::total_cmp);
    (relative[relative.len() / 2], relative[relative.len() - 1])
}

#[test]
#[expect(clippy::print_stdout, reason = "the table of the handbook")]
fn the_map_converges_to_a_fine_integration() {
    let at: Timestamp = "2026-01-15T21:30:00Z".parse().unwrap();
    let field = FieldModel::at(at).unwrap();
    let clock = MagneticClock::new(&field, at);
    println!("| site, Kp | map | {} |", STEPS_KM.map(|step| format!("{step} km")).join(" | "));
    for (name, lat, lon, kp) in [("69.65 N 18.96 E", 69.65, 18.96, 2.0), ("57.6 N 3.3 W", 57.6, -3.3, 7.0)] {
        let site = GeoPosition::new(lat, lon, 0.0).unwrap();
        let (oval, emission) = (Oval::new(kp), EmissionTable::new(120.0));
        let sampler = SkySampler::new(site, &field, &vacuum(), directions()).unwrap();
        let map: Vec<f64> = sampler
            .brightness(&SkyMoment::new(&oval, &emission, &clock))
            .iter()
            .map(|light| light.green_5577_kr)
            .collect();
        let paths: Vec<Path> = directions().into_iter().map(|direction| path(site, &field, clock, direction)).collect();
        let fine = |step_km: f64| paths.iter().map(|path| integrate(path, &oval, step_km)).collect::<Vec<f64>>();
        let reference = fine(STEPS_KM[STEPS_KM.len() - 1]);
        let words = |(median, worst): (f64, f64)| format!("{:.1} / {:.1}", 100.0 * median, 100.0 * worst);
        let columns = STEPS_KM.map(|step| words(errors(&fine(step), &reference)));
        let (median, worst) = errors(&map, &reference);
        println!("| {name}, Kp {kp} | {} | {} |", words((median, worst)), columns.join(" | "));
        assert!(median < MEDIAN_TOLERANCE && worst < WORST_TOLERANCE, "{name}: {median:.3} {worst:.3}");
    }
}
