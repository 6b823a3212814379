use std::ops::ControlFlow;
use std::sync::Arc;

use optics::Channel;
use serde::{Deserialize, Serialize};

use crate::samples::{Place, Scale, Values};
use crate::whole_numbers::WholeLight;
use crate::{CurveSource, FileKind, FrameError, Linearity, Metadata, Orientation, Plane, TransferCurve};

/// Colour of each site of a two-by-two mosaic: `[top left, top right, bottom left, bottom right]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MosaicPattern(pub [Channel; 4]);

impl MosaicPattern {
    /// By its usual name in capital letters ("RGGB"); only patterns with one red, two green and one blue site.
    pub fn from_name(name: &str) -> Option<Self> {
        let mut sites = [Channel::Green; 4];
        if name.len() != 4 {
            return None;
        }
        for (site, letter) in sites.iter_mut().zip(name.chars()) {
            *site = match letter.to_ascii_uppercase() {
                'R' => Channel::Red,
                'G' => Channel::Green,
                'B' => Channel::Blue,
                _ => return None,
            };
        }
        let count = |channel| sites.iter().filter(|site| **site == channel).count();
        (count(Channel::Red) == 1 && count(Channel::Green) == 2 && count(Channel::Blue) == 1).then_some(Self(sites))
    }

    /// Colour of the pixel in column `x` of row `y`.
    pub fn at(self, x: usize, y: usize) -> Channel {
        self.0[2 * (y % 2) + x % 2]
    }
}

/// Which numbers a pixel has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Layout {
    /// One.
    Grey,
    /// Red, green and blue.
    Rgb,
    /// One, of the colour its place in the pattern has.
    Mosaic(MosaicPattern),
}

/// What a plane's samples count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SampleUnit {
    /// Shares of full scale: 1 is where the file clips.
    FullScale,
    /// The file's own numbers (FITS, pictures in floating point).
    FileUnits,
}

/// A picture with what is known about it.
///
/// Row 0 is the first row of the file and column 0 the first of a row; nothing is turned. See [`Frame::orientation`].
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// What the file is.
    pub kind: FileKind,
    /// Which numbers a pixel has.
    pub layout: Layout,
    /// Width and height as stored, pixels.
    pub stored_size: [usize; 2],
    /// Bits of one number as stored (of the file, not of the converter behind it).
    pub bits: u8,
    /// What the numbers are worth as light.
    pub linearity: Linearity,
    /// What the planes count.
    pub unit: SampleUnit,
    /// Plane value at and above which nothing was recorded, as far as the file tells: 1 in shares of full scale. A
    /// sensor of fewer bits than the file may clip below it.
    pub ceiling: Option<f32>,
    /// How the picture is meant to be shown.
    pub orientation: Orientation,
    /// Time, settings, lens, place.
    pub metadata: Metadata,
    /// Whether the file breaks off before its picture ends; the missing part is filled with an even grey.
    pub cut_short: bool,
    /// The camera's answer to what it took for white, red, green and blue with green at 1 (raw files only): divide by it
    /// for a picture to look at, never for measuring.
    pub neutral: Option<[f64; 3]>,
    /// What was assumed, left out or odd, each in one plain sentence.
    pub notes: Vec<String>,
    pub(crate) values: Values,
    /// Red, green, blue; all the same where a pixel has one number.
    pub(crate) places: [Place; 3],
    pub(crate) black: [f32; 4],
    pub(crate) white: f32,
}

/// Weights of red, green and blue in luminance: ITU-R BT.709-6, item 3.2. For other primaries they are near enough to
/// make a grey picture of.
const LUMINANCE_WEIGHTS: [f32; 3] = [0.2126, 0.7152, 0.0722];

/// Adobe RGB (1998) Color Image Encoding, version 2005-05, 4.3.4.2: the exponent is 2 and 51/256.
const ADOBE_RGB_EXPONENT: f64 = 2.0 + 51.0 / 256.0;

impl Frame {
    /// Width and height as shown.
    pub fn displayed_size(&self) -> [usize; 2] {
        self.orientation.displayed_size(self.stored_size)
    }

    /// Where a stored position is shown; pixel centres lie at integers.
    pub fn displayed(&self, position: [f64; 2]) -> [f64; 2] {
        self.orientation.displayed(position, self.stored_size)
    }

    /// One channel as light, at the full size.
    ///
    /// A grey picture gives its one channel whichever is asked for. In a mosaic the sites of other colours are filled
    /// with the mean of their nearest neighbours of this colour (two or four): good for looking and for finding stars;
    /// use [`Frame::mosaic`] or [`Frame::cells`] to measure.
    ///
    /// # Errors
    ///
    /// None that a frame from [`crate::open`] can cause.
    pub fn plane(&self, channel: Channel) -> Result<Plane, FrameError> {
        let light = self.light(self.places[channel.index()]);
        let plane = self.planed(light)?;
        match self.layout {
            Layout::Grey | Layout::Rgb => Ok(plane),
            Layout::Mosaic(pattern) => crate::mosaic::filled(&plane, pattern, channel),
        }
    }

    /// Shows one channel row by row, from the top, without making the whole plane: the same light as [`Frame::plane`].
    ///
    /// `visit` takes the number of the row and its light, and says whether to go on. A mosaic is filled in whole first.
    ///
    /// # Errors
    ///
    /// None that a frame from [`crate::open`] can cause.
    pub fn each_row(
        &self,
        channel: Channel,
        mut visit: impl FnMut(usize, &[f32]) -> ControlFlow<()>,
    ) -> Result<(), FrameError> {
        if let Layout::Mosaic(_) = self.layout {
            let plane = self.plane(channel)?;
            let mut room = Vec::new();
            let _stopped = (0..plane.height()).try_for_each(|y| visit(y, plane.row(y).samples(&mut room)));
            return Ok(());
        }
        let table = self.table();
        let mut pair = Vec::new();
        for y in (0..self.stored_size[1]).step_by(2) {
            self.pair_of_rows(self.places[channel.index()], y, table.as_deref(), &mut pair);
            for (row, light) in pair.chunks_exact(self.stored_size[0].max(1)).enumerate() {
                if visit(y + row, light).is_break() {
                    return Ok(());
                }
            }
        }
        Ok(())
    }

    /// Rows `y` and `y + 1` as recorded, `y` being even, for black depends on odd and even; one row at an odd lower edge.
    pub(crate) fn pair_of_rows(&self, place: Place, y: usize, table: Option<&[f32]>, light: &mut Vec<f32>) {
        let [width, height] = self.stored_size;
        let from = Place { first: place.first + y * width * place.step, step: place.step };
        self.scale(table).fill(&self.values, from, [width, 2.min(height.saturating_sub(y))], light);
    }

    /// The light of every whole number, for comparisons before the look-up; `None` where a look-up does not tell.
    pub(crate) fn whole_light(&self) -> Option<WholeLight> {
        WholeLight::of(&self.values, &self.scale(self.table().as_deref()))
    }

    /// A mosaic as it was recorded, with its pattern; `None` for any other picture.
    pub fn mosaic(&self) -> Option<(Plane, MosaicPattern)> {
        match self.layout {
            Layout::Mosaic(pattern) => Some((self.planed(self.light(self.places[0])).ok()?, pattern)),
            Layout::Grey | Layout::Rgb => None,
        }
    }

    /// A mosaic's channel cell by cell, at half the size, without any filling: the two greens of a cell are averaged.
    ///
    /// Sample (x, y) stands for the cell whose middle lies at (2x + 0.5, 2y + 0.5) of the frame. A last odd row or
    /// column is left out. `None` for any other picture.
    pub fn cells(&self, channel: Channel) -> Option<Plane> {
        let Layout::Mosaic(pattern) = self.layout else { return None };
        let [width, height] = self.stored_size.map(|side| side / 2);
        let table = self.table();
        let (mut samples, mut pair) = (Vec::with_capacity(width * height), Vec::new());
        for row in 0..height {
            self.pair_of_rows(self.places[0], 2 * row, table.as_deref(), &mut pair);
            crate::mosaic::extend_cells(&pair, self.stored_size[0], pattern, channel, &mut samples);
        }
        Plane::new(width, height, samples).ok()
    }

    /// Luminance at the full size: BT.709 weights for colour; a quarter red, half green and a quarter blue around every
    /// site of a mosaic (smoothed over three pixels); the one channel of a grey picture.
    ///
    /// Takes the memory of one plane, not of three; of a picture stored as bytes next to none.
    ///
    /// # Errors
    ///
    /// None that a frame from [`crate::open`] can cause.
    pub fn luminance(&self) -> Result<Plane, FrameError> {
        match self.layout {
            Layout::Grey => self.planed(self.light(self.places[1])),
            Layout::Mosaic(_) => crate::mosaic::smoothed(&self.planed(self.light(self.places[1]))?),
            Layout::Rgb => self.of_bytes().unwrap_or_else(|| self.planed(self.weighted())),
        }
    }

    /// Luminance of a picture in colour that is stored as bytes, pixel by pixel; `None` of any other.
    fn of_bytes(&self) -> Option<Result<Plane, FrameError>> {
        let Values::U8(values) = &self.values else { return None };
        let lie_together = self.places == [0, 1, 2].map(|channel| Place::interleaved(channel, 3));
        let whole = self.whole_light().filter(|_| lie_together)?;
        // three small tables, weighed beforehand: the same sums as below
        let parts = LUMINANCE_WEIGHTS.map(|weight| {
            let mut part = [f32::NAN; 256];
            for (of_byte, light) in part.iter_mut().zip(whole.light()) {
                *of_byte = weight * light;
            }
            part
        });
        Some(Plane::weighed(self.stored_size, Arc::clone(values), Arc::new(parts)))
    }

    /// Luminance of a picture in colour, row by row: the single channels never exist whole.
    fn weighted(&self) -> Vec<f32> {
        let [width, height] = self.stored_size;
        let mut light = Vec::with_capacity(width * height);
        let table = self.table();
        let mut pairs = [Vec::new(), Vec::new(), Vec::new()];
        for y in (0..height).step_by(2) {
            for (pair, place) in pairs.iter_mut().zip(self.places) {
                self.pair_of_rows(place, y, table.as_deref(), pair);
            }
            let [red, green, blue] = &pairs;
            let weighed = red.iter().zip(green).zip(blue).map(|((red, green), blue)| {
                LUMINANCE_WEIGHTS[0] * red + LUMINANCE_WEIGHTS[1] * green + LUMINANCE_WEIGHTS[2] * blue
            });
            light.extend(weighed);
        }
        light
    }

    /// Reads the same numbers with another transfer curve, for somebody who knows better than the file.
    ///
    /// Numbers in floating point are linear by nature and stay as they are.
    #[must_use]
    pub fn with_curve(mut self, curve: TransferCurve) -> Self {
        if matches!(self.values, Values::U8(_) | Values::U16(_)) && self.unit == SampleUnit::FullScale {
            self.linearity = Linearity::DecodedTransfer { curve, source: CurveSource::Given };
            self.notes.push("the transfer curve was given by hand".to_owned());
        }
        self
    }

    /// Takes the camera's mark for Adobe RGB over where nothing better is known.
    pub(crate) fn believe_adobe_rgb(&mut self) {
        if let Linearity::DecodedTransfer { curve, source } = &mut self.linearity
            && *source == CurveSource::Assumed
        {
            (*curve, *source) = (TransferCurve::Power(ADOBE_RGB_EXPONENT), CurveSource::Tag);
            self.notes.push("marked as Adobe RGB: its curve is used in place of the sRGB curve".to_owned());
        }
    }

    fn planed(&self, light: Vec<f32>) -> Result<Plane, FrameError> {
        Plane::new(self.stored_size[0], self.stored_size[1], light)
    }

    fn light(&self, place: Place) -> Vec<f32> {
        let table = self.table();
        self.scale(table.as_deref()).channel(&self.values, place, self.stored_size)
    }

    pub(crate) fn scale<'a>(&self, table: Option<&'a [f32]>) -> Scale<'a> {
        Scale { black: self.black, white: self.white, table }
    }

    /// The light of every value, where a curve is to be inverted.
    pub(crate) fn table(&self) -> Option<Vec<f32>> {
        let Linearity::DecodedTransfer { curve, .. } = &self.linearity else { return None };
        match &self.values {
            Values::U8(_) | Values::U16(_) if *curve != TransferCurve::Linear => {
                Some(curve.table(whole_white(self.white)))
            }
            Values::U8(_) | Values::U16(_) | Values::F32(_) => None,
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a full scale of 1 to 65 535")]
fn whole_white(white: f32) -> u16 {
    white as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_true_bayer_patterns_have_names() {
        let pattern = MosaicPattern::from_name("GBRG").unwrap();
        assert_eq!(pattern.at(1, 0), Channel::Blue);
        assert_eq!(pattern.at(4, 3), Channel::Red);
        for bad in ["RGB", "RRGB", "CYGM", "", "RGGBX"] {
            assert_eq!(MosaicPattern::from_name(bad), None, "{bad}");
        }
    }
}
