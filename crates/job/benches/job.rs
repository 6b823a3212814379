//! What a person waits for: one night at one site, fifty sites compared, and a picture looked for among five thousand.

#![expect(clippy::unwrap_used, reason = "a benchmark of a wrong input is no benchmark")]

#[path = "shared/looks.rs"]
mod looks;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use jiff::Timestamp;
use job::{Activity, Candidate, Kit, KnownPictures, OutlookRequest, Site, Weather, compare, outlook};
use quantity::{Fraction, GeoPosition};

use self::looks::print;

fn instant(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn candidate(index: u32) -> Candidate {
    let latitude_deg = 60.0 + 0.2 * f64::from(index);
    let position = GeoPosition::new(latitude_deg, 15.0 + 0.1 * f64::from(index), 20.0).unwrap();
    let cloud = Fraction::clamped(f64::from(index % 10) / 10.0);
    Candidate {
        site: Site::bare(format!("site {index}"), position),
        weather: Weather::given_cloud(cloud, instant("2026-03-14T00:00:00Z"), instant("2026-03-16T00:00:00Z")),
    }
}

fn request(others: u32) -> OutlookRequest {
    let (from, to) = (instant("2026-03-14T00:00:00Z"), instant("2026-03-16T00:00:00Z"));
    let Candidate { site, weather } = candidate(45);
    OutlookRequest {
        site,
        night: jiff::civil::date(2026, 3, 14),
        asked_at: instant("2026-03-14T14:00:00Z"),
        kit: Kit::plain(),
        activity: Activity::given(4.0, from, to),
        other_activity: Vec::new(),
        weather,
        elsewhere: (0..others).map(candidate).collect(),
        input_notes: Vec::new(),
        upstream: None,
        precipitation: None,
        f107: 120.0,
        adaptation_minutes: 30.0,
    }
}

fn outlooks(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("outlook");
    group.sample_size(10);
    for (name, others) in [("one site, full night, fifteen members", 0), ("the same and fifty sites, nine members", 50)]
    {
        let request = request(others);
        group.bench_function(name, |bencher| bencher.iter(|| outlook(black_box(request.clone()))));
    }
    group.finish();
}

/// A submission of the desk against all that are known.
fn copies(criterion: &mut Criterion) {
    let mut known = KnownPictures::default();
    for number in 0..5_000 {
        known.add(number, print(number));
    }
    let new = print(2_500);
    let mut group = criterion.benchmark_group("copies");
    group.sample_size(10);
    group.bench_function("the likest of 5,000", |bencher| bencher.iter(|| known.likest(black_box(&new)).len()));
    group.bench_function("the likest of 5,000, compared", |bencher| {
        bencher.iter(|| {
            let likest = known.likest(black_box(&new));
            likest.into_iter().filter(|(_, other)| compare(&new, other).kind.is_copy()).count()
        });
    });
    group.finish();
}

criterion_group!(benches, outlooks, copies);
criterion_main!(benches);
