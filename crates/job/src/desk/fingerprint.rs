//! What a picture looks like, in some kilobytes: enough to find it again when it was made smaller, cut, mirrored, packed or
//! made brighter.

use frame::{Frame, Star};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::grey::Grey;
use crate::check::Preview;

/// Longest side of the grey copy, px.
pub(super) const GREY_PX: usize = 96;
/// Longest side of the copy that the grey one is made from, px: whole steps of averaging leave at least half of it.
const FIRST_COPY_PX: usize = 480;
/// Stars kept, the brightest.
const STARS: usize = 48;
/// Places of stars are kept as shares of the longest side in steps of this: a fifteenth of a pixel at 4,000 px.
const STAR_STEPS: f64 = 65_535.0;
/// Version of the way it is written down.
const VERSION: u8 = 1;
/// Bytes before the grey copy: version, width and height, columns, rows, number of stars.
const HEAD: usize = 8;

/// What a picture looks like, the way up it is shown: a small grey copy and the places of its brightest stars.
///
/// In JSON it is one string of hexadecimal digits, some 13 kB. No place, time or name is in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fingerprint {
    size_px: [u16; 2],
    columns: u8,
    rows: u8,
    /// Light as sRGB writes it, row by row.
    grey: Vec<u8>,
    /// The brightest first, shares of the longest side in steps.
    stars: Vec<[u16; 2]>,
}

impl Fingerprint {
    /// Of an opened picture with its stars (places as stored); `None` for a picture too small to say anything.
    pub fn of(frame: &Frame, stars: &[Star]) -> Option<Self> {
        let copy = Preview::of(frame, &[], FIRST_COPY_PX).ok()?;
        let size = frame.displayed_size();
        let longest = size[0].max(size[1]) as f64;
        let luma = |rgb: &[u8; 3]| 0.2126 * f32::from(rgb[0]) + 0.7152 * f32::from(rgb[1]) + 0.0722 * f32::from(rgb[2]);
        let values = copy.rgb.as_chunks::<3>().0.iter().map(luma).collect();
        let grey = Grey { columns: copy.width, rows: copy.height, values };
        let size_px = size.map(|side| u16::try_from(side).unwrap_or(u16::MAX));
        let mut brightest: Vec<&Star> = stars.iter().filter(|star| star.flux.is_finite()).collect();
        brightest.sort_by(|a, b| b.flux.total_cmp(&a.flux));
        let places = brightest.iter().take(STARS).map(|star| {
            let shown = frame.displayed([star.x_px, star.y_px]);
            shown.map(|px| small((px + 0.5) / longest * STAR_STEPS))
        });
        Some(Self { stars: places.collect(), ..Self::of_grey(&grey, size_px)? })
    }

    /// Of a grey copy of a picture of that size, without stars.
    pub(super) fn of_grey(copy: &Grey, size_px: [u16; 2]) -> Option<Self> {
        let grey = copy.resized_to(GREY_PX)?;
        Some(Self {
            size_px,
            columns: u8::try_from(grey.columns).ok()?,
            rows: u8::try_from(grey.rows).ok()?,
            grey: grey.values.iter().map(|value| byte(*value)).collect(),
            stars: Vec::new(),
        })
    }

    /// Width and height of the picture as shown, px.
    pub fn size_px(&self) -> [u32; 2] {
        self.size_px.map(u32::from)
    }

    pub(super) fn grey(&self) -> Grey {
        Grey {
            columns: usize::from(self.columns),
            rows: usize::from(self.rows),
            values: self.grey.iter().map(|value| f32::from(*value)).collect(),
        }
    }

    /// Places of the brightest stars, shares of the longest side, the brightest first.
    pub(super) fn stars(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.stars.iter().map(|star| star.map(|place| f64::from(place) / STAR_STEPS))
    }

    /// As it is kept: some 6 kB, begun with its version.
    pub fn to_bytes(&self) -> Vec<u8> {
        let [width, height] = self.size_px.map(u16::to_be_bytes);
        let count = u8::try_from(self.stars.len()).unwrap_or(u8::MAX);
        let mut bytes = vec![VERSION, width[0], width[1], height[0], height[1], self.columns, self.rows, count];
        bytes.extend(&self.grey);
        bytes.extend(self.stars.iter().flatten().flat_map(|place| place.to_be_bytes()));
        bytes
    }

    /// Back from [`Fingerprint::to_bytes`]; `None` for what is none, or of another version.
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (head, rest) = bytes.split_first_chunk::<HEAD>()?;
        let [version, w0, w1, h0, h1, columns, rows, count] = *head;
        let cells = usize::from(columns) * usize::from(rows);
        let is_whole = version == VERSION
            && cells > 0
            && usize::from(columns.max(rows)) <= GREY_PX
            && rest.len() == cells + 4 * usize::from(count);
        if !is_whole {
            return None;
        }
        let (grey, stars) = rest.split_at(cells);
        let stars = stars.as_chunks::<4>().0;
        Some(Self {
            size_px: [u16::from_be_bytes([w0, w1]), u16::from_be_bytes([h0, h1])],
            columns,
            rows,
            grey: grey.to_vec(),
            stars: stars
                .iter()
                .map(|[a, b, c, d]| [u16::from_be_bytes([*a, *b]), u16::from_be_bytes([*c, *d])])
                .collect(),
        })
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates at the ends")]
fn small(steps: f64) -> u16 {
    steps.round() as u16
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates at the ends")]
fn byte(value: f32) -> u8 {
    value.round() as u8
}

impl Serialize for Fingerprint {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use std::fmt::Write;
        let bytes = self.to_bytes();
        let mut text = String::with_capacity(2 * bytes.len());
        for byte in bytes {
            // writing to a String cannot fail
            let _written = write!(text, "{byte:02x}");
        }
        serializer.serialize_str(&text)
    }
}

impl<'de> Deserialize<'de> for Fingerprint {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let bytes: Option<Vec<u8>> = text
            .as_bytes()
            .chunks(2)
            .map(|pair| std::str::from_utf8(pair).ok().and_then(|pair| u8::from_str_radix(pair, 16).ok()))
            .collect();
        bytes
            .and_then(|bytes| Self::from_bytes(&bytes))
            .ok_or_else(|| serde::de::Error::custom("no fingerprint of a picture"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Fingerprint {
        Fingerprint {
            size_px: [600, 400],
            columns: 3,
            rows: 2,
            grey: vec![0, 1, 2, 3, 4, 255],
            stars: vec![[1, 65_535], [300, 2]],
        }
    }

    #[test]
    fn a_fingerprint_survives_being_written_down() {
        let text = serde_json::to_string(&example()).unwrap();
        assert_eq!(serde_json::from_str::<Fingerprint>(&text).unwrap(), example());
    }

    #[test]
    fn what_is_cut_or_lengthened_is_no_fingerprint() {
        let bytes = example().to_bytes();
        for length in 0..bytes.len() {
            assert_eq!(Fingerprint::from_bytes(&bytes[..length]), None, "{length}");
        }
        assert_eq!(Fingerprint::from_bytes(&[bytes, vec![0]].concat()), None);
    }
}
