//! Speed of the sky integral.

#![expect(clippy::expect_used, reason = "a bench stops at the first thing that is not as it should be")]

use aurora::{EmissionTable, Oval, SkyMoment, SkySampler};
use criterion::{Criterion, criterion_group, criterion_main};
use geomag::{FieldModel, MagneticClock};
use quantity::{GeoPosition, Horizontal, Timestamp};
use sky::Extinction;

fn whole_sky(step_deg: u32) -> Vec<Horizontal> {
    (0..=90 / step_deg)
        .flat_map(|row| (0..360 / step_deg).map(move |column| (row, column)))
        .map(|(row, column)| Horizontal::new(f64::from(row * step_deg), f64::from(column * step_deg)))
        .collect()
}

fn sky_maps(criterion: &mut Criterion) {
    let at: Timestamp = "2026-01-15T21:30:00Z".parse().expect("a constant");
    let site = GeoPosition::new(69.65, 18.96, 0.0).expect("a constant");
    let field = FieldModel::at(at).expect("within the model");
    let air = Extinction::clear(0.0);
    let clock = MagneticClock::new(&field, at);
    criterion.bench_function("sky map, 1 degree, from nothing", |bencher| {
        bencher.iter(|| {
            let sampler = SkySampler::new(site, &field, &air, whole_sky(1)).expect("an auroral site");
            let (oval, emission) = (Oval::new(4.0), EmissionTable::new(120.0));
            sampler.brightness(&SkyMoment::new(&oval, &emission, &clock))
        });
    });
    let sampler = SkySampler::new(site, &field, &air, whole_sky(1)).expect("an auroral site");
    let (oval, emission) = (Oval::new(4.0), EmissionTable::new(120.0));
    criterion.bench_function("sky map, 1 degree, another instant", |bencher| {
        bencher.iter(|| sampler.brightness(&SkyMoment::new(&oval, &emission, &clock)));
    });
    criterion.bench_function("oval table", |bencher| bencher.iter(|| Oval::new(4.3)));
    criterion.bench_function("emission table", |bencher| bencher.iter(|| EmissionTable::new(150.0)));
    criterion.bench_function("site geometry, one direction", |bencher| {
        bencher.iter(|| SkySampler::new(site, &field, &air, vec![Horizontal::new(90.0, 0.0)]));
    });
}

criterion_group!(benches, sky_maps);
criterion_main!(benches);
