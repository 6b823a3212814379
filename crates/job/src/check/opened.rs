//! A picture opened to be looked at: small, or a part of it pixel for pixel.

use std::ops::ControlFlow;
use std::sync::OnceLock;

use frame::{Frame, Limits, Star, StarSearch, find_stars_in, open_preview};
use optics::Channel;
use thiserror::Error;

use super::open_whole;
use super::pair::{SamePlace, same_place};
use super::preview::{Preview, channels, encoded, shrunk, white};

/// Longest side of the copy that white is found on, px.
const WHITE_FOUND_ON_PX: usize = 600;
/// Longest side of a crop, px: more than any screen shows at once.
const LONGEST_CROP_PX: usize = 4096;

/// A picture that cannot be opened, in the words of its decoder.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the picture cannot be shown: {problem}")]
pub struct UnreadablePicture {
    /// What is wrong with it.
    pub problem: String,
    /// What to do about it.
    pub remedy: String,
}

impl UnreadablePicture {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> &str {
        &self.remedy
    }
}

impl From<frame::FrameError> for UnreadablePicture {
    fn from(error: frame::FrameError) -> Self {
        Self { problem: error.to_string(), remedy: error.hint() }
    }
}

/// A part of a picture pixel for pixel, 8 bits of sRGB, row by row, the way up it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Crop {
    /// First column of the picture as shown.
    pub left: usize,
    /// First row.
    pub top: usize,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green, blue of each pixel.
    pub rgb: Vec<u8>,
}

/// A picture in memory; its places are those of the picture as shown, px from the middle of its first pixel.
#[derive(Debug, Clone)]
pub struct OpenedPicture {
    frame: Frame,
    /// Light that is shown as white, over full scale.
    white: f32,
    stars: OnceLock<Vec<Star>>,
}

impl OpenedPicture {
    /// Opens a picture.
    ///
    /// * `preview_first`: take the finished picture inside a raw file where it is large enough, as the sort does.
    ///
    /// # Errors
    ///
    /// No picture that is read here, too large, damaged.
    pub fn open(bytes: &[u8], preview_first: bool) -> Result<Self, UnreadablePicture> {
        let opened = if preview_first { open_preview } else { open_whole };
        Self::of(opened(bytes, &Limits::default())?)
    }

    /// A frame that is opened already: one of several in a file.
    ///
    /// # Errors
    ///
    /// None that an opened frame can cause.
    pub fn of(frame: Frame) -> Result<Self, UnreadablePicture> {
        let white = if frame.linearity.is_linear() { white_of(&frame)? } else { 1.0 };
        Ok(Self { frame, white, stars: OnceLock::new() })
    }

    /// Columns and rows as shown.
    pub fn size_px(&self) -> [usize; 2] {
        self.frame.displayed_size()
    }

    /// The picture made small.
    ///
    /// * `longest_px`: longest side of the copy.
    ///
    /// # Errors
    ///
    /// None that an opened picture can cause.
    pub fn small(&self, longest_px: usize) -> Result<Preview, UnreadablePicture> {
        Ok(Preview::of(&self.frame, &[], longest_px)?)
    }

    /// The part around a place, moved inside where it would hang over the edge.
    ///
    /// * `size`: columns and rows wanted, each at most 4096.
    ///
    /// # Errors
    ///
    /// None that an opened picture can cause.
    pub fn crop(&self, middle: [f64; 2], size: [usize; 2]) -> Result<Crop, UnreadablePicture> {
        let all = self.size_px();
        let [width, height] = [0, 1].map(|axis| size[axis].clamp(1, LONGEST_CROP_PX).min(all[axis]));
        let first = |axis: usize, side: usize| {
            let wanted = (middle[axis] - 0.5 * side as f64).round().clamp(0.0, (all[axis] - side) as f64);
            index(wanted)
        };
        let (left, top) = (first(0, width), first(1, height));
        let corners = [[left, top], [left + width - 1, top + height - 1]].map(|corner| self.stored(corner));
        let [columns, rows] =
            [0, 1].map(|axis| corners[0][axis].min(corners[1][axis])..=corners[0][axis].max(corners[1][axis]));
        let shown = channels(&self.frame);
        let mut rgb = vec![0u8; width * height * 3];
        for (channel, light) in Channel::ALL.into_iter().enumerate() {
            let by = shown.get(channel).or_else(|| shown.first()).copied().unwrap_or(light);
            let scale = self.scale(by);
            self.frame.each_row(by, |y, row| {
                if y > *rows.end() {
                    return ControlFlow::Break(());
                }
                if y >= *rows.start() {
                    for x in columns.clone() {
                        let [column, line] = self.frame.displayed([x as f64, y as f64]).map(index);
                        let at = ((line - top) * width + column - left) * 3 + channel;
                        if let (Some(out), Some(sample)) = (rgb.get_mut(at), row.get(x)) {
                            *out = encoded(sample * scale);
                        }
                    }
                }
                ControlFlow::Continue(())
            })?;
        }
        Ok(Crop { left, top, width, height, rgb })
    }

    /// A square part of the picture.
    ///
    /// * `middle`: shares of the width and height as stored, from the top left.
    pub(super) fn around(&self, middle: [f64; 2], side_px: usize) -> Result<Crop, UnreadablePicture> {
        let stored = [0, 1].map(|axis| middle[axis] * self.frame.stored_size[axis] as f64 - 0.5);
        self.crop(self.frame.displayed(stored), [side_px; 2])
    }

    /// A star near a place, and the same star on another picture; see [`same_place`].
    ///
    /// # Errors
    ///
    /// None that an opened picture can cause.
    pub fn same_place(&self, other: &Self, near_px: [f64; 2]) -> Result<SamePlace, UnreadablePicture> {
        Ok(same_place(self.stars()?, other.stars()?, self.size_px(), near_px))
    }

    /// Its stars at their places as shown, the most significant first: found once.
    fn stars(&self) -> Result<&[Star], UnreadablePicture> {
        if let Some(found) = self.stars.get() {
            return Ok(found);
        }
        let mut plane = self.frame.luminance()?;
        let field = find_stars_in(&mut plane, &StarSearch::default());
        let shown = |star: Star| {
            let [x_px, y_px] = self.frame.displayed([star.x_px, star.y_px]);
            Star { x_px, y_px, ..star }
        };
        Ok(self.stars.get_or_init(|| field.stars.into_iter().map(shown).collect()))
    }

    /// Where a shown pixel is stored: turning and mirroring keep lengths, so that the way back is the transpose.
    fn stored(&self, shown: [usize; 2]) -> [usize; 2] {
        let origin = self.frame.displayed([0.0, 0.0]);
        [[1.0, 0.0], [0.0, 1.0]].map(|step| {
            let ahead = self.frame.displayed(step);
            let along = |axis: usize| (shown[axis] as f64 - origin[axis]) * (ahead[axis] - origin[axis]);
            index(along(0) + along(1))
        })
    }

    /// From light to shares of white: a raw picture by the camera's own white.
    fn scale(&self, channel: Channel) -> f32 {
        #[expect(clippy::cast_possible_truncation, reason = "a ratio near one")]
        let share = self.frame.neutral.unwrap_or([1.0; 3])[channel.index()] as f32;
        (share.max(1e-6) * self.white).recip()
    }
}

fn white_of(frame: &Frame) -> Result<f32, UnreadablePicture> {
    let stored = frame.stored_size;
    let step = stored[0].max(stored[1]).div_ceil(WHITE_FOUND_ON_PX).max(1);
    let small = stored.map(|side| side.div_ceil(step));
    let neutral = frame.neutral.unwrap_or([1.0; 3]);
    let mut planes = Vec::new();
    for channel in channels(frame) {
        let mut plane = shrunk(frame, *channel, step, small)?;
        #[expect(clippy::cast_possible_truncation, reason = "a ratio near one")]
        let share = (neutral[channel.index()] as f32).max(1e-6);
        for light in &mut plane {
            *light /= share;
        }
        planes.push(plane);
    }
    Ok(white(&planes))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places inside a picture; saturates")]
fn index(place: f64) -> usize {
    place.round() as usize
}
