//! How the pole of the Earth nods about its mean place.

use super::nutation_table::TERMS;
use super::{ARCSEC_RAD, Arguments, sine};

/// Unit of the table, arcsec.
const TABLE_UNIT_ARCSEC: f64 = 1e-7;
/// Terms worked on side by side.
const LANES: usize = 4;

/// One term: multiples of the arguments, and its coefficients.
#[derive(Debug)]
pub(super) struct NutationTerm {
    multiples: [f64; 5],
    longitude: [f64; 3],
    obliquity: [f64; 3],
}

impl NutationTerm {
    pub(super) const fn new(multiples: [i8; 5], longitude: [f64; 3], obliquity: [f64; 3]) -> Self {
        let m = multiples;
        let multiples = [m[0] as f64, m[1] as f64, m[2] as f64, m[3] as f64, m[4] as f64];
        Self { multiples, longitude, obliquity }
    }

    fn angle(&self, arguments: &Arguments) -> f64 {
        let m = &self.multiples;
        m[0] * arguments.moon_anomaly
            + m[1] * arguments.sun_anomaly
            + m[2] * arguments.node_distance
            + m[3] * arguments.elongation
            + m[4] * arguments.node
    }
}

/// Nutation in longitude and in obliquity, rad: within 0.03" of the full IAU 2000A series.
///
/// Four terms at a time, for the sake of vector instructions.
pub(crate) fn nutation(arguments: &Arguments) -> [f64; 2] {
    let t = arguments.t;
    let mut sums = [0.0; 2];
    for terms in TERMS.chunks(LANES) {
        let mut angles = [0.0; LANES];
        for (angle, term) in angles.iter_mut().zip(terms) {
            *angle = term.angle(arguments);
        }
        let (mut sines, mut cosines) = ([0.0; LANES], [0.0; LANES]);
        for ((s, c), angle) in sines.iter_mut().zip(&mut cosines).zip(angles) {
            *s = sine(angle);
            *c = sine(angle + 0.25);
        }
        for ((term, sine), cosine) in terms.iter().zip(sines).zip(cosines) {
            sums[0] += (term.longitude[0] + term.longitude[1] * t) * sine + term.longitude[2] * cosine;
            sums[1] += (term.obliquity[0] + term.obliquity[1] * t) * cosine + term.obliquity[2] * sine;
        }
    }
    let unit_rad = TABLE_UNIT_ARCSEC * ARCSEC_RAD;
    [sums[0] * unit_rad, sums[1] * unit_rad]
}
