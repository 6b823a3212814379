/// Longest text kept, bytes.
pub(crate) const MOST_TEXT_BYTES: usize = 400;
/// Most numbers of one tag that are kept: the longest list wanted has four.
pub(crate) const MOST_NUMBERS: usize = 8;

/// The directory a tag stands in: the same number means other things elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Directory {
    Picture,
    Exif,
    Gps,
    Interoperability,
}

/// A tag by directory and number.
pub(crate) type Tag = (Directory, u16);

/// The tags that are read (CIPA DC-008, Exif 2.32, tables 4 to 15); all others are never looked at.
pub(crate) mod names {
    use super::Directory::{Exif, Gps, Interoperability, Picture};
    use super::Tag;

    pub(crate) const MAKE: Tag = (Picture, 0x010f);
    pub(crate) const MODEL: Tag = (Picture, 0x0110);
    pub(crate) const ORIENTATION: Tag = (Picture, 0x0112);
    pub(crate) const SOFTWARE: Tag = (Picture, 0x0131);
    pub(crate) const CHANGED: Tag = (Picture, 0x0132);
    /// Of Panasonic's raw files alone.
    pub(crate) const PANASONIC_ISO: Tag = (Picture, 0x0017);
    pub(crate) const EXPOSURE: Tag = (Exif, 0x829a);
    pub(crate) const F_NUMBER: Tag = (Exif, 0x829d);
    pub(crate) const SENSITIVITY: Tag = (Exif, 0x8827);
    pub(crate) const STANDARD_OUTPUT: Tag = (Exif, 0x8831);
    pub(crate) const RECOMMENDED_INDEX: Tag = (Exif, 0x8832);
    pub(crate) const ISO_SPEED: Tag = (Exif, 0x8833);
    pub(crate) const ORIGINAL: Tag = (Exif, 0x9003);
    pub(crate) const DIGITIZED: Tag = (Exif, 0x9004);
    pub(crate) const OFFSET: Tag = (Exif, 0x9010);
    pub(crate) const OFFSET_ORIGINAL: Tag = (Exif, 0x9011);
    pub(crate) const OFFSET_DIGITIZED: Tag = (Exif, 0x9012);
    pub(crate) const SHUTTER_APEX: Tag = (Exif, 0x9201);
    pub(crate) const APERTURE_APEX: Tag = (Exif, 0x9202);
    pub(crate) const FOCAL_LENGTH: Tag = (Exif, 0x920a);
    pub(crate) const SUBSECOND_ORIGINAL: Tag = (Exif, 0x9291);
    pub(crate) const COLOUR_SPACE: Tag = (Exif, 0xa001);
    pub(crate) const WIDTH: Tag = (Exif, 0xa002);
    pub(crate) const HEIGHT: Tag = (Exif, 0xa003);
    pub(crate) const FOCAL_PLANE_X: Tag = (Exif, 0xa20e);
    pub(crate) const FOCAL_PLANE_Y: Tag = (Exif, 0xa20f);
    pub(crate) const FOCAL_PLANE_UNIT: Tag = (Exif, 0xa210);
    pub(crate) const DIGITAL_ZOOM: Tag = (Exif, 0xa404);
    pub(crate) const FOCAL_35MM: Tag = (Exif, 0xa405);
    pub(crate) const BODY_SERIAL: Tag = (Exif, 0xa431);
    pub(crate) const LENS: Tag = (Exif, 0xa434);
    pub(crate) const LATITUDE_REF: Tag = (Gps, 1);
    pub(crate) const LATITUDE: Tag = (Gps, 2);
    pub(crate) const LONGITUDE_REF: Tag = (Gps, 3);
    pub(crate) const LONGITUDE: Tag = (Gps, 4);
    pub(crate) const ALTITUDE_REF: Tag = (Gps, 5);
    pub(crate) const ALTITUDE: Tag = (Gps, 6);
    pub(crate) const GPS_TIME: Tag = (Gps, 7);
    pub(crate) const GPS_DATE: Tag = (Gps, 0x1d);
    pub(crate) const INTEROPERABILITY: Tag = (Interoperability, 1);

    pub(crate) const ALL: [Tag; 40] = [
        MAKE,
        MODEL,
        ORIENTATION,
        SOFTWARE,
        CHANGED,
        PANASONIC_ISO,
        EXPOSURE,
        F_NUMBER,
        SENSITIVITY,
        STANDARD_OUTPUT,
        RECOMMENDED_INDEX,
        ISO_SPEED,
        ORIGINAL,
        DIGITIZED,
        OFFSET,
        OFFSET_ORIGINAL,
        OFFSET_DIGITIZED,
        SHUTTER_APEX,
        APERTURE_APEX,
        FOCAL_LENGTH,
        SUBSECOND_ORIGINAL,
        COLOUR_SPACE,
        WIDTH,
        HEIGHT,
        FOCAL_PLANE_X,
        FOCAL_PLANE_Y,
        FOCAL_PLANE_UNIT,
        DIGITAL_ZOOM,
        FOCAL_35MM,
        BODY_SERIAL,
        LENS,
        LATITUDE_REF,
        LATITUDE,
        LONGITUDE_REF,
        LONGITUDE,
        ALTITUDE_REF,
        ALTITUDE,
        GPS_TIME,
        GPS_DATE,
        INTEROPERABILITY,
    ];
}

/// The value of a tag, whatever type it was stored in: writers do not keep to the standard's types.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value {
    Text(String),
    Numbers(Vec<f64>),
}

/// The wanted tags of a file.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tags {
    found: Vec<(Tag, Value)>,
}

impl Tags {
    /// Keeps a wanted tag; the first of its kind counts.
    pub(crate) fn keep(&mut self, tag: Tag, value: Value) {
        if names::ALL.contains(&tag) && self.get(tag).is_none() {
            self.found.push((tag, value));
        }
    }

    /// Whether there is anything about a camera, beyond how the picture is turned.
    pub(crate) fn says_something(&self) -> bool {
        self.found.iter().any(|(tag, _)| *tag != names::ORIENTATION)
    }

    pub(crate) fn get(&self, tag: Tag) -> Option<&Value> {
        self.found.iter().find(|(found, _)| *found == tag).map(|(_, value)| value)
    }

    /// A text that is not all blanks.
    pub(crate) fn text(&self, tag: Tag) -> Option<&str> {
        match self.get(tag)? {
            Value::Text(text) => {
                Some(text.trim_matches(|c: char| c.is_whitespace() || c == '\0')).filter(|t| !t.is_empty())
            }
            Value::Numbers(_) => None,
        }
    }

    /// All numbers of a tag; a number written as text counts too.
    pub(crate) fn numbers(&self, tag: Tag) -> Option<Vec<f64>> {
        match self.get(tag)? {
            Value::Numbers(numbers) => Some(numbers.clone()).filter(|numbers| !numbers.is_empty()),
            Value::Text(text) => text.trim().parse().ok().map(|number| vec![number]),
        }
    }

    /// The first number of a tag; it may be NaN or infinite (a denominator of zero).
    pub(crate) fn number(&self, tag: Tag) -> Option<f64> {
        self.numbers(tag)?.first().copied()
    }
}
