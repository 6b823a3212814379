use crate::Plane;
use crate::whole::{index, single};

/// A quantity on a coarse grid of square cells over a plane, read between the cells' middles by straight lines.
///
/// Cell `(0, 0)` begins at the top left pixel; the last row and column of cells may reach beyond the plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    cell_px: usize,
    columns: usize,
    rows: usize,
    values: Vec<f32>,
}

impl Mesh {
    pub(crate) fn new(cell_px: usize, columns: usize, rows: usize, values: Vec<f32>) -> Self {
        Self { cell_px: cell_px.max(1), columns: columns.max(1), rows: rows.max(1), values }
    }

    /// Side of a cell, px.
    pub fn cell_px(&self) -> usize {
        self.cell_px
    }

    /// Cells across and down.
    pub fn size(&self) -> [usize; 2] {
        [self.columns, self.rows]
    }

    /// Values of all cells, row by row.
    pub fn values(&self) -> &[f32] {
        &self.values
    }

    /// Value at a pixel; beyond the middles of the outer cells it stays as it is there.
    pub fn at(&self, x_px: f64, y_px: f64) -> f64 {
        let (c, u) = self.position(x_px, self.columns);
        let (r, v) = self.position(y_px, self.rows);
        let cell = |c: usize, r: usize| {
            f64::from(*self.values.get(r.min(self.rows - 1) * self.columns + c.min(self.columns - 1)).unwrap_or(&0.0))
        };
        let upper = cell(c, r) * (1.0 - u) + cell(c + 1, r) * u;
        let lower = cell(c, r + 1) * (1.0 - u) + cell(c + 1, r + 1) * u;
        upper * (1.0 - v) + lower * v
    }

    /// Values along row `y` of a plane whose pixels are `factor` times as large as this mesh's, written into `out`.
    #[inline(always)]
    pub(crate) fn fill_row(&self, y: usize, factor: usize, out: &mut [f32]) {
        let middle = |i: usize| (i * factor) as f64 + 0.5 * (factor as f64 - 1.0);
        let y_px = middle(y);
        let step = factor as f64 / self.cell_px as f64;
        let start = (middle(0) + 0.5) / self.cell_px as f64 - 0.5;
        let (row, share) = self.position(y_px, self.rows);
        let below = (row + 1).min(self.rows - 1);
        let cell = |r: usize, c: usize| f64::from(self.values.get(r * self.columns + c).copied().unwrap_or(0.0));
        let at_middle = |c: usize| cell(row, c) * (1.0 - share) + cell(below, c) * share;
        // first pixel whose middle lies at or beyond the middle of a cell
        let first_beyond = |c: usize| index(((c as f64 - start) / step).ceil()).min(out.len());
        let edges: Vec<usize> = (0..self.columns).map(first_beyond).collect();
        out[..edges[0]].fill(single(at_middle(0)));
        for c in 1..self.columns {
            let (low, high) = (at_middle(c - 1), at_middle(c));
            let slope = (high - low) * step;
            let origin = low + (high - low) * (start - (c as f64 - 1.0)) + slope * edges[c - 1] as f64;
            let (origin, slope) = (single(origin), single(slope));
            for (part, values) in out[edges[c - 1]..edges[c]].chunks_mut(RAMP.len()).enumerate() {
                // exact: whole numbers far below 2^24
                let first = (part * RAMP.len()) as f32;
                for (value, i) in values.iter_mut().zip(&RAMP) {
                    *value = origin + slope * (first + i);
                }
            }
        }
        out[edges[self.columns - 1]..].fill(single(at_middle(self.columns - 1)));
    }

    fn position(&self, px: f64, cells: usize) -> (usize, f64) {
        let t = ((px + 0.5) / self.cell_px as f64 - 0.5).clamp(0.0, cells as f64 - 1.0);
        (index(t), t.fract())
    }
}

/// 0, 1, 2 and so on: the compiler takes several at once from here, which it does not when it counts.
const RAMP: [f32; 64] = {
    let mut ramp = [0.0; 64];
    let mut i = 1;
    while i < ramp.len() {
        ramp[i] = ramp[i - 1] + 1.0;
        i += 1;
    }
    ramp
};

/// Background and noise of a plane, with the cell both are measured in.
#[derive(Debug, Clone)]
pub(crate) struct Sky {
    /// Level of the sky, in the plane's unit.
    pub(crate) background: Mesh,
    /// Noise of one pixel.
    pub(crate) noise: Mesh,
    /// Smallest noise worth believing: the step between neighbouring values, spread evenly. 0 for a constant plane.
    pub(crate) floor: f32,
}

/// Largest side of a cell of a plane up to 2,000 rows, px: wide enough that stars fill a small part of it, narrow enough to
/// follow an auroral band.
const LARGEST_CELL_PX: usize = 64;
/// Cells that the short side of a large plane is divided into: what is drawn on more pixels is wider in pixels too.
const CELLS_ACROSS_LARGE: usize = 32;
/// Cells that the short side of a small plane is divided into.
const CELLS_ACROSS: usize = 8;
/// Smallest side of a cell: fewer samples give no median worth having.
const SMALLEST_CELL_PX: usize = 8;
/// Samples taken along a cell's row and column: 256 give a median to 8 % of the noise, a noise to 7 %.
const SAMPLES_ALONG: usize = 16;
/// Share of a cell's samples that must be numbers.
const LEAST_SHARE: f64 = 0.25;
/// Distance of the two neighbours a pixel is compared with for its noise, px: beyond the reach of demosaicing and of
/// a JPEG's noise reduction, so that smoothed noise is not taken for little noise.
const NEIGHBOUR_PX: usize = 4;
/// A difference `x - (a + b)/2` has sqrt(1.5) of the noise of one sample.
const DIFFERENCE_FACTOR: f32 = 1.224_744_9;
/// Standard deviation of a Gaussian over its median absolute deviation.
pub(crate) const SIGMA_PER_MAD: f32 = 1.482_602_2;
/// Samples further from the median than this many standard deviations are left out: common practice.
const CLIP_SIGMA: f32 = 3.0;
/// Steps between the darkest and the brightest sample of any camera: 16 bits.
const MOST_STEPS: f32 = 65_536.0;
/// Standard deviation of an error spread evenly over one step: `1/sqrt(12)`.
const STEP_SIGMA: f32 = 0.288_675_13;

impl Sky {
    pub(crate) fn measure(plane: &Plane) -> Self {
        let short = plane.width().min(plane.height());
        let largest_px = LARGEST_CELL_PX.max(short / CELLS_ACROSS_LARGE);
        let cell_px = (short / CELLS_ACROSS).clamp(SMALLEST_CELL_PX, largest_px);
        let (columns, rows) = (plane.width().div_ceil(cell_px), plane.height().div_ceil(cell_px));
        let mut cells = Cells::new();
        let (mut levels, mut noises, mut steps) = (Vec::new(), Vec::new(), Vec::new());
        for row in 0..rows {
            for column in 0..columns {
                let [level, noise, step] = cells.measure(plane, column * cell_px, row * cell_px, cell_px);
                levels.push(level);
                noises.push(noise);
                steps.push(step);
            }
        }
        let step = lower_median(&mut steps).unwrap_or(0.0).max((cells.highest - cells.lowest) / MOST_STEPS);
        let floor = STEP_SIGMA * if step.is_finite() { step } else { 0.0 };
        fill_gaps(&mut levels, columns);
        fill_gaps(&mut noises, columns);
        for noise in &mut noises {
            *noise = noise.max(floor);
        }
        Self {
            background: Mesh::new(cell_px, columns, rows, levels),
            noise: Mesh::new(cell_px, columns, rows, noises),
            floor,
        }
    }
}

impl Sky {
    /// How far from the background the sky's own pixels lie: `sigma` of the noise, and the range of the neighbouring
    /// cells' levels, for the background between cells is a guess.
    pub(crate) fn reach(&self, sigma: f32) -> Mesh {
        let [columns, rows] = self.background.size();
        let levels = &self.background.values;
        let reach = (0..levels.len()).map(|i| {
            let (r, c) = (i / columns, i % columns);
            let around = (r.saturating_sub(1)..(r + 2).min(rows))
                .flat_map(|r| (c.saturating_sub(1)..(c + 2).min(columns)).map(move |c| levels[r * columns + c]));
            let [low, high] = around.fold([levels[i]; 2], |[low, high], v| [low.min(v), high.max(v)]);
            sigma * self.noise.values[i] + (high - low)
        });
        Mesh::new(self.background.cell_px, columns, rows, reach.collect())
    }
}

/// Room for the samples of one cell.
struct Cells {
    samples: Vec<f32>,
    differences: Vec<f32>,
    /// Room for sorting.
    keys: [Vec<u32>; 2],
    /// Lowest and highest sample met in any cell.
    lowest: f32,
    highest: f32,
}

impl Cells {
    fn new() -> Self {
        let (samples, differences, keys) = (Vec::new(), Vec::new(), [Vec::new(), Vec::new()]);
        Self { samples, differences, keys, lowest: f32::INFINITY, highest: f32::NEG_INFINITY }
    }

    /// Level, noise and smallest step of a cell; NaN for each that it cannot tell.
    fn measure(&mut self, plane: &Plane, left: usize, top: usize, cell_px: usize) -> [f32; 3] {
        let (right, bottom) = ((left + cell_px).min(plane.width()), (top + cell_px).min(plane.height()));
        let stride = (cell_px / SAMPLES_ALONG).max(1);
        self.samples.clear();
        self.differences.clear();
        let mut asked = 0;
        for (i, y) in (top..bottom).step_by(stride).enumerate() {
            let row = plane.row(y);
            // shifted from row to row, so that a pattern of the sensor is not met always at the same phase
            for x in (left + i % stride..right).step_by(stride) {
                asked += 1;
                let value = row.at(x);
                if !value.is_finite() {
                    continue;
                }
                self.samples.push(value);
                if x >= NEIGHBOUR_PX && x + NEIGHBOUR_PX < row.len() {
                    let difference = value - 0.5 * (row.at(x - NEIGHBOUR_PX) + row.at(x + NEIGHBOUR_PX));
                    if difference.is_finite() {
                        self.differences.push(difference.abs());
                    }
                }
            }
        }
        if (self.samples.len() as f64) < (LEAST_SHARE * f64::from(asked)).max(1.0) {
            return [f32::NAN; 3];
        }
        sort(&mut self.samples, &mut self.keys);
        self.lowest = self.lowest.min(self.samples[0]);
        self.highest = self.highest.max(self.samples[self.samples.len() - 1]);
        let step = self.samples.windows(2).map(|pair| pair[1] - pair[0]).filter(|gap| *gap > 0.0);
        let step = step.fold(f32::NAN, f32::min);
        let noise = lower_median(&mut self.differences).map_or(f32::NAN, |mad| SIGMA_PER_MAD * mad / DIFFERENCE_FACTOR);
        [clipped_median(&self.samples), noise, step]
    }
}

/// Sorts in the order of [`f32::total_cmp`], digit by digit of whole numbers of the same order: for some hundred samples
/// three times as fast as by comparing, and the digits that all have in common (sign, exponent) cost nothing.
pub(crate) fn sort(samples: &mut [f32], keys: &mut [Vec<u32>; 2]) {
    /// All bits of a negative number are turned over, of others the sign alone (IEEE 754, totalOrder).
    const SIGN: u32 = 1 << 31;
    let [keys, sorted] = keys;
    keys.clear();
    keys.extend(samples.iter().map(|sample| {
        let bits = sample.to_bits();
        if bits & SIGN == 0 { bits | SIGN } else { !bits }
    }));
    sorted.clear();
    sorted.resize(keys.len(), 0);
    for digit in 0..4 {
        let of = |key: u32| usize::from(key.to_le_bytes()[digit]);
        let mut places = [0usize; 256];
        for key in &*keys {
            places[of(*key)] += 1;
        }
        if keys.first().is_some_and(|first| places[of(*first)] == keys.len()) {
            continue;
        }
        let mut next = 0;
        for place in &mut places {
            next += std::mem::replace(place, next);
        }
        for key in &*keys {
            let place = &mut places[of(*key)];
            sorted[*place] = *key;
            *place += 1;
        }
        std::mem::swap(keys, sorted);
    }
    for (sample, key) in samples.iter_mut().zip(&*keys) {
        *sample = f32::from_bits(if key & SIGN == 0 { !key } else { key & !SIGN });
    }
}

/// Middle and width of sorted samples, the lower of two middle ones each time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    pub(crate) median: f32,
    /// Median absolute deviation from the median.
    pub(crate) deviation: f32,
}

impl Spread {
    /// `None` without samples, which must be sorted finite numbers.
    pub(crate) fn of(sorted: &[f32]) -> Option<Self> {
        let middle = sorted.len().checked_sub(1)? / 2;
        let median = sorted[middle];
        // deviations grow away from the middle on both sides: taken in their order until half of all are
        let (mut below, mut above, mut deviation) = (middle, middle + 1, 0.0);
        for _ in 0..middle {
            let down = below.checked_sub(1).map(|i| median - sorted[i]);
            let up = sorted.get(above).map(|value| value - median);
            match (down, up) {
                (Some(down), Some(up)) if up < down => (deviation, above) = (up, above + 1),
                (Some(down), _) => (deviation, below) = (down, below - 1),
                (None, Some(up)) => (deviation, above) = (up, above + 1),
                (None, None) => break,
            }
        }
        Some(Self { median, deviation })
    }
}

/// Median of sorted samples after leaving out, twice, those far from it.
fn clipped_median(sorted: &[f32]) -> f32 {
    let mut kept = sorted;
    for _ in 0..2 {
        let middle = kept[kept.len() / 2];
        // half the distance between the quartiles stands for the median absolute deviation
        let sigma = SIGMA_PER_MAD * 0.5 * (kept[kept.len() * 3 / 4] - kept[kept.len() / 4]);
        let low = kept.partition_point(|v| *v < middle - CLIP_SIGMA * sigma);
        let high = kept.partition_point(|v| *v <= middle + CLIP_SIGMA * sigma);
        if low >= high {
            break;
        }
        kept = &kept[low..high];
    }
    kept[kept.len() / 2]
}

/// Median of the values that are numbers, the lower of the two middle ones; `None` without any.
pub(crate) fn lower_median(values: &mut Vec<f32>) -> Option<f32> {
    values.retain(|value| value.is_finite());
    if values.is_empty() {
        return None;
    }
    let middle = (values.len() - 1) / 2;
    Some(*values.select_nth_unstable_by(middle, f32::total_cmp).1)
}

/// Gives cells without a value the mean of their neighbours, from the rim of a gap inwards; 0 where no cell has one.
pub(crate) fn fill_gaps(values: &mut [f32], columns: usize) {
    let rows = values.len() / columns.max(1);
    while values.iter().any(|v| !v.is_finite()) {
        let before = values.to_vec();
        let mut filled = false;
        for (i, value) in values.iter_mut().enumerate().filter(|(_, v)| !v.is_finite()) {
            let (r, c) = (i / columns, i % columns);
            let around = (r.saturating_sub(1)..(r + 2).min(rows))
                .flat_map(|r| (c.saturating_sub(1)..(c + 2).min(columns)).map(move |c| (r, c)))
                .map(|(r, c)| before[r * columns + c])
                .filter(|v| v.is_finite());
            // in double precision, where the sum of a few samples is finite whatever they are
            let (sum, n) = around.fold((0.0, 0.0), |(sum, n), v| (sum + f64::from(v), n + 1.0));
            if n > 0.0 {
                *value = single(sum / n);
                filled = true;
            }
        }
        if !filled {
            values.fill(0.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_is_the_median_and_the_median_of_the_deviations_from_it() {
        for count in 1..40u32 {
            let mut samples: Vec<f32> = (0..count)
                .map(|i| (i.wrapping_mul(2_654_435_761) >> 20) as f32 * if i % 3 == 0 { 9.0 } else { 1.0 })
                .collect();
            samples.sort_by(f32::total_cmp);
            let median = lower_median(&mut samples.clone());
            let mut off: Vec<f32> = samples.iter().map(|value| (value - median.unwrap_or(f32::NAN)).abs()).collect();
            let plain = median.zip(lower_median(&mut off)).map(|(median, deviation)| Spread { median, deviation });
            assert_eq!(Spread::of(&samples), plain);
        }
        assert_eq!(Spread::of(&[]), None);
    }

    #[test]
    fn sorting_by_digits_is_sorting_by_the_total_order() {
        let odd =
            [0.0, -0.0, 1.0, -1.0, f32::NAN, -f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MIN_POSITIVE, 1e-45];
        let even = (0..300u32).map(|i| f32::from_bits(i.wrapping_mul(2_654_435_761)));
        let narrow = (0..300u16).map(|i| 0.03 + f32::from(i.wrapping_mul(7_919) % 251) * 1e-4);
        for samples in [odd.to_vec(), even.collect(), narrow.collect(), vec![0.5; 9], vec![2.0], Vec::new()] {
            let (mut by_digits, mut by_order) = (samples.clone(), samples);
            sort(&mut by_digits, &mut [Vec::new(), Vec::new()]);
            by_order.sort_by(f32::total_cmp);
            let bits = |samples: &[f32]| samples.iter().map(|sample| sample.to_bits()).collect::<Vec<u32>>();
            assert_eq!(bits(&by_digits), bits(&by_order));
        }
    }
}
