//! Speed of what the verbs call most: the field at a point, a line, a grid and its answers, a batch with dates.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first thing that is not as it should be")]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use geomag::{ApexGrid, DatedPoint, FieldModel, GridBounds, answers_of_dated, trace};
use jiff::Timestamp;
use std::hint::black_box;

const REGION: GridBounds =
    GridBounds { south_deg: 60.0, north_deg: 80.0, west_deg: 10.0, east_deg: 30.0, low_km: 80.0, high_km: 500.0 };
const TOLERANCE_DEG: f64 = 0.005;
const POINTS: u32 = 10_000;

fn model() -> FieldModel {
    FieldModel::at_decimal_year(2026.25).unwrap()
}

fn field(c: &mut Criterion) {
    let model = model();
    c.bench_function("field", |b| b.iter(|| model.field(black_box(69.65), black_box(18.96), black_box(110.0))));
    c.bench_function("field model of a date", |b| b.iter(|| FieldModel::at_decimal_year(black_box(2026.25)).unwrap()));
}

fn lines(c: &mut Criterion) {
    let model = model();
    for (name, latitude_deg) in [("line from 45 N", 45.0), ("line from 70 N", 70.0)] {
        c.bench_function(name, |b| b.iter(|| trace(&model, black_box(latitude_deg), 18.96, 110.0).unwrap()));
    }
}

fn grid(c: &mut Criterion) {
    let model = model();
    c.bench_function("grid of 20 by 20 degrees", |b| {
        b.iter(|| ApexGrid::build(&model, black_box(REGION), TOLERANCE_DEG).unwrap());
    });
    let grid = ApexGrid::build(&model, REGION, TOLERANCE_DEG).unwrap();
    let points: Vec<_> = (0..POINTS)
        .map(|i| {
            let share = f64::from(i) / f64::from(POINTS);
            (60.0 + 20.0 * share, 10.0 + 20.0 * (share * 7.3).fract(), 80.0 + 420.0 * (share * 3.7).fract())
        })
        .collect();
    let mut group = c.benchmark_group("grid answers");
    group.throughput(Throughput::Elements(u64::from(POINTS)));
    group.bench_function("10 000 points", |b| {
        b.iter(|| {
            points.iter().filter_map(|&(lat, lon, h)| grid.at(lat, lon, h)).map(|c| c.model_lat_deg).sum::<f64>()
        });
    });
    group.finish();
}

fn batch(c: &mut Criterion) {
    let start = Timestamp::from_second(1_767_225_600).unwrap();
    let crowd: Vec<_> = (0..POINTS)
        .map(|i| {
            let share = f64::from(i) / f64::from(POINTS);
            let instant = Timestamp::from_second(start.as_second() + i64::from(i) * 3000).unwrap();
            let (latitude_deg, longitude_deg) = (61.0 + 8.0 * share, 11.0 + 8.0 * (share * 7.3).fract());
            DatedPoint { instant, latitude_deg, longitude_deg, height_km: 110.0 }
        })
        .collect();
    let scattered: Vec<_> = crowd
        .iter()
        .zip(0..500)
        .map(|(point, i)| DatedPoint {
            latitude_deg: f64::from(i * 37 % 160 - 80),
            longitude_deg: f64::from(i * 83 % 360 - 180),
            ..*point
        })
        .collect();
    let mut group = c.benchmark_group("batch");
    group.sample_size(20);
    group.bench_function("10 000 dated points in one region", |b| b.iter(|| answers_of_dated(&crowd)));
    group.bench_function("500 dated points over the globe", |b| b.iter(|| answers_of_dated(&scattered)));
    group.finish();
}

criterion_group!(benches, field, lines, grid, batch);
criterion_main!(benches);
