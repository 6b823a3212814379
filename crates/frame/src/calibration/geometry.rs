//! What a pixel sees: solid angle, distance from the axis, depth of air.

use sky::airmass::pickering_2002;

use crate::LensSolution;
use crate::lens::{Ground, Ready, Vector, cross, turn_back};

/// Air crossed where altitudes are not known: that at 45°, in the middle of what people photograph (judgement).
pub(crate) const ASSUMED_AIRMASS: f64 = 1.4;
/// Its error: from the zenith down to 30°.
pub(crate) const ASSUMED_AIRMASS_SIGMA: f64 = 0.4;
/// Square arcseconds in a steradian.
pub(crate) const ARCSEC2_PER_SR: f64 = 4.254_517e10;

/// A lens solution for many pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Geometry<'a> {
    solution: &'a LensSolution,
    ready: Ready,
    /// Solid angle of a pixel on the axis.
    axis_sr: f64,
    /// Distance from the axis that counts as 1: the farthest corner, or where the lens sees 90° off its axis.
    pub(crate) reach_px: f64,
}

/// What there is at a pixel.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight {
    /// Solid angle of one pixel of the frame, sr.
    pub(crate) solid_angle_sr: f64,
    /// The same over that on the axis.
    pub(crate) solid_angle_share: f64,
    /// Distance from the axis, 1 at the reach.
    pub(crate) rho: f64,
    pub(crate) airmass: f64,
}

/// A place in a frame.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Place {
    /// Beyond the lens's image, or below the horizon.
    Outside,
    /// Somewhere: no lens is known.
    NoLens,
    /// Where the lens looks.
    At(Sight),
}

impl Place {
    pub(crate) fn of(geometry: Option<&Geometry<'_>>, pixel: [f64; 2]) -> Self {
        match geometry {
            Some(geometry) => geometry.sight(pixel).map_or(Self::Outside, Self::At),
            None => Self::NoLens,
        }
    }

    pub(crate) fn sight(&self) -> Option<&Sight> {
        match self {
            Self::At(sight) => Some(sight),
            Self::Outside | Self::NoLens => None,
        }
    }
}

impl Sight {
    /// The two terms of the falloff.
    pub(crate) fn falloff_terms(&self) -> [f64; 2] {
        let square = self.rho.min(1.0).powi(2);
        [square, square * square]
    }
}

impl<'a> Geometry<'a> {
    pub(crate) fn new(solution: &'a LensSolution, [width, height]: [usize; 2]) -> Self {
        let ready = solution.model.ready();
        let [cx, cy] = solution.model.centre_px;
        let (right, bottom) = (width as f64 - 0.5, height as f64 - 0.5);
        let corners = [[-0.5, -0.5], [right, -0.5], [-0.5, bottom], [right, bottom]];
        let farthest = corners.iter().map(|[x, y]| (x - cx).hypot(y - cy)).fold(1.0, f64::max);
        let sideways = ready.pixel_of([1.0, 0.0, 0.0]).map_or(f64::INFINITY, |[x, y]| (x - cx).hypot(y - cy));
        let axis_sr = solid_angle_sr(&ready, [cx, cy]).unwrap_or(solution.model.focal_px.powi(-2));
        Self { solution, ready, axis_sr, reach_px: farthest.min(sideways).max(1.0) }
    }

    /// `None` beyond the lens's image and below the horizon.
    pub(crate) fn sight(&self, pixel: [f64; 2]) -> Option<Sight> {
        let direction = self.ready.direction_of(pixel)?;
        let altitude =
            |ground: Ground| ground.horizontal_of(turn_back(&self.solution.attitude, direction)).altitude_deg;
        let altitude_deg = self.solution.ground.map(altitude);
        if altitude_deg.is_some_and(|altitude| altitude < 0.0) {
            return None;
        }
        let [cx, cy] = self.solution.model.centre_px;
        let solid_angle_sr = solid_angle_sr(&self.ready, pixel)?;
        Some(Sight {
            solid_angle_sr,
            solid_angle_share: solid_angle_sr / self.axis_sr,
            rho: (pixel[0] - cx).hypot(pixel[1] - cy) / self.reach_px,
            airmass: altitude_deg.map_or(ASSUMED_AIRMASS, pickering_2002),
        })
    }

    /// Cosine of the angle off the axis; `None` beyond the lens's image.
    pub(crate) fn cos_off_axis(&self, pixel: [f64; 2]) -> Option<f64> {
        Some(self.ready.direction_of(pixel)?[2])
    }
}

fn solid_angle_sr(ready: &Ready, [x, y]: [f64; 2]) -> Option<f64> {
    let across = difference(ready.direction_of([x + 0.5, y])?, ready.direction_of([x - 0.5, y])?);
    let down = difference(ready.direction_of([x, y + 0.5])?, ready.direction_of([x, y - 0.5])?);
    let [a, b, c] = cross(across, down);
    Some((a * a + b * b + c * c).sqrt()).filter(|sr| *sr > 0.0)
}

fn difference(a: Vector, b: Vector) -> Vector {
    std::array::from_fn(|i| a[i] - b[i])
}
