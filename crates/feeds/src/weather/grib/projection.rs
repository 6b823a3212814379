//! Conformal projections of GRIB grids: from latitude and longitude to metres on the plane.
//!
//! Formulas: Snyder 1987, *Map Projections: A Working Manual*, USGS Professional Paper 1395, equations 14-15, 15-1 to
//! 15-9 (Lambert conformal conic) and 21-33 to 21-41 (polar stereographic), on the ellipsoid; a sphere is one without
//! eccentricity.

use std::f64::consts::FRAC_PI_4;

/// Standard parallels nearer than this are one, radians.
const ONE_PARALLEL_RAD: f64 = 1e-9;
/// Nearest a parallel may come to equator or pole, degrees.
const FARTHEST_PARALLEL_DEG: f64 = 89.99;
const NEAREST_PARALLEL_DEG: f64 = 0.01;

/// Figure of the Earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub(super) semi_major_m: f64,
    pub(super) eccentricity: f64,
}

impl Figure {
    /// `m` of equation 14-15.
    fn m(self, latitude: f64) -> f64 {
        latitude.cos() / (1.0 - (self.eccentricity * latitude.sin()).powi(2)).sqrt()
    }

    /// `t` of equation 15-9.
    fn t(self, latitude: f64) -> f64 {
        let es = self.eccentricity * latitude.sin();
        (FRAC_PI_4 - latitude / 2.0).tan() / ((1.0 - es) / (1.0 + es)).powf(self.eccentricity / 2.0)
    }
}

/// A cone, or its limit at the pole, with the meridian that runs straight up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cone {
    figure: Figure,
    /// Cone constant; 1 and -1 at the poles.
    n: f64,
    /// Distance from the apex where `t` is 1, m; its sign is that of `n`.
    apex_m: f64,
    /// Longitude of the straight meridian, degrees.
    pub(super) orientation_deg: f64,
}

impl Cone {
    /// Lambert conformal conic; `None` where the parallels make no cone.
    pub(super) fn lambert(figure: Figure, parallels_deg: [f64; 2], orientation_deg: f64) -> Option<Self> {
        let usable = |parallel: f64| (NEAREST_PARALLEL_DEG..=FARTHEST_PARALLEL_DEG).contains(&parallel.abs());
        if !parallels_deg.into_iter().all(usable) || parallels_deg[0] * parallels_deg[1] < 0.0 {
            return None;
        }
        let [first, second] = parallels_deg.map(f64::to_radians);
        let n = if (first - second).abs() < ONE_PARALLEL_RAD {
            first.sin()
        } else {
            (figure.m(first) / figure.m(second)).ln() / (figure.t(first) / figure.t(second)).ln()
        };
        let apex_m = figure.semi_major_m * figure.m(first) / (n * figure.t(first).powf(n));
        Some(Self { figure, n, apex_m, orientation_deg })
    }

    /// Polar stereographic, true at a parallel; `south`: seen from the south pole.
    pub(super) fn polar(figure: Figure, true_at_deg: f64, orientation_deg: f64, south: bool) -> Option<Self> {
        let parallel = true_at_deg.abs();
        if !(NEAREST_PARALLEL_DEG..=90.0).contains(&parallel) {
            return None;
        }
        let apex_m = if parallel > FARTHEST_PARALLEL_DEG {
            let e = figure.eccentricity;
            2.0 * figure.semi_major_m / ((1.0 + e).powf(1.0 + e) * (1.0 - e).powf(1.0 - e)).sqrt()
        } else {
            figure.semi_major_m * figure.m(parallel.to_radians()) / figure.t(parallel.to_radians())
        };
        let n = if south { -1.0 } else { 1.0 };
        Some(Self { figure, n, apex_m: apex_m * n, orientation_deg })
    }

    /// Metres from the apex, x to the right and y upwards along the straight meridian.
    pub(super) fn forward(&self, latitude_deg: f64, longitude_deg: f64) -> [f64; 2] {
        let rho = self.apex_m * self.figure.t(latitude_deg.to_radians()).powf(self.n);
        let theta = self.angle_deg(longitude_deg).to_radians();
        [rho * theta.sin(), -rho * theta.cos()]
    }

    /// By how much the grid's upwards is turned from true north, clockwise positive east of the straight meridian of
    /// a northern cone, degrees.
    pub(super) fn angle_deg(&self, longitude_deg: f64) -> f64 {
        self.n * quantity::wrap_degrees_180(longitude_deg - self.orientation_deg)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPHERE: Figure = Figure { semi_major_m: 6_371_229.0, eccentricity: 0.0 };
    const CLARKE: Figure = Figure { semi_major_m: 6_378_206.4, eccentricity: 0.082_271_9 };

    #[test]
    fn the_lambert_example_of_the_manual() {
        // Snyder 1987, page 296: Clarke 1866, parallels 33 and 45, origin 23 N 96 W; 35 N 75 W is x 1894410.9,
        // y 1564649.5; n 0.6304965. Printed to 0.1 m; e² 0.00676866 has six digits, good to some metres in y.
        let figure = Figure { eccentricity: 0.00676866_f64.sqrt(), ..CLARKE };
        let cone = Cone::lambert(figure, [33.0, 45.0], -96.0).unwrap();
        assert!((cone.n - 0.630_496_5).abs() < 1e-7, "{}", cone.n);
        let [x, y] = cone.forward(35.0, -75.0);
        let [_, y0] = cone.forward(23.0, -96.0);
        assert!((x - 1_894_410.9).abs() < 1.0, "{x}");
        assert!((y - y0 - 1_564_649.5).abs() < 1.0, "{}", y - y0);
    }

    #[test]
    fn a_flat_cone_is_the_polar_plane() {
        let cone = Cone::lambert(SPHERE, [89.98, 89.98], 10.0).unwrap();
        let plane = Cone::polar(SPHERE, 90.0, 10.0, false).unwrap();
        for (latitude, longitude) in [(60.0, 10.0), (75.0, -120.0), (69.0, 100.0)] {
            let ([a, b], [c, d]) = (cone.forward(latitude, longitude), plane.forward(latitude, longitude));
            assert!((a - c).hypot(b - d) < 5.0, "{latitude} {longitude}: {}", (a - c).hypot(b - d));
        }
    }

    #[test]
    fn south_is_the_mirror_of_north() {
        let north = Cone::polar(SPHERE, 60.0, 0.0, false).unwrap();
        let south = Cone::polar(SPHERE, -60.0, 0.0, true).unwrap();
        let ([a, b], [c, d]) = (north.forward(70.0, 30.0), south.forward(-70.0, 30.0));
        assert!((a - c).abs() < 1e-6 && (b + d).abs() < 1e-6);
        let cone = |sign: f64| Cone::lambert(CLARKE, [33.0 * sign, 45.0 * sign], -96.0).unwrap();
        let ([a, b], [c, d]) = (cone(1.0).forward(35.0, -75.0), cone(-1.0).forward(-35.0, -75.0));
        assert!((a - c).abs() < 1e-6 && (b + d).abs() < 1e-6, "{a} {c} {b} {d}");
    }

    #[test]
    fn parallels_that_make_no_cone_are_refused() {
        for parallels in [[30.0, -30.0], [0.0, 0.0], [90.0, 60.0], [f64::NAN, 60.0]] {
            assert_eq!(Cone::lambert(SPHERE, parallels, 0.0), None);
        }
    }
}
