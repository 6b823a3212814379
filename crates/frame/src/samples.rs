use std::sync::Arc;

use crate::room::Bytes;

/// The numbers of a picture as a decoder gave them.
///
/// They stay whole numbers until a plane is asked for: 24 million pixels in colour are 72 MB in bytes and 288 MB as
/// three planes, and most questions need one plane. Converting one takes less time than reading the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Values {
    /// Shared with planes whose light is worked out from it.
    U8(Arc<Bytes>),
    U16(Vec<u16>),
    F32(Vec<f32>),
}

impl Values {
    pub(crate) fn bytes(values: Vec<u8>) -> Self {
        Self::U8(Arc::new(Bytes::new(values)))
    }

    pub(crate) fn len(&self) -> usize {
        match self {
            Self::U8(values) => values.len(),
            Self::U16(values) => values.len(),
            Self::F32(values) => values.len(),
        }
    }
}

/// Where a channel's numbers lie: `first`, `first + step`, and so on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) first: usize,
    pub(crate) step: usize,
}

impl Place {
    /// The one channel of a grey picture.
    pub(crate) const ONLY: Self = Self { first: 0, step: 1 };

    /// Channel `index` of pixels that lie together, `count` numbers each.
    pub(crate) fn interleaved(index: usize, count: usize) -> Self {
        Self { first: index, step: count }
    }

    /// Channel `index` of planes of `pixels` numbers that follow one another.
    pub(crate) fn planar(index: usize, pixels: usize) -> Self {
        Self { first: index * pixels, step: 1 }
    }

    /// Whether every pixel has its number.
    pub(crate) fn fits(self, pixels: usize, held: usize) -> bool {
        let last = pixels.checked_sub(1).and_then(|last| last.checked_mul(self.step)?.checked_add(self.first));
        self.step > 0 && last.is_some_and(|last| last < held)
    }
}

/// From numbers of a file to a plane.
pub(crate) struct Scale<'a> {
    /// Taken away first, by column and row parity (`2 (y mod 2) + (x mod 2)`).
    pub(crate) black: [f32; 4],
    /// Full scale before the black is taken away; each number less black is divided by full scale less black.
    pub(crate) white: f32,
    /// Light of every whole value, where a curve is to be inverted; black and white are then 0 and the table's end.
    pub(crate) table: Option<&'a [f32]>,
}

impl Scale<'_> {
    /// One channel as light.
    pub(crate) fn channel(&self, values: &Values, place: Place, size: [usize; 2]) -> Vec<f32> {
        let mut light = Vec::with_capacity(size[0] * size[1]);
        self.fill(values, place, size, &mut light);
        light
    }

    /// The same into room that is there already.
    pub(crate) fn fill(&self, values: &Values, place: Place, [width, height]: [usize; 2], light: &mut Vec<f32>) {
        let pixels = width * height;
        light.clear();
        match (values, self.table) {
            (Values::U8(values), Some(table)) => {
                // every byte has its place in a table of 256: nothing is checked in the loop
                let table: [f32; 256] = std::array::from_fn(|value| looked_up(table, value));
                extend(light, channel_of(values, place), pixels, |value| table[usize::from(value)]);
            }
            (Values::U16(values), Some(table)) => {
                extend(light, channel_of(values, place), pixels, |value| looked_up(table, usize::from(value)));
            }
            (Values::U8(values), None) => self.scaled(channel_of(values, place), [width, height], light),
            (Values::U16(values), None) => self.scaled(channel_of(values, place), [width, height], light),
            (Values::F32(values), _) => self.scaled(channel_of(values, place), [width, height], light),
        }
    }

    /// The light of a stored number in the top left site.
    pub(crate) fn of_whole(&self, value: u16) -> f32 {
        match self.table {
            Some(table) => looked_up(table, usize::from(value)),
            None => (f32::from(value) - self.black[0]) / (self.white - self.black[0]),
        }
    }

    fn scaled<T: Copy + Into<f32>>(
        &self,
        (values, place): (&[T], Place),
        [width, height]: [usize; 2],
        light: &mut Vec<f32>,
    ) {
        // a division, not a product with the inverse: full scale must come out as exactly 1, by which clipping is told
        let range = self.black.map(|black| self.white - black);
        if self.has_one_black() {
            let (black, range) = (self.black[0], range[0]);
            extend(light, (values, place), width * height, |value| (value.into() - black) / range);
            return;
        }
        let (mut x, mut row) = (0, 0);
        let of_site = |value: &T| {
            let site = row + x % 2;
            x += 1;
            if x == width {
                x = 0;
                row = 2 - row;
            }
            ((*value).into() - self.black[site]) / range[site]
        };
        light.extend(values.iter().step_by(place.step.max(1)).take(width * height).map(of_site));
    }

    /// Whether black is the same at every site.
    pub(crate) fn has_one_black(&self) -> bool {
        self.black.iter().all(|black| black.to_bits() == self.black[0].to_bits())
    }
}

/// The values from a channel's first one on.
fn channel_of<T>(values: &[T], place: Place) -> (&[T], Place) {
    (values.get(place.first..).unwrap_or_default(), place)
}

/// Appends the light of `pixels` values; the two common steps without a sum of places in the loop.
fn extend<T: Copy>(light: &mut Vec<f32>, (values, place): (&[T], Place), pixels: usize, of: impl Fn(T) -> f32) {
    match place.step {
        1 => light.extend(values.iter().take(pixels).map(|value| of(*value))),
        3 => {
            // the last pixel may end before its third number, seen from a channel that is not the first
            let (whole, rest) = values.as_chunks::<3>();
            light.extend(whole.iter().take(pixels).map(|numbers| of(numbers[0])));
            let missing = pixels.saturating_sub(whole.len()).min(1);
            light.extend(rest.iter().take(missing).map(|value| of(*value)));
        }
        step => light.extend(values.iter().step_by(step.max(1)).take(pixels).map(|value| of(*value))),
    }
}

/// A value above the table's end counts as its end: a file may hold more than it says.
fn looked_up(table: &[f32], value: usize) -> f32 {
    table.get(value).or(table.last()).copied().unwrap_or(f32::NAN)
}
