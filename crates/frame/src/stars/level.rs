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

    /// Levels each half as fine as the last, from the second on.
    ///
    /// * `half`: the plane half as fine; `None` where the plane itself is too small for it.
    fn coarser(half: Option<Plane>) -> Vec<Level<'static>> {
        let mut levels: Vec<Level<'static>> = Vec::new();
        let mut next = half;
        while let Some(plane) = next {
            let factor = 2 * levels.last().map_or(1, |level| level.factor);
            next = if factor < COARSEST_FACTOR && may_be_halved(&plane) { halved(&plane) } else { None };
            levels.push(Level { plane: Cow::Owned(plane), factor });
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

/// A pixel that is much higher than its neighbours: hot where a star of the plane cannot be so narrow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Dot {
    /// Among the samples of the plane.
    pub(crate) place: usize,
    /// Height of the pixel over the sky, [`DOT_SIGMA`] of the noise taken off.
    over: f32,
    /// Height of its highest neighbour over the sky, at least 0.
    beside: f32,
    /// Mean of its neighbours, to fill it in.
    pub(crate) filling: f32,
}

impl Dot {
    /// Whether a star of a shape cannot have one pixel so much above the four around it. Left in, such a pixel hides the star it
    /// stands in.
    pub(crate) fn is_hot(&self, shape: &Moments) -> bool {
        let [_, narrow] = shape.axes_px2();
        narrow >= LEAST_VARIANCE_PX2 && self.over > single(DOT_RATIO * (0.5 / narrow).exp()) * self.beside
    }
}

/// What one pass over a plane tells.
pub(crate) struct FirstPass {
    /// Levels each half as fine as the last, without the plane itself.
    pub(crate) coarser: Vec<Level<'static>>,
    /// Pixels that may be hot, in the order of their places.
    pub(crate) dots: Vec<Dot>,
}

/// Halves a plane and looks for pixels that stand alone, row by row: each is worked out once.
pub(crate) fn first_pass(plane: &Plane, sky: &Sky) -> FirstPass {
    let (half, dots) = pulp::Arch::new().dispatch(Pass { plane, sky });
    FirstPass { coarser: Level::coarser(half), dots }
}

/// Makes the coarser levels those of a plane that has changed at some places.
pub(crate) fn change(coarser: &mut [Level<'static>], plane: &Plane, places: impl Iterator<Item = usize>) {
    let mut changed: Vec<[usize; 2]> = places.map(|place| [place % plane.width(), place / plane.width()]).collect();
    let mut finer: Option<&mut Level<'static>> = None;
    for level in coarser {
        for place in &mut changed {
            *place = place.map(|at| at / 2);
        }
        changed.dedup();
        let of_four = |plane: &Plane, [x, y]: [usize; 2]| {
            let (upper, lower) = (plane.row(2 * y), plane.row(2 * y + 1));
            let at = |x| [upper.at(x), lower.at(x)];
            let ([a, c], [b, d]) = (at(2 * x), at(2 * x + 1));
            mean_of_four([a, b], [c, d])
        };
        let [width, height] = [level.plane.width(), level.plane.height()];
        let from = finer.as_ref().map_or(plane, |finer| &finer.plane);
        let inside = changed.iter().filter(|[x, y]| *x < width && *y < height);
        let values: Vec<(usize, f32)> = inside.map(|[x, y]| (y * width + x, of_four(from, [*x, *y]))).collect();
        if let Some(samples) = level.plane.to_mut().kept_mut() {
            for (place, value) in values {
                samples[place] = value;
            }
        }
        finer = Some(level);
    }
}

/// One look at every pixel of a plane, in the processor's widest registers.
struct Pass<'a> {
    plane: &'a Plane,
    sky: &'a Sky,
}

/// Rows that are looked at together.
const ROWS_AT_HAND: usize = 3;

impl pulp::NullaryFnOnce for Pass<'_> {
    type Output = (Option<Plane>, Vec<Dot>);

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self { plane, sky } = self;
        let (width, height) = (plane.width(), plane.height());
        let halves = may_be_halved(plane);
        let mut half = Vec::with_capacity(if halves { (width / 2) * (height / 2) } else { 0 });
        let mut search = DotSearch::new(plane, sky);
        let mut rooms = [const { Vec::new() }; ROWS_AT_HAND];
        for y in 0..height {
            // of a plane that is kept nothing is copied
            plane.row(y).samples(&mut rooms[y % ROWS_AT_HAND]);
            let [above, row, below] = [2, 1, 0].map(|up| {
                let y = y.saturating_sub(up);
                plane.row(y).kept().unwrap_or(&rooms[y % ROWS_AT_HAND])
            });
            if y >= 2 {
                search.row(y - 1, [above, row, below]);
            }
            if halves && y % 2 == 1 {
                halve([row, below], &mut half);
            }
        }
        (Plane::new(width / 2, height / 2, half).ok().filter(|_| halves), search.dots)
    }
}

/// Pixels that stand alone.
struct DotSearch<'a> {
    sky: &'a Sky,
    level: Vec<f32>,
    sigma: Vec<f32>,
    together: usize,
    dots: Vec<Dot>,
}

impl<'a> DotSearch<'a> {
    fn new(plane: &Plane, sky: &'a Sky) -> Self {
        let [level, sigma] = [(); 2].map(|()| vec![0.0; plane.width()]);
        Self { sky, level, sigma, together: (sky.background.cell_px() / SKY_PARTS).max(1), dots: Vec::new() }
    }

    /// Looks at row `y`, the rows coming in order.
    #[inline(always)]
    fn row(&mut self, y: usize, [above, row, below]: [&[f32]; 3]) {
        if (y - 1).is_multiple_of(self.together) {
            self.sky.background.fill_row(y, 1, &mut self.level);
            self.sky.noise.fill_row(y, 1, &mut self.sigma);
        }
        let (level, sigma, width) = (self.level.as_slice(), self.sigma.as_slice(), row.len());
        for from in (1..width.saturating_sub(1)).step_by(TOGETHER) {
            let to = (from + TOGETHER).min(width - 1);
            // hardly any pixel is that high, and of a whole number of them the compiler does many at a time
            if let [Some(row), Some(level), Some(sigma)] = [row, level, sigma].map(|of| together(of, from)) {
                let mut high = 0;
                for i in 0..TOGETHER {
                    high |= u32::from(row[i] - level[i] > DOT_SIGMA * sigma[i]);
                }
                if high == 0 {
                    continue;
                }
            }
            for x in from..to {
                let around = [row[x - 1], row[x + 1], above[x], below[x]];
                let highest = around.into_iter().fold(level[x], f32::max);
                let dot = Dot {
                    place: y * width + x,
                    over: row[x] - level[x] - DOT_SIGMA * sigma[x],
                    beside: highest - level[x],
                    filling: 0.25 * around.iter().sum::<f32>(),
                };
                // whatever the stars look like, it must be this much higher
                if dot.over > dot.beside {
                    self.dots.push(dot);
                }
            }
        }
    }
}

/// The pixels that are looked at together from a place on.
#[inline(always)]
fn together(of: &[f32], from: usize) -> Option<&[f32; TOGETHER]> {
    of.get(from..)?.first_chunk()
}

/// Whether a plane is large enough for one half as fine.
fn may_be_halved(plane: &Plane) -> bool {
    plane.width().min(plane.height()) >= 2 * LEAST_SIDE_PX
}

/// Each two by two pixels as their mean; an odd last row or column is dropped.
fn halved(plane: &Plane) -> Option<Plane> {
    let (width, height) = (plane.width() / 2, plane.height() / 2);
    let (mut samples, mut rooms) = (Vec::with_capacity(width * height), [const { Vec::new() }; 2]);
    pulp::Arch::new().dispatch(|| {
        let [upper, lower] = &mut rooms;
        for y in 0..height {
            halve([plane.row(2 * y).samples(upper), plane.row(2 * y + 1).samples(lower)], &mut samples);
        }
    });
    Plane::new(width, height, samples).ok()
}

/// Appends the means of each two by two of two rows.
#[inline(always)]
fn halve([upper, lower]: [&[f32]; 2], samples: &mut Vec<f32>) {
    let pairs = upper.as_chunks::<2>().0.iter().zip(lower.as_chunks::<2>().0);
    samples.extend(pairs.map(|(upper, lower)| mean_of_four(*upper, *lower)));
}

#[inline(always)]
fn mean_of_four([a, b]: [f32; 2], [c, d]: [f32; 2]) -> f32 {
    0.25 * ((a + b) + (c + d))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that look random (Numerical Recipes' linear congruence).
    fn plane(width: usize, height: usize) -> Plane {
        let mut state = 5u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f32::from(u16::from_be_bytes([state.to_be_bytes()[0], state.to_be_bytes()[1]]))
        };
        Plane::new(width, height, (0..width * height).map(|_| next()).collect()).unwrap()
    }

    #[test]
    fn levels_of_a_changed_plane_are_those_made_anew() {
        let before = plane(403, 211);
        let mut after = before.clone();
        let mut others: Vec<(usize, f32)> =
            (0..403 * 211).step_by(97).chain([403 * 211 - 1]).map(|place| (place, -5.0)).collect();
        let mut levels = first_pass(&before, &Sky::measure(&before)).coarser;
        assert_eq!(levels.iter().map(|level| level.factor).collect::<Vec<usize>>(), [2, 4, 8]);
        after.exchange(&mut others);
        change(&mut levels, &after, others.iter().map(|(place, _)| *place));
        let anew = first_pass(&after, &Sky::measure(&after)).coarser;
        for (level, anew) in levels.iter().zip(&anew) {
            assert_eq!(level.plane, anew.plane);
        }
        assert_eq!(levels.len(), anew.len());
    }

    #[test]
    fn a_pixel_alone_is_hot_among_wide_stars_and_not_among_sharp_ones() {
        let mut samples = vec![10.0; 100 * 100];
        for (x, y) in (0..100).flat_map(|y| (0..100).map(move |x| (x, y))) {
            samples[y * 100 + x] += ((x * 7 + y * 13) % 5) as f32;
        }
        samples[50 * 100 + 40] = 500.0;
        let plane = Plane::new(100, 100, samples).unwrap();
        let dots = first_pass(&plane, &Sky::measure(&plane)).dots;
        let hot =
            |shape: &Moments| dots.iter().filter(|dot| dot.is_hot(shape)).map(|dot| dot.place).collect::<Vec<_>>();
        assert_eq!(hot(&Moments::round(1.5)), [50 * 100 + 40]);
        assert!(hot(&Moments::round(0.2)).is_empty());
    }
}
