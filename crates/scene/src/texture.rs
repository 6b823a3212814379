//! Smooth random patterns: numbers on a lattice, and a smooth way between them.

use crate::random::{even_of, mixed};

/// Value of a lattice point, -1..1.
fn at_point(seed: u64, x: i64, y: i64) -> f64 {
    let bits = mixed(seed ^ mixed(x.cast_unsigned()).rotate_left(17) ^ mixed(y.cast_unsigned().wrapping_add(0x51)));
    2.0 * even_of(bits) - 1.0
}

/// Level at both ends, with level slopes of slope (Perlin, SIGGRAPH 2002).
fn eased(t: f64) -> f64 {
    t * t * t * (t * (6.0 * t - 15.0) + 10.0)
}

#[expect(clippy::cast_possible_truncation, reason = "a texture may repeat beyond 2^63 steps")]
fn split(x: f64) -> (i64, f64) {
    let floor = x.floor();
    (floor as i64, x - floor)
}

/// One octave along a line, -1..1, wave length about 2.
pub(crate) fn along(seed: u64, x: f64) -> f64 {
    let (i, t) = split(x);
    let (a, b) = (at_point(seed, i, 0), at_point(seed, i + 1, 0));
    a + (b - a) * eased(t)
}

/// One octave over a plane, -1..1.
pub(crate) fn over(seed: u64, x: f64, y: f64) -> f64 {
    let ((i, s), (j, t)) = (split(x), split(y));
    let (s, t) = (eased(s), eased(t));
    let row = |j: i64| {
        let (a, b) = (at_point(seed, i, j), at_point(seed, i + 1, j));
        a + (b - a) * s
    };
    let (low, high) = (row(j), row(j + 1));
    low + (high - low) * t
}

/// Octaves over a plane, each half as long and `fall` times as strong as the one before; about -1..1.
pub(crate) fn fractal_over(seed: u64, x: f64, y: f64, octaves: u64, fall: f64) -> f64 {
    let (mut sum, mut weight, mut total, mut scale) = (0.0, 1.0, 0.0, 1.0);
    for octave in 0..octaves {
        // turned a little each time, so that the lattices do not show
        let (u, v) = (scale * (0.8 * x - 0.6 * y), scale * (0.6 * x + 0.8 * y));
        sum += weight
            * over(
                seed.wrapping_add(octave),
                if octave % 2 == 0 { x * scale } else { u },
                if octave % 2 == 0 { y * scale } else { v },
            );
        total += weight;
        weight *= fall;
        scale *= 2.0;
    }
    sum / total
}

/// Octaves along a line, as [`fractal_over`].
pub(crate) fn fractal_along(seed: u64, x: f64, octaves: u64, fall: f64) -> f64 {
    let (mut sum, mut weight, mut total, mut scale) = (0.0, 1.0, 0.0, 1.0);
    for octave in 0..octaves {
        sum += weight * along(seed.wrapping_add(octave), x * scale);
        total += weight;
        weight *= fall;
        scale *= 2.0;
    }
    sum / total
}

/// 0 below `low`, 1 above `high`, smooth between.
pub(crate) fn smooth_step(low: f64, high: f64, x: f64) -> f64 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}
