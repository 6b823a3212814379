//! A frame for air or page: what is where in its sky, and what must stand under it.

mod constellations;
mod request;

use frame::{AuroraPresence, Frame, LensSolution};
use jiff::SignedDuration;
use quantity::{GeoPosition, Horizontal};
use serde::{Deserialize, Serialize};

use self::constellations::{ConstellationLabel, constellation_labels, faint_constellation_labels};
pub(super) use self::request::check_words;
pub use self::request::{PlacePrecision, TellStillRequest};
use super::credit::credited;
use crate::ReadForm;
use crate::check::{Looked, look, preview, unreadable};

/// Stars that are named: those of second magnitude and brighter.
const NAMED_STARS_V_MAG: f64 = 2.2;
/// Directions along the horizon.
const DIRECTIONS: [(&str, f64); 8] =
    [("N", 0.0), ("NE", 45.0), ("E", 90.0), ("SE", 135.0), ("S", 180.0), ("SW", 225.0), ("W", 270.0), ("NW", 315.0)];
/// Longest exposure that is believed, s: a night.
const LONGEST_S: f64 = 86_400.0;
/// Steps along the horizon, degrees.
const HORIZON_STEP_DEG: f64 = 1.0;

/// What a label names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SkyLabelKind {
    /// A constellation, by its IAU name; the place is the middle of its named stars.
    Constellation,
    /// A bright star.
    Star,
    /// A point of the compass on the horizon.
    Direction,
    /// The moon.
    Moon,
    /// The form of the aurora, at the cell of it that is nearest to its middle.
    Form,
}

/// A name on the sky of a frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SkyLabel {
    /// What it names.
    pub kind: SkyLabelKind,
    /// The name.
    pub name: String,
    /// Where, as shares of width and height of the frame as shown, from the top left.
    pub place: [f64; 2],
}

/// What stands on and under a still.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TellStillReport {
    /// What the file is called.
    pub file: String,
    /// Columns and rows of the frame, the way up it is shown; 0 of a file that cannot be read.
    pub frame_px: [usize; 2],
    /// Facts of the caption, each a few words, the most important first.
    pub caption: Vec<String>,
    /// When it was taken, ISO 8601: in UTC where that is known, else by the camera's clock without a zone.
    pub taken: Option<String>,
    /// Names on the sky, the most important first.
    pub labels: Vec<SkyLabel>,
    /// The horizon from left to right, pieces of lines in shares of width and height as shown.
    pub horizon: Vec<Vec<[f64; 2]>>,
    /// What was left out and why.
    pub notes: Vec<String>,
}

/// A picture to be put into a still: 8 bits of sRGB, row by row, the way up it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StillPicture {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green, blue of each pixel.
    pub rgb: Vec<u8>,
}

/// A report with its picture; a file that cannot be read has none, and the first note says why.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldStill {
    /// Words and places.
    pub report: TellStillReport,
    /// The frame made small.
    pub picture: Option<StillPicture>,
}

/// Names what is in the sky of a frame and writes its caption.
///
/// Never fails: what cannot be told is left out, and the notes say so. Places on the sky need stars enough for the lens;
/// directions, horizon and moon also time and place.
pub fn tell_still(request: &TellStillRequest, bytes: &[u8]) -> ToldStill {
    let of = |looked: &Looked| {
        let frame = &looked.frame;
        let step = step(frame.displayed_size(), request.covers_px);
        let size = frame.stored_size.map(|side| side.div_ceil(step));
        let planes = preview::planes(frame, step, size)?;
        let rgb = preview::turned(frame.orientation, size, &preview::of_planes(frame, size, planes));
        let [width, height] = frame.orientation.displayed_size(size);
        Ok(ToldStill { report: report(request, looked), picture: Some(StillPicture { width, height, rgb }) })
    };
    let told = look(&request.frame, bytes).and_then(|looked| of(&looked));
    told.unwrap_or_else(|error| {
        let why = unreadable(&request.frame, &error).summary;
        let report = TellStillReport {
            file: request.frame.name.clone(),
            frame_px: [0; 2],
            caption: Vec::new(),
            taken: None,
            labels: Vec::new(),
            horizon: Vec::new(),
            notes: vec![why],
        };
        ToldStill { report, picture: None }
    })
}

/// Pixels of a frame along each side that are averaged into one, so that the picture still covers a still.
fn step(shown: [usize; 2], covers_px: [u32; 2]) -> usize {
    let along = |side: usize| shown[side] / usize::try_from(covers_px[side]).unwrap_or(usize::MAX).max(1);
    along(0).min(along(1)).max(1)
}

fn report(request: &TellStillRequest, looked: &Looked) -> TellStillReport {
    let mut report = TellStillReport {
        file: request.frame.name.clone(),
        frame_px: looked.frame.displayed_size(),
        caption: caption(request, looked),
        taken: taken(looked),
        labels: Vec::new(),
        horizon: Vec::new(),
        notes: Vec::new(),
    };
    if !request.annotate {
        return report;
    }
    report.labels.extend(form(request, looked));
    let Some(solution) = &looked.light.solution else {
        report
            .notes
            .push("no star, constellation or direction is named: the lens is not found by its stars".to_owned());
        return report;
    };
    let sky = Sky { looked, solution };
    if solution.alt_deg.is_some() {
        report.horizon = sky.horizon();
        report.labels.extend(sky.directions());
        report.labels.extend(sky.moon(position(request, looked)));
    } else {
        report.notes.push("directions, horizon and moon are left out: time and place are not both known".to_owned());
    }
    report.labels.extend(sky.constellations(&constellation_labels()));
    report.labels.extend(sky.stars());
    report.labels.extend(sky.constellations(&faint_constellation_labels()));
    report
}

fn position(request: &TellStillRequest, looked: &Looked) -> Option<GeoPosition> {
    request.frame.position.or(looked.frame.metadata.position)
}

/// The form of an aurora that is sure: by the reading of the night, which saw it change, else by the frame alone.
fn form(request: &TellStillRequest, looked: &Looked) -> Option<SkyLabel> {
    let aurora = looked.report.aurora.as_ref().filter(|aurora| aurora.present == AuroraPresence::Yes)?;
    // a reading's times are those of the middle of an exposure, the file's that of its begin
    let began = looked.report.taken.as_ref().and_then(|taken| taken.utc);
    let exposure_s =
        looked.report.settings.exposure_s.filter(|seconds| (0.0..LONGEST_S).contains(seconds)).unwrap_or(0.0);
    let ended = began.and_then(|began| began.checked_add(SignedDuration::try_from_secs_f64(exposure_s).ok()?).ok());
    let was_there = |form: &&ReadForm| {
        let times = (form.from, form.to, began, ended);
        matches!(times, (Some(from), Some(to), Some(began), Some(ended)) if from <= ended && began <= to)
    };
    let read = request.forms.iter().filter(was_there).filter_map(|form| Some((form.confidence, form.name?)));
    let read = read.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, name)| name.words());
    let words = read.or(aurora.form.as_deref())?;
    let name = words.strip_prefix("a ").unwrap_or(words);
    let (mask, cells) = (&looked.light.finding.mask, &looked.cells);
    let middles: Vec<[f64; 2]> = (0..mask.len()).filter(|cell| mask[*cell]).map(|cell| cells.middle_px(cell)).collect();
    let count = middles.len() as f64;
    let mean = [0, 1].map(|axis| middles.iter().map(|middle| middle[axis]).sum::<f64>() / count);
    // the middle of a bent form may lie beside it
    let away = |middle: &[f64; 2]| (middle[0] - mean[0]).hypot(middle[1] - mean[1]);
    let pixel = middles.into_iter().min_by(|a, b| away(a).total_cmp(&away(b)))?;
    let place = shown(&looked.frame, pixel)?;
    Some(SkyLabel { kind: SkyLabelKind::Form, name: name.to_owned(), place })
}

/// A pixel as stored in shares of the frame as shown; `None` outside of it.
fn shown(frame: &Frame, pixel: [f64; 2]) -> Option<[f64; 2]> {
    let (place, size) = (frame.displayed(pixel), frame.displayed_size());
    let share = [0, 1].map(|axis| (place[axis] + 0.5) / size[axis] as f64);
    share.iter().all(|share| (0.0..=1.0).contains(share)).then_some(share)
}

/// Places of the sky on a frame as shown.
struct Sky<'a> {
    looked: &'a Looked,
    solution: &'a LensSolution,
}

impl Sky<'_> {
    fn shown(&self, pixel: [f64; 2]) -> Option<[f64; 2]> {
        shown(&self.looked.frame, pixel)
    }

    fn label(&self, kind: SkyLabelKind, name: &str, pixel: Option<[f64; 2]>) -> Option<SkyLabel> {
        Some(SkyLabel { kind, name: name.to_owned(), place: self.shown(pixel?)? })
    }

    /// A place among the stars, if it is above the horizon.
    fn pixel_of_sky(&self, ra_deg: f64, dec_deg: f64) -> Option<[f64; 2]> {
        let pixel = self.solution.pixel_of_sky(ra_deg, dec_deg)?;
        let is_up = self.solution.horizontal_of(pixel).is_none_or(|seen| seen.altitude_deg > 0.0);
        is_up.then_some(pixel)
    }

    fn constellations(&self, labels: &[ConstellationLabel]) -> Vec<SkyLabel> {
        labels
            .iter()
            .filter_map(|label| {
                let pixel = self.pixel_of_sky(label.right_ascension_deg, label.declination_deg);
                self.label(SkyLabelKind::Constellation, label.name, pixel)
            })
            .collect()
    }

    fn stars(&self) -> Vec<SkyLabel> {
        sky::catalogue()
            .brighter_than(NAMED_STARS_V_MAG)
            .filter_map(|star| {
                let pixel = self.pixel_of_sky(star.right_ascension_deg, star.declination_deg);
                self.label(SkyLabelKind::Star, star.name()?, pixel)
            })
            .collect()
    }

    fn directions(&self) -> Vec<SkyLabel> {
        DIRECTIONS
            .iter()
            .filter_map(|(name, azimuth_deg)| {
                let pixel = self.solution.pixel_of_horizontal(Horizontal::new(0.0, *azimuth_deg));
                self.label(SkyLabelKind::Direction, name, pixel)
            })
            .collect()
    }

    fn moon(&self, position: Option<GeoPosition>) -> Option<SkyLabel> {
        let utc = self.looked.report.taken.as_ref()?.utc?;
        let moon = sky::sun_moon(utc, position?).ok()?.moon.horizontal;
        let seen = sky::Air::default().apparent(moon);
        let pixel = self.solution.pixel_of_horizontal(seen).filter(|_| seen.altitude_deg > 0.0);
        self.label(SkyLabelKind::Moon, "Moon", pixel)
    }

    fn horizon(&self) -> Vec<Vec<[f64; 2]>> {
        let mut pieces: Vec<Vec<[f64; 2]>> = Vec::new();
        let mut piece = Vec::new();
        let mut azimuth_deg = 0.0;
        while azimuth_deg <= 360.0 {
            let pixel = self.solution.pixel_of_horizontal(Horizontal::new(0.0, azimuth_deg));
            match pixel.and_then(|pixel| self.shown(pixel)) {
                Some(place) => piece.push(place),
                None if !piece.is_empty() => pieces.push(std::mem::take(&mut piece)),
                None => {}
            }
            azimuth_deg += HORIZON_STEP_DEG;
        }
        pieces.push(piece);
        pieces.retain(|piece| piece.len() > 1);
        pieces
    }
}

/// Time, place, settings, credit.
fn caption(request: &TellStillRequest, looked: &Looked) -> Vec<String> {
    let mut facts = Vec::new();
    if let Some(words) = time(request, looked) {
        facts.push(words);
    }
    facts.extend(request.place.clone());
    facts.extend(position(request, looked).and_then(|position| coordinates(position, request.place_precision)));
    let settings = &looked.report.settings;
    facts.extend(settings.exposure_s.map(super::eye::shutter));
    facts.extend(settings.f_number.map(|f_number| format!("f/{f_number:.1}")));
    facts.extend(settings.iso.map(|iso| format!("ISO {iso:.0}")));
    facts.extend(settings.focal_mm.map(|focal_mm| format!("{focal_mm:.0} mm")));
    facts.extend(credited(request.credit.as_deref()));
    facts
}

fn taken(looked: &Looked) -> Option<String> {
    let taken = looked.report.taken.as_ref()?;
    let by_camera = || Some(taken.local.as_ref()?.replace(' ', "T"));
    taken.utc.map(|utc| utc.to_string()).or_else(by_camera)
}

fn time(request: &TellStillRequest, looked: &Looked) -> Option<String> {
    let taken = looked.report.taken.as_ref()?;
    let Some(utc) = taken.utc else {
        return taken.local.as_ref().map(|local| format!("{} camera time", local.get(..16).unwrap_or(local)));
    };
    let zone = request.zone().unwrap_or(jiff::tz::TimeZone::UTC);
    let local = zone.to_datetime(utc);
    let name = zone.to_offset_info(utc).abbreviation().to_owned();
    Some(format!("{} {:02}:{:02} {name}", local.date(), local.hour(), local.minute()))
}

/// "69° N, 16° E".
pub(super) fn coordinates(position: GeoPosition, precision: PlacePrecision) -> Option<String> {
    let places = match precision {
        PlacePrecision::Hidden => return None,
        PlacePrecision::Degree => 0,
        PlacePrecision::Tenth => 1,
    };
    let part = |value: f64, letters: [&str; 2]| {
        format!("{:.places$}° {}", value.abs(), if value < 0.0 { letters[1] } else { letters[0] })
    };
    Some(format!("{}, {}", part(position.latitude_deg(), ["N", "S"]), part(position.longitude_deg(), ["E", "W"])))
}
