use std::borrow::Cow;

use super::mesh::Mesh;
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

/// Height over its four neighbours, in noise, of a pixel that cannot belong to a star several pixels wide.
const DOT_SIGMA: f32 = 10.0;

/// The plane with its hot pixels and cosmic rays filled in from their neighbours: for stars so wide that no pixel of
/// theirs stands alone. Answers how many there were.
pub(crate) fn without_dots(plane: &Plane, noise: &Mesh) -> (Plane, usize) {
    let mut samples = plane.samples().to_vec();
    let (width, mut count) = (plane.width(), 0);
    let mut sigma = vec![0.0; width];
    for y in 1..plane.height().saturating_sub(1) {
        noise.fill_row(y, 1, &mut sigma);
        let (above, row, below) = (plane.row(y - 1), plane.row(y), plane.row(y + 1));
        for x in 1..width.saturating_sub(1) {
            let around = [above[x], row[x - 1], row[x + 1], below[x]];
            if row[x] > around.into_iter().fold(f32::MIN, f32::max) + DOT_SIGMA * sigma[x] {
                samples[y * width + x] = 0.25 * around.iter().sum::<f32>();
                count += 1;
            }
        }
    }
    (Plane::new(width, plane.height(), samples).unwrap_or_else(|_| plane.clone()), count)
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
