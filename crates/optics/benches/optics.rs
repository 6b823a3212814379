//! Speed of what is asked a million times: star to pixel, pixel to sky, what an eye can see, electrons of a frame.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use optics::{Camera, Exposure, EyeBackground, Lens, Pointing, Projection, Sensor, Shot, mesopic, visible_threshold};
use quantity::{Horizontal, LineBrightness};

const MANY: u32 = 1_000_000;

fn camera() -> Camera {
    let pointing = Pointing { azimuth_deg: 350.0, altitude_deg: 25.0, roll_deg: 1.0 };
    let centred = Camera::centred(Projection::Rectilinear, 14.0, 5.95, [6048, 4024], pointing);
    Camera { k1: -0.005, k2: -0.002, ..centred }
}

fn stars_to_pixels(c: &mut Criterion) {
    let star = |i: u32| Horizontal::new(f64::from(i % 90), f64::from(i % 361));
    c.bench_function("1e6 Camera::pixel_of", |b| {
        b.iter(|| (0..MANY).filter_map(|i| black_box(camera()).pixel_of(star(i))).map(|p| p[0]).sum::<f64>());
    });
    let view = camera().view();
    c.bench_function("1e6 View::pixel_of", |b| {
        b.iter(|| (0..MANY).filter_map(|i| black_box(view).pixel_of(star(i))).map(|p| p[0]).sum::<f64>());
    });
    c.bench_function("1e6 View::direction_of", |b| {
        let pixel = |i: u32| [f64::from(i % 6048), f64::from(i % 4024)];
        b.iter(|| {
            (0..MANY).filter_map(|i| black_box(view).direction_of(pixel(i))).map(|d| d.altitude_deg).sum::<f64>()
        });
    });
}

fn eyes(c: &mut Criterion) {
    let sky = |i: u32, ratio: f64| {
        let photopic_cd_m2 = 1e-4 + 1e-9 * f64::from(i);
        EyeBackground { photopic_cd_m2, scotopic_cd_m2: ratio * photopic_cd_m2 }
    };
    for (name, ratio) in [("lamp-coloured", optics::LAMP_SP_RATIO), ("coloured", 2.0)] {
        c.bench_function(&format!("1e6 visible_threshold, {name} sky"), |b| {
            b.iter(|| {
                (0..MANY)
                    .map(|i| visible_threshold(black_box(sky(i, ratio)), 10.0, 2.0).rod_scotopic_cd_m2)
                    .sum::<f64>()
            });
        });
    }
    c.bench_function("1e5 mesopic", |b| {
        b.iter(|| (0..MANY / 10).map(|i| mesopic(black_box(1e-7 * f64::from(i)), 1e-6).luminance_cd_m2).sum::<f64>());
    });
}

fn electrons(c: &mut Criterion) {
    let sensor = Sensor::generic_full_frame();
    let lens = Lens {
        f_number: 1.8,
        focal_mm: 20.0,
        transmission: 0.9,
        projection: Projection::Rectilinear,
        corner_loss_stops: 1.5,
    };
    let shot = Shot { sensor: &sensor, lens: &lens, exposure: Exposure { seconds: 4.0, iso: 1600.0, f_number: 1.8 } };
    let aurora = |i: u32| LineBrightness { green_5577_kr: 1e-5 * f64::from(i), ..LineBrightness::default() };
    c.bench_function("1e6 line_electrons", |b| {
        b.iter(|| (0..MANY).map(|i| black_box(shot).line_electrons(&aurora(i))[1]).sum::<f64>());
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = stars_to_pixels, eyes, electrons
}
criterion_main!(benches);
