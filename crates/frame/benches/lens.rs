//! Speed of the search for the lens, beside the search for the stars of such a picture.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]

#[expect(dead_code, reason = "the tests compare with the truth as well")]
#[path = "../tests/it/drawn_sky.rs"]
mod drawn_sky;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use drawn_sky::{Dice, Faults, Lens, draw, field_of};
use frame::{LensHints, Plane, StarSearch, find_stars, solve_lens};
use optics::Projection;

/// A picture of 2.5 megapixels by a 20 mm lens on full frame.
const LENS: Lens = Lens {
    name: "rectilinear 94 deg",
    projection: Projection::Rectilinear,
    size: [1936, 1288],
    focal_px: 1_076.0,
    shift: [4.0, -3.0],
    k: [-0.03, 0.0],
    mirrored: false,
    edge_deg: 80.0,
};
const FAULTS: Faults = Faults { missing: 0.15, false_share: 0.2, noise_px: 0.3, stars: 400 };

fn lens(criterion: &mut Criterion) {
    let (field, _) = draw(&LENS, &FAULTS, &mut Dice::new(5));
    let mut dice = Dice::new(6);
    let places: Vec<[f64; 3]> = (0..400).map(|_| [1936.0 * dice.next(), 1288.0 * dice.next(), dice.next()]).collect();
    let chance = field_of(LENS.size, &places);
    let hints = LensHints { focal_px: Some([990.0, 1_162.0]), ..LensHints::default() };
    let samples = (0..1936 * 1288).map(|i: u32| (i.wrapping_mul(2_654_435_761) >> 16) as f32).collect();
    let plane = Plane::new(1936, 1288, samples).unwrap();
    let mut group = criterion.benchmark_group("2.5 megapixels");
    group.sample_size(10);
    group.bench_function("find stars in noise", |b| b.iter(|| find_stars(black_box(&plane), &StarSearch::default())));
    group.bench_function("lens, focal length known to 8 %", |b| {
        b.iter(|| solve_lens(black_box(&field), &hints).unwrap());
    });
    group.bench_function("lens, nothing known", |b| {
        b.iter(|| solve_lens(black_box(&field), &LensHints::default()).unwrap());
    });
    group.bench_function("no sky, focal length known to 8 %", |b| {
        b.iter(|| solve_lens(black_box(&chance), &hints).unwrap_err());
    });
    group.bench_function("no sky, nothing known", |b| {
        b.iter(|| solve_lens(black_box(&chance), &LensHints::default()).unwrap_err());
    });
    group.finish();
}

criterion_group!(benches, lens);
criterion_main!(benches);
