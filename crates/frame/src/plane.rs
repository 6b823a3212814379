use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use crate::FrameError;
use crate::room::Bytes;

/// One channel of a picture: linear light, row by row from the top left.
///
/// Pixel centres lie at integers: the middle of the first pixel is (0, 0). A sample is an `f32` in whatever linear unit
/// its owner says (relative to full scale, or electrons); it may be NaN where nothing was recorded.
///
/// The luminance of a picture in bytes is not kept: it is worked out from the picture's own bytes wherever it is asked for.
/// Most of a picture is looked at once, and four bytes a pixel take longer to write than to work out.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    width: usize,
    height: usize,
    light: Light,
}

/// Where the light of a plane comes from.
#[derive(Debug, Clone, PartialEq)]
enum Light {
    Samples(Vec<f32>),
    Weighed(Weighed),
}

/// Light that is the sum of three looked-up parts a pixel.
#[derive(Debug, Clone, PartialEq)]
struct Weighed {
    /// Red, green and blue of every pixel, row by row.
    pixels: Arc<Bytes>,
    /// What each value of each channel adds.
    parts: Arc<[[f32; 256]; 3]>,
    /// Samples in place of those of the pixels, in the order of their places.
    exchanged: Vec<(usize, f32)>,
}

impl Weighed {
    fn row(&self, y: usize, width: usize) -> Option<WeighedRow<'_>> {
        let start = y.checked_mul(width)?;
        let pixels = self.pixels.as_chunks::<3>().0.get(start..start.checked_add(width)?)?;
        let exchanged = if self.exchanged.is_empty() {
            &[]
        } else {
            let before = |end: usize| self.exchanged.partition_point(|(place, _)| *place < end);
            self.exchanged.get(before(start)..before(start + width)).unwrap_or_default()
        };
        Some(WeighedRow { pixels, parts: &self.parts, exchanged, start })
    }
}

/// A row of [`Weighed`].
#[derive(Debug, Clone, Copy)]
struct WeighedRow<'a> {
    pixels: &'a [[u8; 3]],
    parts: &'a [[f32; 256]; 3],
    exchanged: &'a [(usize, f32)],
    /// Place of its first pixel among all.
    start: usize,
}

impl WeighedRow<'_> {
    #[expect(clippy::inline_always, reason = "every look at a pixel goes through here")]
    #[inline(always)]
    fn of([red, green, blue]: [u8; 3], parts: &[[f32; 256]; 3]) -> f32 {
        parts[0][usize::from(red)] + parts[1][usize::from(green)] + parts[2][usize::from(blue)]
    }

    #[inline]
    fn get(&self, x: usize) -> Option<f32> {
        let pixel = self.pixels.get(x)?;
        if !self.exchanged.is_empty()
            && let Ok(found) = self.exchanged.binary_search_by_key(&(self.start + x), |(place, _)| *place)
        {
            return Some(self.exchanged[found].1);
        }
        Some(Self::of(*pixel, self.parts))
    }

    fn fill(&self, samples: &mut Vec<f32>) {
        samples.clear();
        samples.extend(self.pixels.iter().map(|pixel| Self::of(*pixel, self.parts)));
        for (place, value) in self.exchanged {
            if let Some(sample) = samples.get_mut(place - self.start) {
                *sample = *value;
            }
        }
    }
}

/// One row of a [`Plane`].
#[derive(Debug, Clone, Copy)]
pub struct Row<'a>(RowLight<'a>);

#[derive(Debug, Clone, Copy)]
enum RowLight<'a> {
    Samples(&'a [f32]),
    Weighed(WeighedRow<'a>),
}

impl<'a> Row<'a> {
    /// The sample in column `x`; `None` beyond the last one.
    #[inline]
    pub fn get(&self, x: usize) -> Option<f32> {
        match &self.0 {
            RowLight::Samples(samples) => samples.get(x).copied(),
            RowLight::Weighed(row) => row.get(x),
        }
    }

    /// The sample in column `x`; NaN beyond the last one.
    #[inline]
    pub fn at(&self, x: usize) -> f32 {
        self.get(x).unwrap_or(f32::NAN)
    }

    /// Samples in the row; none below the last row of a plane.
    pub fn len(&self) -> usize {
        match &self.0 {
            RowLight::Samples(samples) => samples.len(),
            RowLight::Weighed(row) => row.pixels.len(),
        }
    }

    /// Whether this is a row below the last one.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The samples of some columns; those beyond the last one are left out.
    pub fn part(self, columns: Range<usize>) -> impl Iterator<Item = f32> + 'a {
        columns.map_while(move |x| self.get(x))
    }

    /// All samples where they are kept.
    pub(crate) fn kept(self) -> Option<&'a [f32]> {
        match self.0 {
            RowLight::Samples(samples) => Some(samples),
            RowLight::Weighed(_) => None,
        }
    }

    /// All samples, in `room` where they are not kept anywhere.
    pub(crate) fn samples<'b>(self, room: &'b mut Vec<f32>) -> &'b [f32]
    where
        'a: 'b,
    {
        match self.0 {
            RowLight::Samples(samples) => samples,
            RowLight::Weighed(row) => {
                row.fill(room);
                room
            }
        }
    }
}

impl Plane {
    /// A plane of `width` by `height` samples, row by row.
    ///
    /// # Errors
    ///
    /// When the number of samples is not `width * height`, or either side is zero.
    pub fn new(width: usize, height: usize, samples: Vec<f32>) -> Result<Self, FrameError> {
        if width == 0 || height == 0 || width.checked_mul(height) != Some(samples.len()) {
            return Err(FrameError::PlaneSize { width, height, samples: samples.len() });
        }
        Ok(Self { width, height, light: Light::Samples(samples) })
    }

    /// A plane whose samples are the sums of what the red, green and blue bytes of each pixel add.
    pub(crate) fn weighed(
        [width, height]: [usize; 2],
        pixels: Arc<Bytes>,
        parts: Arc<[[f32; 256]; 3]>,
    ) -> Result<Self, FrameError> {
        let count = pixels.len() / 3;
        if width == 0 || height == 0 || width.checked_mul(height).is_none_or(|needed| needed > count) {
            return Err(FrameError::PlaneSize { width, height, samples: count });
        }
        let light = Light::Weighed(Weighed { pixels, parts, exchanged: Vec::new() });
        Ok(Self { width, height, light })
    }

    /// Samples in a row.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// All samples, row by row; worked out anew where they are not kept.
    pub fn samples(&self) -> Cow<'_, [f32]> {
        match &self.light {
            Light::Samples(samples) => Cow::Borrowed(samples),
            Light::Weighed(_) => {
                let (mut all, mut room) = (Vec::with_capacity(self.width * self.height), Vec::new());
                for y in 0..self.height {
                    all.extend_from_slice(self.row(y).samples(&mut room));
                }
                Cow::Owned(all)
            }
        }
    }

    /// Samples that are kept, to be changed; `None` where they are worked out.
    pub(crate) fn kept_mut(&mut self) -> Option<&mut [f32]> {
        match &mut self.light {
            Light::Samples(samples) => Some(samples),
            Light::Weighed(_) => None,
        }
    }

    /// Changes samples at their places for others, which then hold what was there; done twice, nothing has changed.
    ///
    /// The others must be in the order of their places, each place once.
    pub(crate) fn exchange(&mut self, others: &mut [(usize, f32)]) {
        match &mut self.light {
            Light::Samples(samples) => {
                for (place, value) in others {
                    if let Some(sample) = samples.get_mut(*place) {
                        std::mem::swap(sample, value);
                    }
                }
            }
            Light::Weighed(light) => {
                let width = self.width;
                let is_other = |place: usize| others.binary_search_by_key(&place, |(place, _)| *place).is_ok();
                let mut exchanged: Vec<(usize, f32)> =
                    light.exchanged.iter().filter(|(place, _)| !is_other(*place)).copied().collect();
                for (place, value) in others.iter_mut() {
                    let Some(pixel) = light.pixels.as_chunks::<3>().0.get(*place) else { continue };
                    let own = WeighedRow::of(*pixel, &light.parts);
                    let there = light.row(*place / width, width).and_then(|row| row.get(*place % width)).unwrap_or(own);
                    if value.to_bits() != own.to_bits() {
                        exchanged.push((*place, *value));
                    }
                    *value = there;
                }
                exchanged.sort_unstable_by_key(|(place, _)| *place);
                light.exchanged = exchanged;
            }
        }
    }

    /// Row `y`, without samples below the last row.
    #[inline]
    pub fn row(&self, y: usize) -> Row<'_> {
        let start = y.saturating_mul(self.width);
        Row(match &self.light {
            Light::Samples(samples) => {
                RowLight::Samples(samples.get(start..start.saturating_add(self.width)).unwrap_or_default())
            }
            Light::Weighed(light) if y < self.height => {
                light.row(y, self.width).map_or(RowLight::Samples(&[]), RowLight::Weighed)
            }
            Light::Weighed(_) => RowLight::Samples(&[]),
        })
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these numbers are exact")]
mod tests {
    use super::*;

    /// Parts that tell the channels apart.
    fn weighed(width: usize, height: usize) -> (Plane, Vec<f32>) {
        let bytes: Vec<u8> = (0..=u8::MAX).cycle().step_by(7).take(width * height * 3).collect();
        let parts = [1.0f32, 256.0, 65_536.0].map(|weight| {
            let mut part = [0.0; 256];
            for (value, byte) in part.iter_mut().zip(0..=u8::MAX) {
                *value = weight * f32::from(byte);
            }
            part
        });
        let expected = bytes
            .as_chunks::<3>()
            .0
            .iter()
            .map(|[r, g, b]| f32::from(*r) + 256.0 * f32::from(*g) + 65_536.0 * f32::from(*b))
            .collect();
        (Plane::weighed([width, height], Arc::new(Bytes::new(bytes)), Arc::new(parts)).unwrap(), expected)
    }

    #[test]
    fn light_that_is_worked_out_is_that_of_its_pixels() {
        let (plane, expected) = weighed(5, 4);
        assert_eq!(plane.samples().as_ref(), expected);
        let part: Vec<f32> = plane.row(2).part(1..9).collect();
        assert_eq!(part, expected[11..15]);
        assert!(plane.row(4).is_empty() && plane.row(usize::MAX).get(0).is_none());
        assert_eq!((plane.row(0).len(), plane.row(0).get(5)), (5, None));
        assert!(plane.row(0).at(5).is_nan());
    }

    #[test]
    fn samples_changed_twice_are_what_they_were() {
        let (worked_out, expected) = weighed(5, 4);
        let kept = Plane::new(5, 4, expected.clone()).unwrap();
        for before in [worked_out, kept] {
            let mut plane = before.clone();
            let mut others = [(3, -1.0), (4, -2.0), (12, -3.0), (99, -4.0)];
            plane.exchange(&mut others);
            assert_eq!(plane.row(0).part(2..5).collect::<Vec<f32>>(), [expected[2], -1.0, -2.0]);
            assert_eq!((plane.row(2).at(2), plane.samples()[12]), (-3.0, -3.0));
            assert_eq!(others.map(|(_, value)| value), [expected[3], expected[4], expected[12], -4.0]);
            plane.exchange(&mut others);
            assert_eq!(plane, before);
        }
    }

    #[test]
    fn a_plane_needs_a_sample_for_every_pixel() {
        assert!(Plane::new(2, 2, vec![0.0; 3]).is_err());
        assert!(Plane::weighed([2, 2], Arc::new(Bytes::new(vec![0; 11])), Arc::new([[0.0; 256]; 3])).is_err());
        assert!(Plane::weighed([0, 2], Arc::new(Bytes::new(vec![0; 12])), Arc::new([[0.0; 256]; 3])).is_err());
    }
}
