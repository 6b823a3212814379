use std::borrow::Cow;

use super::mesh::Sky;
use super::moments::Moments;
use crate::Plane;
use crate::whole::single;

/// A plane whose pixels are `factor` of the full plane's wide.
pub(crate) struct Level<'a> {
    pub(crate) plane: Cow<'a, Plane>,
    pub(crate) factor: usize,
}

/// Coarsest level: stars up to some 60 px across are still a few of its pixels wide.
const COARSEST_FACTOR: usize = 16;
/// Shortest side of a level worth searching, px.
const LEAST_SIDE_PX: usize = 24;

impl<'a> Level<'a> {
    /// The plane itself.
    pub(crate) fn finest(plane: &'a Plane) -> Self {
        Self { plane: Cow::Borrowed(plane), factor: 1 }
    }

    /// The plane itself, then the coarser ones made of it.
    pub(crate) fn all(plane: &'a Plane, coarser: &'a [Level<'_>]) -> Vec<Self> {
        let borrowed = coarser.iter().map(|level| Self { plane: Cow::Borrowed(&*level.plane), factor: level.factor });
        std::iter::once(Self::finest(plane)).chain(borrowed).collect()
    }

    /// Levels each half as fine as the last, without the plane itself.
    pub(crate) fn coarser(plane: &Plane) -> Vec<Level<'static>> {
        let mut levels: Vec<Level<'static>> = Vec::new();
        loop {
            let (last, factor) = levels.last().map_or((plane, 1), |level| (&*level.plane, level.factor));
            let short = last.width().min(last.height());
            if factor >= COARSEST_FACTOR || short < 2 * LEAST_SIDE_PX {
                return levels;
            }
            let Some(half) = halved(last) else { return levels };
            levels.push(Level { plane: Cow::Owned(half), factor: 2 * factor });
        }
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

/// Height over its neighbours, in noise, of a pixel that stands alone.
const DOT_SIGMA: f32 = 10.0;
/// Parts of a cell's height for which the sky is worked out together: it changes over a whole cell.
const SKY_PARTS: usize = 8;
/// Pixels looked at together.
const TOGETHER: usize = 16;
/// A pixel is no star's when it is this many times as high over its highest neighbour as a star in the middle of a pixel.
const DOT_RATIO: f64 = 1.8;
/// Narrowest variance of stars that can be told so, px²; 1.6 px FWHM.
const LEAST_VARIANCE_PX2: f64 = 0.46;

/// Places of the hot pixels in a plane's samples, each with the mean of its neighbours to fill it in.
///
/// A star of a width cannot have one pixel much above the four around it. Left in, such a pixel hides the star it stands in.
pub(crate) fn dots(plane: &Plane, sky: &Sky, shape: &Moments) -> Vec<(usize, f32)> {
    pulp::Arch::new().dispatch(DotSearch { plane, sky, shape })
}

/// One look at every pixel of a plane, in the processor's widest registers.
struct DotSearch<'a> {
    plane: &'a Plane,
    sky: &'a Sky,
    shape: &'a Moments,
}

impl pulp::NullaryFnOnce for DotSearch<'_> {
    type Output = Vec<(usize, f32)>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        dots_of(self.plane, self.sky, self.shape)
    }
}

#[inline(always)]
fn dots_of(plane: &Plane, sky: &Sky, shape: &Moments) -> Vec<(usize, f32)> {
    let [_, narrow] = shape.axes_px2();
    if narrow < LEAST_VARIANCE_PX2 || plane.height() < 3 {
        return Vec::new();
    }
    let ratio = single(DOT_RATIO * (0.5 / narrow).exp());
    let width = plane.width();
    let (mut level, mut sigma) = (vec![0.0; width], vec![0.0; width]);
    let mut dots: Vec<(usize, f32)> = Vec::new();
    let together = (sky.background.cell_px() / SKY_PARTS).max(1);
    for y in 1..plane.height() - 1 {
        if (y - 1) % together == 0 {
            sky.background.fill_row(y, 1, &mut level);
            sky.noise.fill_row(y, 1, &mut sigma);
        }
        let (above, row, below) = (plane.row(y - 1), plane.row(y), plane.row(y + 1));
        for from in (1..width.saturating_sub(1)).step_by(TOGETHER) {
            let to = (from + TOGETHER).min(width - 1);
            let over = row[from..to].iter().zip(&level[from..to]).zip(&sigma[from..to]);
            let most = over.map(|((value, level), sigma)| value - level - DOT_SIGMA * sigma);
            // hardly any pixel is that high, and the compiler does these many at a time
            if most.fold(f32::MIN, |a, b| if b > a { b } else { a }) <= 0.0 {
                continue;
            }
            for x in from..to {
                let around = [row[x - 1], row[x + 1], above[x], below[x]];
                let highest = around.into_iter().fold(level[x], f32::max);
                if row[x] - level[x] > ratio * (highest - level[x]) + DOT_SIGMA * sigma[x] {
                    dots.push((y * width + x, 0.25 * around.iter().sum::<f32>()));
                }
            }
        }
    }
    dots
}

/// Each two by two pixels as their mean; an odd last row or column is dropped.
fn halved(plane: &Plane) -> Option<Plane> {
    let (width, height) = (plane.width() / 2, plane.height() / 2);
    let mut samples = Vec::with_capacity(width * height);
    pulp::Arch::new().dispatch(|| {
        for y in 0..height {
            let (upper, _odd) = plane.row(2 * y).as_chunks::<2>();
            let (lower, _odd) = plane.row(2 * y + 1).as_chunks::<2>();
            samples.extend(upper.iter().zip(lower).map(|([a, b], [c, d])| 0.25 * ((a + b) + (c + d))));
        }
    });
    Plane::new(width, height, samples).ok()
}
