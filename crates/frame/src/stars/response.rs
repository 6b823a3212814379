use super::mesh::{Mesh, Sky};
use super::moments::Moments;
use crate::Plane;
use crate::whole::{index, signed, single, step};

/// Reach of the Gaussian in standard deviations: what lies beyond is 1 % of its light.
const REACH_SIGMA: f64 = 3.0;
/// Reach of the box whose mean is taken away, in standard deviations of the star: wide enough to keep most of the
/// star's own light out, narrow enough to follow an auroral band.
const BOX_REACH_SIGMA: f64 = 4.0;
/// Pixels further from the sky than this many of its standard deviations (and its own slope) count as this far in the
/// box: a bright star would else dig a moat around itself in which fainter ones drown.
const CUT_SIGMA: f32 = 5.0;
/// Places whose sums are kept at hand while all weights are gone through.
const TOGETHER: usize = 16;
/// Smallest reach of the box, px.
const LEAST_BOX_REACH_PX: usize = 5;

/// A Gaussian of any shape less the mean of a box around it, applied row by row.
///
/// A tilted Gaussian is one along the rows, then one across them that slides along: `exp(-d'C⁻¹d/2)` is
/// `N(y; yy) N(x - y xy/yy; xx - xy²/yy)`, exactly.
pub(crate) struct Filter {
    along: Vec<f32>,
    across: Vec<Tap>,
    box_x: usize,
    box_y: usize,
    pad: usize,
}

/// One row's part in the sum across rows.
struct Tap {
    row: isize,
    weight: f32,
    shift: isize,
    share: f32,
}

impl Filter {
    /// The filter matched to stars of a shape, in pixels of the plane it will run on.
    pub(crate) fn matched(shape: &Moments) -> Self {
        let slope = shape.xy / shape.yy;
        let along_px2 = shape.xx - shape.xy * slope;
        let along = gaussian(along_px2.sqrt());
        let down = gaussian(shape.yy.sqrt());
        let reach_y = down.len() / 2;
        let across = down.iter().enumerate().map(|(i, weight)| {
            let row = signed(i) - signed(reach_y);
            let shift = row as f64 * slope;
            Tap { row, weight: *weight, shift: step(shift.floor()), share: single(shift - shift.floor()) }
        });
        let across: Vec<Tap> = across.collect();
        let box_reach = |variance: f64| index((BOX_REACH_SIGMA * variance.sqrt()).ceil()).max(LEAST_BOX_REACH_PX);
        let (box_x, box_y) = (box_reach(shape.xx), box_reach(shape.yy));
        let slide = across.iter().map(|tap| tap.shift.unsigned_abs() + 1).max().unwrap_or(1);
        let pad = (along.len() / 2 + slide).max(box_x + 1);
        Self { along, across, box_x, box_y, pad }
    }

    /// Rows below the answered one that the filter must have seen; the box reaches further than the Gaussian.
    fn reach_y(&self) -> usize {
        self.box_y
    }
}

/// Weights of a Gaussian that sum to 1, an odd number of them.
fn gaussian(sigma: f64) -> Vec<f32> {
    let reach = index((REACH_SIGMA * sigma).ceil().max(1.0));
    let weight = |i: usize| (-0.5 * ((i as f64 - reach as f64) / sigma).powi(2)).exp();
    let sum: f64 = (0..=2 * reach).map(weight).sum();
    (0..=2 * reach).map(|i| single(weight(i) / sum)).collect()
}

/// The filter's answers, produced from the top row down.
pub(crate) struct Rows<'a> {
    plane: &'a Plane,
    background: &'a Mesh,
    /// How far from the background a pixel still counts as sky in the box.
    limit: Mesh,
    factor: usize,
    filter: Filter,
    /// Rows less the background, and the same after the Gaussian along the row; both with a mirrored margin.
    flat: Ring,
    smooth: Ring,
    /// Rows less the background, stars cut off; the sums of its columns; and room for rows of the meshes.
    cut: Ring,
    columns: Vec<f32>,
    level: Vec<f32>,
    bound: Vec<f32>,
    /// Room for a row of the plane.
    room: Vec<f32>,
    read: usize,
}

impl<'a> Rows<'a> {
    /// * `factor`: how many of the background's pixels one of the plane's is wide.
    pub(crate) fn new(plane: &'a Plane, sky: &'a Sky, factor: usize, filter: Filter) -> Self {
        let length = plane.width() + 2 * filter.pad;
        let keep = 2 * filter.reach_y() + 2;
        Self {
            plane,
            background: &sky.background,
            limit: sky.reach(CUT_SIGMA),
            factor,
            flat: Ring::new(keep, length),
            smooth: Ring::new(keep, length),
            cut: Ring::new(keep, length),
            columns: vec![0.0; length],
            level: vec![0.0; plane.width()],
            bound: vec![0.0; plane.width()],
            room: Vec::new(),
            filter,
            read: 0,
        }
    }

    /// Writes the answer of row `y` into `out`. Rows must be asked for in order, each once.
    #[inline(always)]
    pub(crate) fn answer(&mut self, y: usize, out: &mut [f32]) {
        let reach = self.filter.reach_y();
        while self.read <= y + 2 * reach {
            self.read_row(self.read);
            self.read += 1;
        }
        self.take_out_of_box(y);
        self.sum_across(y, out);
        self.subtract_box(out);
    }

    /// Reads one row; the rows above the plane come first, as the plane's own in a mirror.
    #[inline(always)]
    fn read_row(&mut self, number: usize) {
        let (pad, width, height) = (self.filter.pad, self.plane.width(), self.plane.height());
        let y = mirrored(signed(number) - signed(self.filter.reach_y()), height);
        let flat = self.flat.row_mut(number);
        let smooth = self.smooth.row_mut(number);
        self.background.fill_row(y, self.factor, &mut self.level);
        let samples = self.plane.row(y).samples(&mut self.room).iter().zip(&self.level);
        for (value, (sample, level)) in flat[pad..pad + width].iter_mut().zip(samples) {
            let difference = sample - level;
            // a pixel that is no number counts as sky
            *value = if difference.is_finite() { difference } else { 0.0 };
        }
        mirror_ends(flat, pad, width);
        convolve(flat, &self.filter.along, smooth);
        self.limit.fill_row(y, self.factor, &mut self.bound);
        let cut = self.cut.row_mut(number);
        let within = flat[pad..pad + width].iter().zip(&self.bound);
        for (value, (flat, bound)) in cut[pad..pad + width].iter_mut().zip(within) {
            *value = flat.min(*bound).max(-bound);
        }
        mirror_ends(cut, pad, width);
        for (sum, value) in self.columns.iter_mut().zip(&*cut) {
            *sum += value;
        }
    }

    /// Takes the row that the box around row `y` has left behind out of the sums of the columns.
    #[inline(always)]
    fn take_out_of_box(&mut self, y: usize) {
        if let Some(gone) = y.checked_sub(1) {
            for (sum, value) in self.columns.iter_mut().zip(self.cut.row(gone)) {
                *sum -= value;
            }
        }
    }

    #[inline(always)]
    fn sum_across(&self, y: usize, out: &mut [f32]) {
        let taps: Vec<(&[f32], f32, f32)> = self
            .filter
            .across
            .iter()
            .map(|tap| {
                let row = (y + self.filter.reach_y()).saturating_add_signed(tap.row);
                let from = self.filter.pad.saturating_add_signed(tap.shift);
                (&self.smooth.row(row)[from..], tap.weight * (1.0 - tap.share), tap.weight * tap.share)
            })
            .collect();
        let (blocks, rest) = out.as_chunks_mut::<TOGETHER>();
        let whole = blocks.len() * TOGETHER;
        for (block, out) in blocks.iter_mut().enumerate() {
            let mut sums = [0.0f32; TOGETHER];
            for (smooth, near, far) in &taps {
                let smooth = &smooth[block * TOGETHER..];
                let Some(values) = smooth.first_chunk::<TOGETHER>() else { continue };
                match smooth.get(1..).and_then(<[f32]>::first_chunk::<TOGETHER>) {
                    Some(next) if *far > 0.0 => {
                        for i in 0..TOGETHER {
                            sums[i] += near * values[i] + far * next[i];
                        }
                    }
                    _ => {
                        for i in 0..TOGETHER {
                            sums[i] += near * values[i];
                        }
                    }
                }
            }
            *out = sums;
        }
        for (i, out) in rest.iter_mut().enumerate() {
            let place = whole + i;
            *out = taps.iter().fold(0.0, |sum, (smooth, near, far)| {
                if *far > 0.0 {
                    sum + (near * smooth[place] + far * smooth[place + 1])
                } else {
                    sum + near * smooth[place]
                }
            });
        }
    }

    #[inline(always)]
    fn subtract_box(&self, out: &mut [f32]) {
        let (reach, pad) = (self.filter.box_x, self.filter.pad);
        let share = 1.0 / ((2 * reach + 1) * (2 * self.filter.box_y + 1)) as f32;
        let mut sum: f32 = self.columns[pad - reach - 1..pad + reach].iter().sum();
        let entering = &self.columns[pad + reach..];
        let leaving = &self.columns[pad - reach - 1..];
        let mut sums = [0.0f32; TOGETHER];
        for ((out, entering), leaving) in
            out.chunks_mut(TOGETHER).zip(entering.chunks(TOGETHER)).zip(leaving.chunks(TOGETHER))
        {
            // each sum waits for the last, so that the rest is done apart, several at once
            for ((kept, new), old) in sums.iter_mut().zip(entering).zip(leaving) {
                sum += new - old;
                *kept = sum;
            }
            for (value, sum) in out.iter_mut().zip(&sums) {
                *value -= sum * share;
            }
        }
    }
}

/// The place that stands in for `i` on an axis of `n`: beyond an end, the plane's own in a mirror.
fn mirrored(i: isize, n: usize) -> usize {
    let n = signed(n);
    let turned = i.rem_euclid(2 * n);
    turned.min(2 * n - 1 - turned).unsigned_abs()
}

fn mirror_ends(row: &mut [f32], pad: usize, width: usize) {
    for i in 0..pad {
        row[i] = row[pad + mirrored(signed(i) - signed(pad), width)];
        row[pad + width + i] = row[pad + mirrored(signed(width + i), width)];
    }
}

/// `out` becomes the sum of `row` times the weights centred on each place; the outermost places stay 0.
#[inline(always)]
fn convolve(row: &[f32], weights: &[f32], out: &mut [f32]) {
    let reach = weights.len() / 2;
    let end = out.len() - reach;
    let (blocks, rest) = out[reach..end].as_chunks_mut::<TOGETHER>();
    let whole = blocks.len() * TOGETHER;
    for (block, out) in blocks.iter_mut().enumerate() {
        let mut sums = [0.0f32; TOGETHER];
        for (weight, from) in weights.iter().zip(block * TOGETHER..) {
            let Some(values) = row[from..].first_chunk::<TOGETHER>() else { continue };
            for i in 0..TOGETHER {
                sums[i] += weight * values[i];
            }
        }
        *out = sums;
    }
    for (i, out) in rest.iter_mut().enumerate() {
        *out = weights.iter().zip(&row[whole + i..]).fold(0.0, |sum, (weight, value)| sum + weight * value);
    }
}

/// The last few rows of a plane that is too large to keep.
pub(crate) struct Ring {
    keep: usize,
    length: usize,
    values: Vec<f32>,
}

impl Ring {
    pub(crate) fn new(keep: usize, length: usize) -> Self {
        Self { keep, length, values: vec![0.0; keep * length] }
    }

    pub(crate) fn row(&self, y: usize) -> &[f32] {
        let start = y % self.keep * self.length;
        &self.values[start..start + self.length]
    }

    pub(crate) fn row_mut(&mut self, y: usize) -> &mut [f32] {
        let start = y % self.keep * self.length;
        &mut self.values[start..start + self.length]
    }
}
