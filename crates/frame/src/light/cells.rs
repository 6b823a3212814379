//! Quartiles and full pixels of the cells of one channel, in one pass from the top.

use crate::samples::{Place, Values};
use crate::whole_numbers::WholeLight;

/// Samples along one side of a cell that its median rests on, at most.
const SAMPLED_ALONG: usize = 12;
/// Side of a cell, px, from which bytes are sampled like the black fields of a chess board: half of [`SAMPLED_ALONG`] squared.
/// Neighbours in developed pictures share their noise (colour at half the width, noise reduction), and a median of whole
/// numbers is no finer than one of them either way.
const CHESS_FROM: usize = 8;

/// Square cells over a plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grid {
    pub(super) size: [usize; 2],
    /// Side of a cell, px of the plane.
    pub(super) side: usize,
    pub(super) columns: usize,
    pub(super) rows: usize,
}

/// What is found in every cell, row by row.
#[derive(Debug, Clone)]
pub(super) struct Measured {
    /// Lower quartile, median, upper quartile of the light; NaN where a cell holds no finite sample.
    pub(super) quartiles: Vec<[f32; 3]>,
    /// Full pixels.
    pub(super) full: Vec<u64>,
}

impl Measured {
    fn none(grid: &Grid) -> Self {
        let cells = grid.columns * grid.rows;
        Self { quartiles: Vec::with_capacity(cells), full: vec![0; cells] }
    }
}

impl Grid {
    pub(super) fn new(size: [usize; 2], side: usize) -> Self {
        Self { size, side, columns: size[0].div_ceil(side), rows: size[1].div_ceil(side) }
    }

    /// Pixels in every cell.
    pub(super) fn pixels(&self) -> impl Iterator<Item = u64> + '_ {
        let along = |cell: usize, all: usize| self.side.min(all - cell * self.side) as u64;
        (0..self.rows)
            .flat_map(move |row| (0..self.columns).map(move |c| along(row, self.size[1]) * along(c, self.size[0])))
    }

    /// Steps between the samples that quartiles rest on.
    fn step(&self) -> usize {
        self.side.div_ceil(SAMPLED_ALONG).max(1)
    }
}

/// Of light that is made row by row: `fill` writes row `y`.
pub(super) fn of_rows(grid: &Grid, full_from: f32, mut fill: impl FnMut(usize, &mut Vec<f32>)) -> Measured {
    let mut measured = Measured::none(grid);
    let (step, mut light) = (grid.step(), Vec::new());
    let mut samples: Vec<Vec<f32>> = vec![Vec::new(); grid.columns];
    for row in 0..grid.rows {
        let top = row * grid.side;
        for y in top..(top + grid.side).min(grid.size[1]) {
            fill(y, &mut light);
            let counts = &mut measured.full[row * grid.columns..][..grid.columns];
            for ((count, samples), part) in counts.iter_mut().zip(&mut samples).zip(light.chunks(grid.side)) {
                *count += part.iter().filter(|sample| **sample >= full_from).count() as u64;
                if (y - top).is_multiple_of(step) {
                    samples.extend(part.iter().step_by(step).filter(|sample| sample.is_finite()));
                }
            }
        }
        for samples in &mut samples {
            measured.quartiles.push(quartiles(samples, f32::total_cmp).unwrap_or([f32::NAN; 3]));
            samples.clear();
        }
    }
    measured
}

/// Of stored whole numbers whose order is that of their light: compared before they are looked up.
///
/// Answers the channels in the order of their places.
pub(super) fn of_whole(
    grid: &Grid,
    full_from: f32,
    values: &Values,
    places: &[Place],
    light: &WholeLight,
) -> Vec<Measured> {
    let least = light.least_with(full_from);
    match values {
        Values::U8(values) => of_stored::<u8>(grid, least, values, places, light.light()),
        Values::U16(values) => of_stored::<u16>(grid, least, values, places, light.light()),
        Values::F32(_) => Vec::new(),
    }
}

/// A stored whole number.
trait Number: Copy + Ord + Into<usize> + TryFrom<usize> {
    /// Whether every other sample says as much as all.
    const IS_DEVELOPED: bool;
    /// Samples of a cell.
    type Samples: Default;

    /// Takes every `step`-th of the numbers of one channel.
    fn add(numbers: &[Self], step: usize, samples: &mut Self::Samples);

    /// Takes every `step`-th of pixels whose three channels lie together.
    fn add_pixels(pixels: &[[Self; 3]], step: usize, samples: [&mut Self::Samples; 3]) {
        for (channel, samples) in samples.into_iter().enumerate() {
            Self::add(pixels.as_flattened().get(channel..).unwrap_or_default(), 3 * step, samples);
        }
    }

    /// Quartiles as stored numbers; leaves no samples.
    fn take_quartiles(samples: &mut Self::Samples) -> Option<[usize; 3]>;
}

/// How many samples have each byte. A cell has 144 at most ([`SAMPLED_ALONG`] either way): a byte holds every count.
struct Tally {
    counts: [u8; 256],
    /// Least and largest byte there is; the other way round without any.
    low: u8,
    high: u8,
}

const _: () = assert!(SAMPLED_ALONG * SAMPLED_ALONG <= u8::MAX as usize, "counts of a cell's samples fit into a byte");

impl Default for Tally {
    fn default() -> Self {
        Self { counts: [0; 256], low: u8::MAX, high: 0 }
    }
}

impl Number for u8 {
    const IS_DEVELOPED: bool = true;
    type Samples = Tally;

    fn add(numbers: &[u8], step: usize, tally: &mut Tally) {
        let (mut low, mut high, mut place) = (tally.low, tally.high, 0);
        while let Some(number) = numbers.get(place) {
            tally.counts[usize::from(*number)] += 1;
            (low, high) = (low.min(*number), high.max(*number));
            place += step;
        }
        (tally.low, tally.high) = (low, high);
    }

    fn add_pixels(pixels: &[[u8; 3]], step: usize, [red, green, blue]: [&mut Tally; 3]) {
        // the channels in turn: two counts of one number, one right after the other, wait for each other
        let (mut low, mut high, mut place) = ([red.low, green.low, blue.low], [red.high, green.high, blue.high], 0);
        while let Some(pixel) = pixels.get(place) {
            red.counts[usize::from(pixel[0])] += 1;
            green.counts[usize::from(pixel[1])] += 1;
            blue.counts[usize::from(pixel[2])] += 1;
            for channel in 0..3 {
                low[channel] = low[channel].min(pixel[channel]);
                high[channel] = high[channel].max(pixel[channel]);
            }
            place += step;
        }
        for ((tally, low), high) in [red, green, blue].into_iter().zip(low).zip(high) {
            (tally.low, tally.high) = (low, high);
        }
    }

    fn take_quartiles(tally: &mut Tally) -> Option<[usize; 3]> {
        let (low, high) = (usize::from(tally.low), usize::from(tally.high));
        // a cell's samples fill few of the counts
        let counts = tally.counts.get_mut(low..=high)?;
        let all: usize = counts.iter().map(|count| usize::from(*count)).sum();
        let wanted = (all > 0).then(|| places_of(all))?;
        let (mut found, mut below) = ([low; 3], 0);
        for count in counts.iter() {
            below += usize::from(*count);
            // each stands at the first byte up to which there are more samples than its place
            for (found, wanted) in found.iter_mut().zip(wanted) {
                *found += usize::from(wanted >= below);
            }
        }
        counts.fill(0);
        (tally.low, tally.high) = (u8::MAX, 0);
        Some(found)
    }
}

impl Number for u16 {
    const IS_DEVELOPED: bool = false;
    type Samples = Vec<u16>;

    fn add(numbers: &[u16], step: usize, samples: &mut Vec<u16>) {
        samples.extend(numbers.iter().step_by(step));
    }

    fn take_quartiles(samples: &mut Vec<u16>) -> Option<[usize; 3]> {
        let found = quartiles(samples, u16::cmp).map(|found| found.map(usize::from));
        samples.clear();
        found
    }
}

fn of_stored<T: Number>(grid: &Grid, least: usize, values: &[T], places: &[Place], light: &[f32]) -> Vec<Measured> {
    let mut measured = vec![Measured::none(grid); places.len()];
    // no number of this type is full where the least full one is beyond it
    if let Ok(least) = T::try_from(least) {
        count_full(grid, least, values, places, &mut measured);
    }
    let (step, [width, height]) = (grid.step(), grid.size);
    let is_chess = T::IS_DEVELOPED && grid.side >= CHESS_FROM;
    let mut samples: Vec<T::Samples> = places.iter().map(|_| T::Samples::default()).collect();
    for top in (0..height).step_by(grid.side) {
        for left in (0..width).step_by(grid.side) {
            let right = (left + grid.side).min(width);
            for (number, y) in (top..(top + grid.side).min(height)).step_by(step).enumerate() {
                // the last cell of a row may be one pixel wide
                let shift = if is_chess && number % 2 == 1 && right - left > step { step } else { 0 };
                let step = if is_chess { 2 * step } else { step };
                let columns = [left + shift, right];
                if let ([Place { first: 0, step: 3 }, _, _], [red, green, blue]) = (places, &mut samples[..]) {
                    let pixels = row(values, places[0], y, columns, width).as_chunks::<3>().0;
                    T::add_pixels(pixels, step, [red, green, blue]);
                    continue;
                }
                for (place, samples) in places.iter().zip(&mut samples) {
                    T::add(row(values, *place, y, columns, width), step * place.step, samples);
                }
            }
            for (measured, samples) in measured.iter_mut().zip(&mut samples) {
                let quartiles = T::take_quartiles(samples).map(|found| found.map(|number| light[number]));
                measured.quartiles.push(quartiles.unwrap_or([f32::NAN; 3]));
            }
        }
    }
    measured
}

/// Counts the full pixels of every channel. Hardly any row holds one, so whole rows are looked at first.
fn count_full<T: Number>(grid: &Grid, least: T, values: &[T], places: &[Place], measured: &mut [Measured]) {
    let width = grid.size[0];
    let lies_together = places.iter().all(|place| place.step == places[0].step && place.first < place.step);
    for y in 0..grid.size[1] {
        // of channels that lie together, the row of the first holds them all
        let seen = if lies_together { 1 } else { places.len() };
        let first = |place: &Place| if lies_together { Place { first: 0, ..*place } } else { *place };
        let any = places
            .iter()
            .take(seen)
            .any(|place| highest(row(values, first(place), y, [0, width], width)) >= Some(least));
        if !any {
            continue;
        }
        for (place, measured) in places.iter().zip(measured.iter_mut()) {
            let counts = &mut measured.full[y / grid.side * grid.columns..][..grid.columns];
            let parts = row(values, *place, y, [0, width], width).chunks(grid.side * place.step);
            for (count, part) in counts.iter_mut().zip(parts) {
                *count += part.iter().step_by(place.step).filter(|number| **number >= least).count() as u64;
            }
        }
    }
}

fn highest<T: Copy + Ord>(numbers: &[T]) -> Option<T> {
    numbers.iter().copied().max()
}

/// Stored numbers of a channel along a row, from its own of the first pixel on, with those of other channels between.
fn row<T>(values: &[T], place: Place, y: usize, [from, to]: [usize; 2], width: usize) -> &[T] {
    let at = |x: usize| place.first + (y * width + x) * place.step;
    values.get(at(from)..at(to).min(values.len())).unwrap_or_default()
}

/// Places of the quartiles among so many samples in order.
fn places_of(samples: usize) -> [usize; 3] {
    [1, 2, 3].map(|quarter| samples * quarter / 4)
}

/// The quartiles of samples in any order; `None` without any.
fn quartiles<T: Copy>(samples: &mut [T], order: impl Fn(&T, &T) -> std::cmp::Ordering) -> Option<[T; 3]> {
    /// Samples whose quartiles surely are three different ones, with something between.
    const ENOUGH: usize = 8;
    let [lower, middle, upper] = (!samples.is_empty()).then(|| places_of(samples.len()))?;
    if samples.len() < ENOUGH {
        samples.sort_unstable_by(order);
        return Some([samples[lower], samples[middle], samples[upper]]);
    }
    let (below, median, above) = samples.select_nth_unstable_by(middle, &order);
    let lower = *below.select_nth_unstable_by(lower, &order).1;
    let upper = *above.select_nth_unstable_by(upper - middle - 1, &order).1;
    Some([lower, *median, upper])
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    /// Numbers that look random (Numerical Recipes' linear congruence).
    fn bytes(count: usize) -> Vec<u8> {
        let mut state = 5u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state.to_be_bytes()[0]
        };
        (0..count).map(|_| next()).collect()
    }

    /// A plain sort, and the three ways that are quicker, of the same numbers.
    #[test]
    fn quartiles_and_counts_are_those_of_a_plain_sort() {
        let size = [61, 37];
        for side in [1, 2, 12, 13, 30, 100] {
            let grid = Grid::new(size, side);
            let stored = bytes(size[0] * size[1] * 3);
            let places = [0, 1, 2].map(|channel| Place::interleaved(channel, 3));
            let light: Vec<f32> = (0..=u16::from(u8::MAX)).map(f32::from).collect();
            let by_bytes = of_stored::<u8>(&grid, 250, &stored, &places, &light);
            let words: Vec<u16> = stored.iter().map(|byte| u16::from(*byte)).collect();
            let by_words = of_stored::<u16>(&grid, 250, &words, &places, &light);
            for channel in 0..3 {
                let plane: Vec<f32> = stored.iter().skip(channel).step_by(3).map(|byte| f32::from(*byte)).collect();
                let by_rows = of_rows(&grid, 250.0, |y, row| {
                    row.clear();
                    row.extend(&plane[y * size[0]..][..size[0]]);
                });
                let plain = |measured: &Measured, is_chess| {
                    assert_eq!(measured.quartiles, plainly(&grid, &plane, is_chess), "side {side}");
                    assert_eq!(measured.full, by_rows.full, "side {side}");
                };
                plain(&by_bytes[channel], side >= CHESS_FROM);
                plain(&by_words[channel], false);
                plain(&by_rows, false);
                assert_eq!(by_rows.full.iter().sum::<u64>(), plane.iter().filter(|v| **v >= 250.0).count() as u64);
            }
            assert_eq!(grid.pixels().sum::<u64>(), (size[0] * size[1]) as u64);
        }
    }

    fn plainly(grid: &Grid, plane: &[f32], is_chess: bool) -> Vec<[f32; 3]> {
        let mut found = Vec::new();
        for top in (0..grid.size[1]).step_by(grid.side) {
            for left in (0..grid.size[0]).step_by(grid.side) {
                let mut samples = Vec::new();
                for y in (top..(top + grid.side).min(grid.size[1])).step_by(grid.step()) {
                    for x in (left..(left + grid.side).min(grid.size[0])).step_by(grid.step()) {
                        // one column alone has no other colour
                        let is_alone = grid.size[0] - left <= grid.step();
                        let is_black = (((y - top) + (x - left)) / grid.step()).is_multiple_of(2);
                        let is_first = is_alone && x == left;
                        if !is_chess || is_black || is_first {
                            samples.push(plane[y * grid.size[0] + x]);
                        }
                    }
                }
                samples.sort_by(f32::total_cmp);
                found.push([1, 2, 3].map(|quarter| samples[samples.len() * quarter / 4]));
            }
        }
        found
    }

    #[test]
    fn a_cell_without_numbers_has_no_median() {
        let grid = Grid::new([4, 4], 2);
        let measured = of_rows(&grid, f32::INFINITY, |y, row| {
            row.clear();
            row.extend([f32::NAN, f32::NAN, y as f32, 1.0]);
        });
        assert!(measured.quartiles[0].iter().all(|value| value.is_nan()));
        assert_eq!(measured.quartiles[1], [1.0, 1.0, 1.0]);
    }
}
