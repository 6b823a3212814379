//! Speed of what the verbs call most: the field at a point, a trace, a map of magnetic coordinates.

use criterion::{Criterion, criterion_group, criterion_main};
use geomag::{FieldModel, trace};
use std::hint::black_box;

fn field(c: &mut Criterion) {
    let model = FieldModel::at_decimal_year(2026.25).unwrap();
    c.bench_function("field", |b| b.iter(|| model.field(black_box(69.65), black_box(18.96), black_box(110.0))));
}

fn one_trace(c: &mut Criterion) {
    let model = FieldModel::at_decimal_year(2026.25).unwrap();
    c.bench_function("trace", |b| b.iter(|| trace(&model, black_box(69.65), black_box(18.96), black_box(110.0))));
}

criterion_group!(benches, field, one_trace);
criterion_main!(benches);
