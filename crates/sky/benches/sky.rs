//! Speed of what the verbs call most: a map of Suns and Moons, a night, a frame full of stars.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]

use criterion::{Criterion, criterion_group, criterion_main};
use jiff::Timestamp;
use quantity::GeoPosition;
use std::hint::black_box;

const PAIRS: i64 = 10_000;

fn sun_moon_pairs(c: &mut Criterion) {
    let start = Timestamp::from_second(1_790_000_000).unwrap();
    let asked: Vec<(Timestamp, GeoPosition)> = (0..PAIRS)
        .map(|i| {
            let at = Timestamp::from_second(start.as_second() + i * 7_919).unwrap();
            let share = i as f64 / PAIRS as f64;
            (at, GeoPosition::new(170.0 * share - 85.0, 359.0 * share - 179.0, 100.0).unwrap())
        })
        .collect();
    c.bench_function("10 000 sun and moon pairs", |b| {
        b.iter(|| {
            asked
                .iter()
                .map(|(at, place)| sky::sun_moon(*at, *place).unwrap().moon.horizontal.altitude_deg)
                .sum::<f64>()
        });
    });
}

fn one_night(c: &mut Criterion) {
    let place = GeoPosition::new(69.2, 15.1, 4.0).unwrap();
    let date = "2026-11-25".parse().unwrap();
    c.bench_function("one night", |b| b.iter(|| sky::night(black_box(date), black_box(place)).unwrap()));
}

fn stars_of_a_frame(c: &mut Criterion) {
    let place = GeoPosition::new(69.2, 15.1, 4.0).unwrap();
    let at = "2026-11-25T20:00:00Z".parse().unwrap();
    let stars: Vec<&sky::Star> = sky::catalogue().stars().iter().take(1_000).collect();
    c.bench_function("a star context", |b| b.iter(|| sky::ObserverSky::new(black_box(at), black_box(place)).unwrap()));
    c.bench_function("a star context and 1000 stars", |b| {
        b.iter(|| {
            let sky_then = sky::ObserverSky::new(black_box(at), black_box(place)).unwrap();
            stars.iter().map(|star| sky_then.star(star).altitude_deg).sum::<f64>()
        });
    });
}

criterion_group!(benches, sun_moon_pairs, one_night, stars_of_a_frame);
criterion_main!(benches);
