//! Where Sun and Moon stand, and how the equator nods: series of sines, quick enough to be drawn over a map.
//!
//! The shape of the series is classical (multiples of the Moon's arguments; waves for the pull of the planets). Their
//! coefficients were fitted to JPL DE440 over 1945 to 2105 by `data/fit_series.py`. Against DE440 over those years:
//!
//! | | rms | largest |
//! |---|---|---|
//! | Sun, longitude | 0.15" | 0.7" |
//! | Moon, longitude | 0.5" | 2.9" |
//! | Moon, latitude | 0.35" | 2.0" |
//! | Moon, distance | 27 km | 50 km |
//!
//! Outside those years the errors grow without bound, so the crate refuses other dates.

mod moon;
mod moon_table;
mod nutation;
mod nutation_table;
mod sun;
mod sun_table;

use std::f64::consts::TAU;

use crate::time::Clocks;

pub(crate) use moon::moon_ecliptic;
pub(crate) use nutation::nutation;
pub(crate) use sun::sun_ecliptic;

/// Astronomical unit, km (IAU 2012).
pub(crate) const AU_KM: f64 = 149_597_870.7;
/// One arcsecond in radians.
pub(crate) const ARCSEC_RAD: f64 = TAU / ARCSEC_PER_TURN;
const ARCSEC_PER_TURN: f64 = 1_296_000.0;

/// Geocentric apparent place on the mean ecliptic and equinox of date: light time and aberration are in, nutation is not.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ecliptic {
    pub(crate) longitude_rad: f64,
    pub(crate) latitude_rad: f64,
    pub(crate) distance_km: f64,
}

/// The angles that everything is built on, in turns.
///
/// Simon et al. 1994, *Astronomy & Astrophysics* 282, 663, as adopted in the IERS Conventions 2003.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Arguments {
    /// Centuries of TT since J2000.0.
    t: f64,
    /// Mean anomaly of the Moon (l, M').
    moon_anomaly: f64,
    /// Mean anomaly of the Sun (l', M).
    sun_anomaly: f64,
    /// Distance of the Moon from its node (F).
    node_distance: f64,
    /// Elongation of the Moon from the Sun (D).
    elongation: f64,
    /// Longitude of the Moon's node.
    node: f64,
}

impl Arguments {
    pub(crate) fn at(clocks: &Clocks) -> Self {
        let t = clocks.tt_centuries();
        Self {
            t,
            moon_anomaly: turns(t, [485868.249036, 1717915923.2178, 31.8792, 0.051635]),
            sun_anomaly: turns(t, [1287104.793048, 129596581.0481, -0.5532, 0.000136]),
            node_distance: turns(t, [335779.526232, 1739527262.8478, -12.7512, -0.001037]),
            elongation: turns(t, [1072260.703692, 1602961601.2090, -6.3706, 0.006593]),
            node: turns(t, [450160.398036, -6962890.5431, 7.4722, 0.007702]),
        }
    }
}

/// A cubic in arcseconds, as the part of a turn beyond whole turns (-0.5 to 0.5).
fn turns(t: f64, c: [f64; 4]) -> f64 {
    let turns = (c[0] + t * (c[1] + t * (c[2] + t * c[3]))) * (1.0 / ARCSEC_PER_TURN);
    turns - nearest(turns)
}

/// Nearest whole number, for |x| < 2^51: adding 1.5 * 2^52 leaves no room for a fraction. Faster than `round`, which is
/// a call into the C library where the processor's own rounding cannot be assumed.
#[inline]
fn nearest(x: f64) -> f64 {
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    (x + SHIFT) - SHIFT
}

/// Sine of an angle in turns, |x| < 1e6, to 1e-9.
///
/// Folded to a quarter turn, then the Taylor series to the 13th power (next term 6e-10).
#[inline]
fn sine(x: f64) -> f64 {
    let part = x - nearest(x);
    let size = part.abs();
    let folded = size.min(0.5 - size).copysign(part) * TAU;
    let s = folded * folded;
    let high = -1.0 / 39_916_800.0 + s * (1.0 / 6_227_020_800.0);
    let tail = -1.0 / 5_040.0 + s * (1.0 / 362_880.0 + s * high);
    folded * (1.0 + s * (-1.0 / 6.0 + s * (1.0 / 120.0 + s * tail)))
}

/// Cosine and sine of an angle in turns.
#[inline]
fn unit(x: f64) -> Complex {
    [sine(x + 0.25), sine(x)]
}

/// Four waves at once: amplitude x sin(phase + rate x t), phase in turns, rate in turns a century.
#[derive(Debug)]
struct Wave4 {
    amplitude: [f64; 4],
    phase: [f64; 4],
    rate: [f64; 4],
}

/// Sum of waves, in the unit of their amplitudes. Four sums side by side let the compiler use vector instructions.
fn sum_of_waves(waves: &[Wave4], t: f64) -> f64 {
    let mut sums = [0.0; 4];
    for wave in waves {
        for (((sum, amplitude), phase), rate) in sums.iter_mut().zip(wave.amplitude).zip(wave.phase).zip(wave.rate) {
            *sum += amplitude * sine(phase + rate * t);
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3])
}

/// A number with a real and an imaginary part: cosine and sine of an angle.
type Complex = [f64; 2];

#[inline]
fn times(a: Complex, b: Complex) -> Complex {
    [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]]
}

fn mirrored(a: Complex) -> Complex {
    [a[0], -a[1]]
}

#[cfg(test)]
mod tests;
