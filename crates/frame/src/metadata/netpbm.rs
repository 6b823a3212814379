//! The comment lines that the recorders of all-sky cameras write into PGM files: `#"name" value`.
//!
//! # Source
//!
//! Files of the THEMIS, NORSTAR and TREx cameras (University of Calgary), looked at; no description was found.

use super::position::believe;
use super::time::{TakenAt, parse, unset};
use super::{Metadata, Subject, words};

/// The head is looked through up to here, bytes; the longest seen has 4 000.
const HEAD_BYTES: usize = 64_000;
const LONGEST_EXPOSURE_S: f64 = 86_400.0;
/// No sensor is binned by more, and no pixel is longer (from memory: interlaced video sensors have pixels of 2 to 1).
const MOST_BINNED: f64 = 64.0;
const MOST_ASPECT: f64 = 4.0;

/// What the comments of the first picture say.
pub(super) fn read(bytes: &[u8]) -> Metadata {
    let mut metadata = Metadata::default();
    let comments = Comments::read(bytes);
    if let Some(text) = comments.text("Image request start") {
        let taken = parse(text).map(|(local, offset_s)| TakenAt { local, utc_offset_s: offset_s });
        match taken {
            Some(taken) if unset(taken.local).is_none() => metadata.taken = Some(taken),
            _ => metadata.doubt(Subject::Time, text, "it is no date and time of a clock that was set"),
        }
    }
    // in the middle of other settings: "... MSEC=5000"
    let milliseconds = comments
        .text("Exposure options")
        .and_then(|text| text.split_whitespace().find_map(|word| word.strip_prefix("MSEC=")?.parse::<f64>().ok()));
    metadata.exposure_s =
        milliseconds.map(|milliseconds| milliseconds / 1_000.0).filter(|s| *s > 0.0 && *s <= LONGEST_EXPOSURE_S);
    metadata.model = ["Imager model", "Camera model", "Imager unique ID"]
        .iter()
        .find_map(|name| comments.text(name))
        .and_then(words::name);
    metadata.filter = comments.text("Filter wavelength").and_then(words::name);
    let degrees =
        |axis: &str| ["Geodetic", "Geographic"].iter().find_map(|kind| comments.number(&format!("{kind} {axis}")));
    if let Some((latitude_deg, longitude_deg)) = degrees("latitude").zip(degrees("longitude")) {
        believe(&mut metadata, latitude_deg, longitude_deg, comments.number("Geodetic altitude"));
    }
    metadata.pixel_aspect = pixel_aspect(&comments);
    metadata
}

/// Width over height of a stored pixel: that of the sensor's, times how many are binned along rows over along columns.
fn pixel_aspect(comments: &Comments) -> Option<f64> {
    let binned = |name: &str| {
        comments
            .text("Exposure options")
            .and_then(|text| text.split_whitespace().find_map(|word| word.strip_prefix(name)?.parse::<f64>().ok()))
            .filter(|binning| (1.0..=MOST_BINNED).contains(binning))
            .unwrap_or(1.0)
    };
    let aspect = comments.number("Pixel aspect ratio")? * binned("XBIN=") / binned("YBIN=");
    (1.0 / MOST_ASPECT..=MOST_ASPECT).contains(&aspect).then_some(aspect)
}

struct Comments(Vec<(String, String)>);

impl Comments {
    fn read(bytes: &[u8]) -> Self {
        let head = bytes.get(..HEAD_BYTES).unwrap_or(bytes);
        let lines = head.split(|byte| *byte == b'\n').skip(1);
        // the first line that is no comment is the size; what follows is pixels
        let lines = lines.take_while(|line| line.first() == Some(&b'#'));
        let pairs = lines.filter_map(|line| {
            let line = String::from_utf8_lossy(line);
            let (name, value) = line.strip_prefix("#\"")?.split_once('"')?;
            Some((name.to_ascii_lowercase(), value.trim().to_owned()))
        });
        Self(pairs.collect())
    }

    /// The value of a name, whatever its capitals.
    fn text(&self, name: &str) -> Option<&str> {
        let name = name.to_ascii_lowercase();
        self.0.iter().find(|(found, _)| *found == name).map(|(_, value)| value.as_str()).filter(|text| !text.is_empty())
    }

    fn number(&self, name: &str) -> Option<f64> {
        self.text(name)?.split_whitespace().next()?.parse().ok().filter(|number: &f64| number.is_finite())
    }
}
