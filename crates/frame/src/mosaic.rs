use optics::Channel;

use crate::{FrameError, MosaicPattern, Plane};

/// Weights around a site whose sum over each colour of a Bayer pattern is a quarter, a half and a quarter.
const SMOOTHING: [[f32; 3]; 3] = [[1.0, 2.0, 1.0], [2.0, 4.0, 2.0], [1.0, 2.0, 1.0]];

/// One colour at every pixel: its own sites as recorded, the others the mean of their nearest neighbours of the colour.
pub(crate) fn filled(plane: &Plane, pattern: MosaicPattern, channel: Channel) -> Result<Plane, FrameError> {
    around(plane, |x, y, neighbours| {
        if pattern.at(x, y) == channel {
            return neighbours.centre;
        }
        // beside and above first (a green gap, and half the red and blue gaps), then across the corners
        let beside = neighbours.mean(&[(1, 0), (0, 1), (2, 1), (1, 2)], |x, y| pattern.at(x, y) == channel);
        beside
            .or_else(|| neighbours.mean(&[(0, 0), (2, 0), (0, 2), (2, 2)], |x, y| pattern.at(x, y) == channel))
            .unwrap_or(f32::NAN)
    })
}

/// A grey picture in which every colour has the same weight at every site.
pub(crate) fn smoothed(plane: &Plane) -> Result<Plane, FrameError> {
    around(plane, |_, _, neighbours| neighbours.weighted())
}

/// Appends one colour of a row of cells, from the two rows of `width` sites it is made of.
pub(crate) fn extend_cells(
    pair: &[f32],
    width: usize,
    pattern: MosaicPattern,
    channel: Channel,
    samples: &mut Vec<f32>,
) {
    let sites = [(0, 0), (1, 0), (0, 1), (1, 1)];
    let wanted: Vec<usize> =
        sites.into_iter().filter(|(x, y)| pattern.at(*x, *y) == channel).map(|(x, y)| y * width + x).collect();
    let count = wanted.len() as f32;
    let cell = |x: usize| {
        let values = wanted.iter().map(|site| pair.get(2 * x + site).copied().unwrap_or(f32::NAN));
        values.fold(0.0, |sum, value| sum + value) / count
    };
    samples.extend((0..width / 2).map(cell));
}

/// The three rows around a site; beyond the edge there is nothing.
struct Neighbours<'a> {
    rows: [&'a [f32]; 3],
    x: usize,
    y: usize,
    centre: f32,
}

impl Neighbours<'_> {
    /// `dx` and `dy` of 0, 1, 2 for one before, the site itself, one after.
    fn get(&self, dx: usize, dy: usize) -> Option<f32> {
        self.rows[dy].get((self.x + dx).checked_sub(1)?).copied()
    }

    fn mean(&self, offsets: &[(usize, usize)], is_wanted: impl Fn(usize, usize) -> bool) -> Option<f32> {
        let mut sum = 0.0;
        let mut count = 0.0;
        for (dx, dy) in offsets {
            // one more than the true place in both: two is added so that nothing goes below zero, and parity stays
            if is_wanted(self.x + dx + 1, self.y + dy + 1)
                && let Some(value) = self.get(*dx, *dy)
            {
                sum += value;
                count += 1.0;
            }
        }
        (count > 0.0).then(|| sum / count)
    }

    fn weighted(&self) -> f32 {
        let mut sum = 0.0;
        let mut weight = 0.0;
        for (dy, row) in SMOOTHING.iter().enumerate() {
            for (dx, share) in row.iter().enumerate() {
                // beyond the edge the mirror image stands in: it has the same colour
                let value = self.get(dx, dy).or_else(|| self.get(2 - dx, dy)).or_else(|| self.get(dx, 2 - dy));
                if let Some(value) = value.or_else(|| self.get(2 - dx, 2 - dy)) {
                    sum += share * value;
                    weight += share;
                }
            }
        }
        sum / weight
    }
}

fn around(plane: &Plane, mut value: impl FnMut(usize, usize, &Neighbours<'_>) -> f32) -> Result<Plane, FrameError> {
    let (width, height) = (plane.width(), plane.height());
    let mut samples = Vec::with_capacity(width * height);
    let all = plane.samples();
    let row = |y: usize| all.get(y * width..(y + 1) * width).unwrap_or_default();
    for y in 0..height {
        let rows = [y.checked_sub(1).map_or(&[][..], row), row(y), row(y + 1)];
        for x in 0..width {
            let centre = rows[1].get(x).copied().unwrap_or(f32::NAN);
            samples.push(value(x, y, &Neighbours { rows, x, y, centre }));
        }
    }
    Plane::new(width, height, samples)
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    /// Red 1, green 2, blue 4 everywhere.
    fn even(name: &str, width: usize, height: usize) -> (Plane, MosaicPattern) {
        let pattern = MosaicPattern::from_name(name).unwrap();
        let samples = (0..width * height).map(|i| [1.0, 2.0, 4.0][pattern.at(i % width, i / width).index()]).collect();
        (Plane::new(width, height, samples).unwrap(), pattern)
    }

    #[test]
    fn an_even_light_stays_even_in_every_pattern_and_at_every_edge() {
        for name in ["RGGB", "BGGR", "GRBG", "GBRG"] {
            let (plane, pattern) = even(name, 7, 5);
            for (channel, level) in Channel::ALL.into_iter().zip([1.0, 2.0, 4.0]) {
                assert!(filled(&plane, pattern, channel).unwrap().samples().iter().all(|s| *s == level), "{name}");
                let mut cells = Vec::new();
                extend_cells(&plane.samples()[..14], 7, pattern, channel, &mut cells);
                assert_eq!(cells, [level; 3], "{name}");
            }
            assert!(smoothed(&plane).unwrap().samples().iter().all(|s| (*s - 2.25).abs() < 1e-6), "{name}");
        }
    }

    #[test]
    fn a_single_column_has_gaps_and_no_panic() {
        let (plane, pattern) = even("RGGB", 1, 4);
        assert!(filled(&plane, pattern, Channel::Blue).unwrap().samples().iter().all(|s| s.is_nan()));
        let mut cells = Vec::new();
        extend_cells(&plane.samples()[..2], 1, pattern, Channel::Red, &mut cells);
        assert!(cells.is_empty());
    }
}
