use super::moments::Moments;
use crate::Plane;
use crate::least_squares::solve;
use crate::whole::clipped;

/// Reach of the fit in standard deviations of the star, 1.7 FWHM: the sky must show around it, and stay a simple surface.
const REACH_SIGMA: f64 = 4.0;
/// Steps of the fit; it doubles its digits with each.
const MOST_STEPS: usize = 8;
/// Step at which the centre is at rest, px.
const LAST_STEP_PX: f64 = 1e-3;
/// Unknowns: the star's light, its shift in x and y, and a sky curved in every direction.
const UNKNOWNS: usize = 9;
/// Pixels needed for that many unknowns.
const LEAST_PIXELS: usize = 18;

/// A star of known shape on a curved sky.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OnCurvedSky {
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// Height above the curved sky, and its error from the scatter of the pixels.
    pub(crate) height: f64,
    pub(crate) height_sigma: f64,
    /// Level of the sky at the centre.
    pub(crate) level: f64,
}

/// Fits the height and place of a Gaussian of a given shape together with a quadratic surface.
///
/// For stars on a narrow auroral band: the band's curvature would pull a window that takes the sky for flat.
pub(crate) fn fit(plane: &Plane, start: [f64; 2], shape: &Moments) -> Option<OnCurvedSky> {
    let inverse = shape.inverse()?;
    let [mut x, mut y] = start;
    let leash = shape.axes_px2()[0].sqrt() + 1.0;
    let mut answer = None;
    for _ in 0..MOST_STEPS {
        let equations = Equations::gather(plane, [x, y], shape, &inverse)?;
        let solution = solve(equations.normal, equations.right)?;
        let height = solution[0];
        if height <= 0.0 {
            return None;
        }
        let (dx, dy) = (solution[1] / height, solution[2] / height);
        let limit = 0.5 * leash / dx.hypot(dy).max(0.5 * leash);
        x += dx * limit;
        y += dy * limit;
        let strayed = (x - start[0]).hypot(y - start[1]);
        if strayed.is_nan() || strayed >= leash {
            return None;
        }
        let mut unit = [0.0; UNKNOWNS];
        unit[0] = 1.0;
        let variance = equations.scatter(&solution) * solve(equations.normal, unit)?[0];
        answer = Some(OnCurvedSky { x, y, height, height_sigma: variance.max(0.0).sqrt(), level: solution[3] });
        if dx.hypot(dy) < LAST_STEP_PX {
            break;
        }
    }
    answer
}

/// Normal equations of the fit.
struct Equations {
    normal: [[f64; UNKNOWNS]; UNKNOWNS],
    right: [f64; UNKNOWNS],
    squares: f64,
    pixels: usize,
}

impl Equations {
    fn gather(plane: &Plane, [x, y]: [f64; 2], shape: &Moments, inverse: &Moments) -> Option<Self> {
        let mut sums = Self { normal: [[0.0; UNKNOWNS]; UNKNOWNS], right: [0.0; UNKNOWNS], squares: 0.0, pixels: 0 };
        let columns = clipped(x, REACH_SIGMA * shape.xx.sqrt(), plane.width())?;
        for row in clipped(y, REACH_SIGMA * shape.yy.sqrt(), plane.height())? {
            let samples = plane.row(row);
            for column in columns.clone() {
                let (dx, dy) = (column as f64 - x, row as f64 - y);
                let q = inverse.form(dx, dy);
                let value = f64::from(samples.at(column));
                if q <= REACH_SIGMA * REACH_SIGMA && value.is_finite() {
                    let light = (-0.5 * q).exp();
                    // derivatives of the Gaussian by its place
                    let by_x = light * (inverse.xx * dx + inverse.xy * dy);
                    let by_y = light * (inverse.xy * dx + inverse.yy * dy);
                    sums.add([light, by_x, by_y, 1.0, dx, dy, dx * dx, dx * dy, dy * dy], value);
                }
            }
        }
        (sums.pixels >= LEAST_PIXELS).then_some(sums)
    }

    fn add(&mut self, row: [f64; UNKNOWNS], value: f64) {
        for i in 0..UNKNOWNS {
            self.right[i] += row[i] * value;
            for j in 0..UNKNOWNS {
                self.normal[i][j] += row[i] * row[j];
            }
        }
        self.squares += value * value;
        self.pixels += 1;
    }

    /// Variance of one pixel about the fit.
    fn scatter(&self, solution: &[f64; UNKNOWNS]) -> f64 {
        let explained: f64 = self.right.iter().zip(solution).map(|(b, x)| b * x).sum();
        (self.squares - explained).max(0.0) / self.pixels.saturating_sub(UNKNOWNS).max(1) as f64
    }
}
