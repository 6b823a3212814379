//! What stills of a night are drawn from beside its frames: a keogram, a map with lines of sight. Places as coarse as the owner wishes.

mod map;

use jiff::tz::TimeZone;
use quantity::{GeoPosition, Timestamp};
use serde::{Deserialize, Serialize};

pub use map::{MapLight, MapSightline, TellMap, outlook_map, reading_map};

use super::credit::credited;
use super::still::{PlacePrecision, check_words, coordinates};
use crate::{JobError, ReadKeogram, ReadReport};

/// What stands on a still that is drawn, and how much of the place.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct TellSheetRequest {
    /// What the place is called, as coarsely as its owner wishes; `None` names none.
    pub place: Option<String>,
    /// How exactly the place is drawn and said.
    pub place_precision: PlacePrecision,
    /// Whom to credit.
    pub credit: Option<String>,
    /// IANA time zone of the times said; UTC without.
    pub time_zone: Option<String>,
    /// Of a map: the moment; the brightest with aurora without.
    pub at: Option<Timestamp>,
}

impl TellSheetRequest {
    /// Checks everything the types cannot.
    ///
    /// # Errors
    ///
    /// Words that are too long for a caption, an unknown time zone.
    pub fn check(&self) -> Result<(), JobError> {
        check_words(&[("place", &self.place), ("credit", &self.credit)])?;
        self.zone().map(|_zone| ())
    }

    fn zone(&self) -> Result<TimeZone, JobError> {
        let Some(name) = &self.time_zone else { return Ok(TimeZone::UTC) };
        TimeZone::get(name).map_err(|_cause| JobError::UnknownTimeZone { name: name.clone() })
    }

    /// Time, place and credit, as a caption has them.
    fn caption(&self, when: String, position: Option<GeoPosition>) -> Vec<String> {
        let mut facts = vec![when];
        facts.extend(self.place.clone());
        facts.extend(position.and_then(|position| coordinates(position, self.place_precision)));
        facts.extend(credited(self.credit.as_deref()));
        facts
    }
}

/// A keogram to be put on air.
#[derive(Debug, Clone, PartialEq)]
pub struct TellKeogram {
    /// What it is, in a few words.
    pub title: String,
    /// Facts of the caption, the most important first.
    pub caption: Vec<String>,
    /// In what light is counted, and whether that is a calibrated scale.
    pub scale: String,
    /// IANA zone of the times along its foot.
    pub time_zone: String,
    /// The light; without magnetic latitudes, which tell the place.
    pub keogram: ReadKeogram,
}

/// The keogram of a reading with its caption.
///
/// # Errors
///
/// A reading without a keogram; what [`TellSheetRequest::check`] refuses.
pub fn reading_keogram(report: &ReadReport, request: &TellSheetRequest) -> Result<TellKeogram, JobError> {
    request.check()?;
    let mut keogram = lit(report)?.clone();
    for bin in &mut keogram.bins {
        (bin.latitude_deg, bin.longitude_deg, bin.magnetic_latitude_deg) = (None, None, None);
    }
    let zone = request.zone()?;
    let when = match (report.frames.first, report.frames.last) {
        (Some(first), Some(last)) => span(first, last, &zone),
        _ => String::new(),
    };
    Ok(TellKeogram {
        title: "The sky along one line, through the night".to_owned(),
        caption: request.caption(when, report.request.position),
        scale: report.scale_words(),
        time_zone: request.time_zone.clone().unwrap_or_else(|| "UTC".to_owned()),
        keogram,
    })
}

/// The keogram of a reading, if it has any.
fn lit(report: &ReadReport) -> Result<&ReadKeogram, JobError> {
    report.keogram.as_ref().ok_or_else(|| {
        JobError::bad(
            "reading",
            "this reading has no keogram: its frames did not tell which way they looked",
            "read frames whose stars tell the lens, with --site or --lat and --lon",
        )
    })
}

/// "2026-03-14 22:31 to 00:58 CET".
fn span(first: Timestamp, last: Timestamp, zone: &TimeZone) -> String {
    let [from, to] = [first, last].map(|at| at.to_zoned_datetime(zone.clone()));
    format!("{} {} to {} {}", from.date(), from.strftime("%H:%M"), to.strftime("%H:%M"), to.strftime("%Z"))
}

/// "2026-03-14 23:47 CET".
fn moment(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%F %H:%M %Z").to_string()
}
