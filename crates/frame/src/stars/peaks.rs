use std::f64::consts::PI;

use super::mesh::{Mesh, SIGMA_PER_MAD, Sky, Spread, fill_gaps, lower_median, sort};
use super::moments::Moments;
use super::response::{Filter, Ring, Rows};
use crate::Plane;
use crate::whole::{index, single, step};

/// Share of the asked significance at which a peak is first noted, by the noise of its own cell; the smoothed noise
/// decides later.
const FIRST_LOOK_SHARE: f32 = 0.8;
/// A peak must be the highest within this many standard deviations of the star: two stars closer than about 0.75 of
/// their FWHM have one peak between them anyway.
const CORE_SIGMA: f64 = 1.7;
/// Distance at which the answer to a star has fallen to `exp(-3.5²/4)` = 5 %, in standard deviations of the star.
const FLANK_SIGMA: f64 = 3.5;
/// Directions in which both flanks are looked at.
const DIRECTIONS: u32 = 8;
/// Share of its height by which a peak must stand above the lower of two opposite flanks: a star keeps 95 %, a ridge
/// (auroral band, branch, satellite trail) nothing. The rest is room for neighbours and noise.
const LEAST_PROMINENCE: f32 = 0.5;
/// Height over the flanks, in significances of the first look, with which a peak on a ridge is noted all the same: a star on
/// a band; twice what a star needs, and its shape must then prove it.
const RIDGE_PROMINENCE: f32 = 2.5;
/// Samples taken along a cell's row and column for its noise: 144 give it to a tenth, and nine cells are put together.
const SAMPLES_ALONG: usize = 12;
/// Noise of the answer at an edge over that inside: there each pixel counts twice, once in the mirror.
const EDGE_NOISE: f32 = std::f32::consts::SQRT_2;
/// Share of a cell's samples in the lower tail that is looked at, and its distance from the median in Gaussian noise.
const LOW_TAIL_SHARE: f32 = 0.03;
const LOW_TAIL_SIGMA: f32 = 1.88;
/// Share of the cells that are taken for plain sky: the quietest, each against the noise of its own pixels.
const PLAIN_SHARE: f64 = 0.4;
/// Smallest side of a cell of the answer's noise, px of the filtered plane.
const SMALLEST_CELL_PX: usize = 8;
/// Peaks noted in one plane at most: memory is bounded on a plane of pure texture.
const MOST_PEAKS: usize = 400_000;

/// A local maximum of the filter's answer, in pixels of the filtered plane.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Peak {
    pub(crate) x: usize,
    pub(crate) y: usize,
    pub(crate) height: f32,
    /// Height over the smoothed noise of the answer; where that is no star's, over the noise that the pixels alone make.
    pub(crate) significance: f32,
    /// Whether only the pixels' noise makes it significant: the sky here has structure of a star's size.
    pub(crate) on_structure: bool,
}

/// What one pass of a filter finds.
pub(crate) struct Peaks {
    pub(crate) found: Vec<Peak>,
    /// Peaks that are ridges.
    pub(crate) ridges: usize,
}

/// Looks for patches of light of a shape (px² of `plane`) that stand out by `threshold` standard deviations.
///
/// * `factor`: how many pixels of the full plane one of `plane` is wide.
pub(crate) fn find(plane: &Plane, sky: &Sky, factor: usize, shape: &Moments, threshold: f32) -> Peaks {
    let cell = (sky.background.cell_px() / factor).max(SMALLEST_CELL_PX);
    let scan = Scan::new(plane, sky, factor, shape, cell, threshold * FIRST_LOOK_SHARE);
    let rows = Rows::new(plane, sky, factor, Filter::matched(shape));
    // the filter's loops are the longest of all: in the processor's widest registers, with the same results
    pulp::Arch::new().dispatch(Pass { scan, rows, threshold })
}

/// One pass of a filter over a plane.
struct Pass<'a> {
    scan: Scan<'a>,
    rows: Rows<'a>,
    threshold: f32,
}

impl pulp::NullaryFnOnce for Pass<'_> {
    type Output = Peaks;

    #[inline(always)]
    fn call(self) -> Peaks {
        self.scan.run(self.rows, self.threshold)
    }
}

/// State of one pass: strips of cells are filtered, their noise is measured, then their peaks are noted.
struct Scan<'a> {
    pixel_noise: &'a Mesh,
    factor: usize,
    width: usize,
    height: usize,
    cell: usize,
    first_look: f32,
    floor: f32,
    /// Pixels within the core, as steps in x and y, without the pixel itself.
    core: Vec<[isize; 2]>,
    flanks: Vec<[isize; 2]>,
    reach: usize,
    /// Columns and rows along the edges where the mirrored margin weighs on the answer.
    margin: [usize; 2],
    peaks: Vec<Peak>,
    ridges: usize,
    noise: Vec<f32>,
    /// Noise of the answer over that of a pixel, cell by cell.
    ratios: Vec<f32>,
    /// Room for sorting.
    keys: [Vec<u32>; 2],
}

impl<'a> Scan<'a> {
    fn new(plane: &Plane, sky: &'a Sky, factor: usize, shape: &Moments, cell: usize, first_look: f32) -> Self {
        let floor = sky.floor / factor as f32;
        let core = core_steps(shape);
        let flanks: Vec<[isize; 2]> = (0..DIRECTIONS)
            .map(|i| shape.offset(FLANK_SIGMA, PI * f64::from(i) / f64::from(DIRECTIONS)))
            .map(|[dx, dy]| [round(dx), round(dy)])
            .collect();
        let reach = core.iter().chain(&flanks).map(|step| step[1].unsigned_abs()).max().unwrap_or(1);
        Self {
            pixel_noise: &sky.noise,
            factor,
            width: plane.width(),
            height: plane.height(),
            cell,
            first_look,
            // the filter averages the steps of many pixels, so this is a cautious floor for its answer
            floor: floor / single((4.0 * PI * shape.determinant().max(0.0).sqrt()).sqrt().max(1.0)),
            core,
            flanks,
            reach,
            margin: [shape.xx, shape.yy].map(|variance| index((2.0 * variance.sqrt()).ceil())),
            peaks: Vec::new(),
            ridges: 0,
            noise: Vec::new(),
            ratios: Vec::new(),
            keys: [Vec::new(), Vec::new()],
        }
    }

    #[inline(always)]
    fn run(mut self, mut rows: Rows, threshold: f32) -> Peaks {
        let mut answers = Ring::new(self.cell + 2 * self.reach, self.width);
        let mut done = 0;
        let mut top = 0;
        while top < self.height {
            let bottom = (top + self.cell).min(self.height);
            let needed = (bottom + self.reach).min(self.height);
            while done < needed {
                rows.answer(done, answers.row_mut(done));
                done += 1;
            }
            self.strip(&answers, top, bottom);
            top = bottom;
        }
        self.finish(threshold)
    }

    #[inline(always)]
    fn strip(&mut self, answers: &Ring, top: usize, bottom: usize) {
        let mut samples = Vec::new();
        for left in (0..self.width).step_by(self.cell) {
            let right = (left + self.cell).min(self.width);
            let noise = self.cell_noise(answers, [left, right, top, bottom], &mut samples);
            let pixel = self.pixel_noise_at([left + right, top + bottom].map(|sum| 0.5 * (sum as f64 - 1.0)));
            if noise > 0.0 && pixel > 0.0 {
                self.ratios.push(noise / pixel);
            }
            self.noise.push(noise);
        }
        let ratio = self.ratio();
        let first = self.noise.len() - self.width.div_ceil(self.cell);
        for (i, left) in (0..self.width).step_by(self.cell).enumerate() {
            let right = (left + self.cell).min(self.width);
            let pixel = self.pixel_noise_at([left + right, top + bottom].map(|sum| 0.5 * (sum as f64 - 1.0)));
            let limit = self.first_look * self.noise[first + i].min(ratio * pixel).max(self.floor);
            if limit > 0.0 {
                for y in top..bottom {
                    self.row_of_cell(answers, y, [left, right], limit);
                }
            }
        }
    }

    /// Noise of the answer over that of a pixel where the sky has no structure, by the cells seen so far.
    fn ratio(&self) -> f32 {
        let mut ratios = self.ratios.clone();
        let place = index(PLAIN_SHARE * ratios.len() as f64);
        match ratios.get(place) {
            Some(_) => *ratios.select_nth_unstable_by(place, f32::total_cmp).1,
            None => f32::INFINITY,
        }
    }

    /// Noise of a full plane's pixel at a place of the filtered one.
    fn pixel_noise_at(&self, place: [f64; 2]) -> f32 {
        let [x, y] = place.map(|value| value * self.factor as f64 + 0.5 * (self.factor as f64 - 1.0));
        single(self.pixel_noise.at(x, y))
    }

    fn cell_noise(&mut self, answers: &Ring, [left, right, top, bottom]: [usize; 4], samples: &mut Vec<f32>) -> f32 {
        let stride = ((2 * self.cell + SAMPLES_ALONG) / (2 * SAMPLES_ALONG)).max(1);
        samples.clear();
        for (i, y) in (top..bottom).step_by(stride).enumerate() {
            samples.extend(answers.row(y)[left..right].iter().skip(i % stride).step_by(stride));
        }
        samples.retain(|value| value.is_finite());
        sort(samples, &mut self.keys);
        let Some(spread) = Spread::of(samples) else { return 0.0 };
        // stars make no tail below, dark branches and texture do
        let low = samples[index(f64::from((LOW_TAIL_SHARE * samples.len() as f32).floor()))];
        ((spread.median - low) / LOW_TAIL_SIGMA).max(SIGMA_PER_MAD * spread.deviation)
    }

    #[inline(always)]
    fn row_of_cell(&mut self, answers: &Ring, y: usize, [left, right]: [usize; 2], limit: f32) {
        /// Pixels looked at together: most hold no peak.
        const TOGETHER: usize = 16;
        let row = answers.row(y);
        for (block, values) in row[left..right].chunks(TOGETHER).enumerate() {
            if values.iter().fold(f32::MIN, |a, b| if *b > a { *b } else { a }) <= limit {
                continue;
            }
            for (i, value) in values.iter().enumerate().filter(|(_, value)| **value > limit) {
                self.try_peak(answers, [left + block * TOGETHER + i, y], *value, limit);
            }
        }
    }

    fn try_peak(&mut self, answers: &Ring, [x, y]: [usize; 2], height: f32, limit: f32) {
        let at = |[dx, dy]: [isize; 2]| {
            let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
            if y < self.height { answers.row(y).get(x).copied() } else { None }
        };
        // of two equal pixels the first one is the peak
        let beaten = |step: [isize; 2]| {
            let first = step[1] < 0 || (step[1] == 0 && step[0] < 0);
            at(step).is_some_and(|other| other > height || (first && other >= height))
        };
        if self.peaks.len() >= MOST_PEAKS || self.core.iter().any(|step| beaten(*step)) {
            return;
        }
        let lower_flank = |[dx, dy]: &[isize; 2]| {
            let (a, b) = (at([*dx, *dy]).unwrap_or(0.0), at([-dx, -dy]).unwrap_or(0.0));
            a.min(b)
        };
        let flank = self.flanks.iter().map(lower_flank).fold(0.0, f32::max);
        let prominence = height - flank;
        let on_ridge = prominence < LEAST_PROMINENCE * height;
        if on_ridge && prominence < RIDGE_PROMINENCE * limit {
            self.ridges += 1;
        } else {
            self.peaks.push(Peak { x, y, height, significance: 0.0, on_structure: on_ridge });
        }
    }

    fn finish(mut self, threshold: f32) -> Peaks {
        let columns = self.width.div_ceil(self.cell);
        self.noise.iter_mut().filter(|noise| **noise <= 0.0).for_each(|noise| *noise = f32::NAN);
        let mut values = median_of_nine(&self.noise, columns);
        fill_gaps(&mut values, columns);
        for noise in &mut values {
            *noise = noise.max(self.floor);
        }
        let ratio = self.ratio();
        let factor = self.factor;
        let noise = Mesh::new(self.cell * factor, columns, values.len() / columns, values);
        let middle = |i: usize| (i * factor) as f64 + 0.5 * (factor as f64 - 1.0);
        let margin = self.margin;
        for peak in &mut self.peaks {
            let sigma = single(noise.at(middle(peak.x), middle(peak.y)));
            let near_edge = peak.x < margin[0]
                || peak.y < margin[1]
                || peak.x + margin[0] >= self.width
                || peak.y + margin[1] >= self.height;
            let sigma = if near_edge { EDGE_NOISE * sigma } else { sigma };
            let pixel = single(self.pixel_noise.at(middle(peak.x), middle(peak.y)));
            let plain = (ratio * if near_edge { EDGE_NOISE * pixel } else { pixel }).max(self.floor);
            peak.significance = if sigma > 0.0 { peak.height / sigma } else { 0.0 };
            peak.on_structure |= peak.significance < threshold;
            if peak.significance < threshold && plain > 0.0 {
                peak.significance = peak.height / plain;
            }
        }
        self.peaks.retain(|peak| peak.significance >= threshold);
        self.peaks.sort_by(|a, b| b.significance.total_cmp(&a.significance));
        Peaks { found: self.peaks, ridges: self.ridges }
    }
}

/// Steps to the pixels within the core of a star, without the pixel itself; at least its eight neighbours.
fn core_steps(shape: &Moments) -> Vec<[isize; 2]> {
    let inverse = shape.inverse().unwrap_or(Moments::round(1.0));
    let reach = |variance: f64| round((CORE_SIGMA * variance.sqrt()).ceil()).max(1);
    let (reach_x, reach_y) = (reach(shape.xx), reach(shape.yy));
    let inside = |dx: isize, dy: isize| {
        dx.abs().max(dy.abs()) <= 1 || inverse.form(dx as f64, dy as f64) <= CORE_SIGMA * CORE_SIGMA
    };
    (-reach_y..=reach_y)
        .flat_map(|dy| (-reach_x..=reach_x).map(move |dx| [dx, dy]))
        .filter(|[dx, dy]| (*dx, *dy) != (0, 0) && inside(*dx, *dy))
        .collect()
}

fn round(value: f64) -> isize {
    step(value.round())
}

/// Each cell's median with its neighbours: one bright star or lamp does not raise the noise around it.
fn median_of_nine(values: &[f32], columns: usize) -> Vec<f32> {
    let rows = values.len() / columns.max(1);
    (0..values.len())
        .map(|i| {
            let (r, c) = (i / columns, i % columns);
            let mut around: Vec<f32> = (r.saturating_sub(1)..(r + 2).min(rows))
                .flat_map(|r| (c.saturating_sub(1)..(c + 2).min(columns)).map(move |c| values[r * columns + c]))
                .collect();
            lower_median(&mut around).unwrap_or(f32::NAN)
        })
        .collect()
}
