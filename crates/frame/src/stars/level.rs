use std::borrow::Cow;

use crate::Plane;

/// A plane whose pixels are `factor` of the full plane's wide.
pub(crate) struct Level<'a> {
    pub(crate) plane: Cow<'a, Plane>,
    pub(crate) factor: usize,
}

/// Coarsest level: stars up to some 60 px across are still a few of its pixels wide.
const COARSEST_FACTOR: usize = 16;
/// Shortest side of a level worth searching, px.
const LEAST_SIDE_PX: usize = 24;

impl Level<'_> {
    /// The plane itself, then each level half as fine as the last.
    pub(crate) fn all(plane: &Plane) -> Vec<Level<'_>> {
        let mut levels = vec![Level { plane: Cow::Borrowed(plane), factor: 1 }];
        while let Some(last) = levels.last() {
            let short = last.plane.width().min(last.plane.height());
            if last.factor >= COARSEST_FACTOR || short < 2 * LEAST_SIDE_PX {
                break;
            }
            let Some(half) = halved(&last.plane) else { break };
            let factor = 2 * last.factor;
            levels.push(Level { plane: Cow::Owned(half), factor });
        }
        levels
    }

    /// Place on the full plane of a place on this one.
    pub(crate) fn full(&self, value: f64) -> f64 {
        value * self.factor as f64 + 0.5 * (self.factor as f64 - 1.0)
    }

    /// Place on this plane of a place on the full one.
    pub(crate) fn own(&self, value: f64) -> f64 {
        (value - 0.5 * (self.factor as f64 - 1.0)) / self.factor as f64
    }
}

/// Each two by two pixels as their mean; an odd last row or column is dropped.
fn halved(plane: &Plane) -> Option<Plane> {
    let (width, height) = (plane.width() / 2, plane.height() / 2);
    let mut samples = Vec::with_capacity(width * height);
    for y in 0..height {
        let upper = plane.row(2 * y).chunks_exact(2);
        let lower = plane.row(2 * y + 1).chunks_exact(2);
        samples.extend(upper.zip(lower).map(|(a, b)| 0.25 * ((a[0] + a[1]) + (b[0] + b[1]))));
    }
    Plane::new(width, height, samples).ok()
}
