//! Speed of the search for stars, beside a plain pass over the same pixels.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use frame::{Plane, StarSearch, find_stars};

/// Sides of a 24 megapixel frame.
const SIZE: [usize; 2] = [6000, 4000];
/// Stars of an ordinary wide field.
const STARS: usize = 3000;

/// Next number of a linear congruential generator (Knuth's MMIX constants), 0 to 1.
fn next(state: &mut u64) -> f32 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 40) as f32 / (1u64 << 24) as f32
}

/// A noisy sky with a slope and round stars of 2.6 px FWHM.
fn field() -> Plane {
    let [width, height] = SIZE;
    let mut state = 7;
    let mut samples: Vec<f32> = (0..width * height)
        .map(|i| {
            500.0 + 0.02 * (i % width) as f32 + 30.0 * (next(&mut state) + next(&mut state) + next(&mut state) - 1.5)
        })
        .collect();
    for _ in 0..STARS {
        let (x, y) = (next(&mut state) * (width - 20) as f32 + 10.0, next(&mut state) * (height - 20) as f32 + 10.0);
        let peak = 60.0 * next(&mut state).max(1e-3).powf(-1.0);
        for dy in -6i16..=6 {
            for dx in -6i16..=6 {
                let (px, py) = (x.round() + f32::from(dx), y.round() + f32::from(dy));
                let r2 = (px - x).powi(2) + (py - y).powi(2);
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the plane")]
                let place = py as usize * width + px as usize;
                samples[place] += peak * (-r2 / 2.44).exp();
            }
        }
    }
    Plane::new(width, height, samples).unwrap()
}

fn stars(criterion: &mut Criterion) {
    let plane = field();
    let mut group = criterion.benchmark_group("24 megapixels");
    group.sample_size(10).throughput(Throughput::Elements((SIZE[0] * SIZE[1]) as u64));
    group.bench_function("plain pass", |bencher| {
        bencher.iter(|| black_box(&plane).samples().chunks_exact(8).map(|c| c.iter().sum::<f32>()).fold(0.0, f32::max));
    });
    group.bench_function("find stars", |bencher| {
        bencher.iter(|| find_stars(black_box(&plane), &StarSearch::default()).stars.len());
    });
    group.finish();
}

criterion_group!(benches, stars);
criterion_main!(benches);
