use quantity::{GeoPosition, Timestamp};
use serde::{Deserialize, Serialize};

use crate::robust::exceeds;

/// What a column of a magnetogram holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MagneticElement {
    /// Toward geographic north, nT.
    X,
    /// Toward geographic east, nT.
    Y,
    /// Down, nT.
    Z,
    /// Horizontal intensity, or along the sensor toward magnetic north, nT.
    H,
    /// Declination, east positive, minutes of arc.
    D,
    /// Across the sensor toward magnetic east, nT.
    E,
    /// Total intensity by the scalar instrument, nT.
    F,
    /// Vector less scalar total intensity, nT.
    G,
    /// Inclination, minutes of arc.
    I,
    /// First axis of a sensor whose orientation is its own, nT.
    U,
    /// Second axis of such a sensor, nT.
    V,
    /// Third axis of such a sensor, nT.
    W,
}

impl MagneticElement {
    /// The element of a letter, as publishers write it.
    pub fn from_letter(letter: char) -> Option<Self> {
        Some(match letter.to_ascii_uppercase() {
            'X' => Self::X,
            'Y' => Self::Y,
            'Z' => Self::Z,
            'H' => Self::H,
            'D' => Self::D,
            'E' => Self::E,
            // some writers call the scalar value S
            'F' | 'S' => Self::F,
            'G' => Self::G,
            'I' => Self::I,
            'U' => Self::U,
            'V' => Self::V,
            'W' => Self::W,
            _ => return None,
        })
    }

    /// Whether the values are minutes of arc; nanoteslas otherwise.
    pub fn is_angle(self) -> bool {
        matches!(self, Self::D | Self::I)
    }
}

/// How far a record has been worked over by its observatory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MagneticQuality {
    /// As measured; the base line may drift.
    Variation,
    /// Provisional or adjusted: artificial disturbances taken out, base line near.
    Adjusted,
    /// Within 5 nT of definitive.
    QuasiDefinitive,
    /// Final.
    Definitive,
    /// Not said.
    Unknown,
}

/// One column of a magnetogram.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MagneticComponent {
    /// What it is; its unit goes with it.
    pub element: MagneticElement,
    /// One value a step of the record; `None` where there is none.
    pub values: Vec<Option<f64>>,
}

/// A magnetogram of one station: evenly spaced, gaps left open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MagneticRecord {
    /// IAGA code of the station.
    pub station_code: String,
    /// Name of the station.
    pub station_name: Option<String>,
    /// Where it stands.
    pub place: Option<GeoPosition>,
    /// Who measured, as the file says.
    pub source: Option<String>,
    /// How far it has been worked over.
    pub quality: MagneticQuality,
    /// Time of the first sample.
    pub start: Timestamp,
    /// Time between samples, s.
    pub cadence_s: f64,
    /// The columns; all of the same length.
    pub components: Vec<MagneticComponent>,
}

impl MagneticRecord {
    /// The values of an element.
    pub fn values(&self, element: MagneticElement) -> Option<&[Option<f64>]> {
        self.components.iter().find(|component| component.element == element).map(|found| found.values.as_slice())
    }

    /// The northward component, by which bays are judged: X, or H where there is no X.
    ///
    /// Of X and H the one with more values. None where the record has neither, as with a sensor of unknown orientation.
    pub fn northward(&self) -> Option<(MagneticElement, &[Option<f64>])> {
        let count = |values: &[Option<f64>]| values.iter().flatten().count();
        [MagneticElement::H, MagneticElement::X]
            .into_iter()
            .filter_map(|element| self.values(element).map(|values| (element, values)))
            .filter(|(_, values)| count(values) > 0)
            .max_by_key(|(_, values)| count(values))
    }

    /// Steps of the record.
    pub fn steps(&self) -> usize {
        self.components.iter().map(|component| component.values.len()).max().unwrap_or(0)
    }

    /// The steps from one time to another, both included, cut to the record: what stands beside a sequence of frames. Empty where the
    /// record does not reach there.
    pub fn steps_between(&self, from: Timestamp, to: Timestamp) -> std::ops::Range<usize> {
        let place = |at: Timestamp| at.duration_since(self.start).as_secs_f64() / self.cadence_s;
        let bounded = |step: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the number of steps")]
            let step = step.clamp(0.0, self.steps() as f64) as usize;
            step
        };
        let range = bounded(place(from).ceil())..bounded(place(to).floor() + 1.0);
        if range.start < range.end { range } else { 0..0 }
    }

    /// The time of a step.
    pub fn time_of(&self, step: usize) -> Option<Timestamp> {
        time_after(self.start, step as f64 * self.cadence_s)
    }
}

/// A time some seconds after another, to the millisecond; none beyond the calendar.
pub(crate) fn time_after(start: Timestamp, seconds: f64) -> Option<Timestamp> {
    let milliseconds = seconds * 1000.0;
    if !exceeds(1e16, milliseconds.abs()) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, reason = "below 1e16")]
    let whole = milliseconds.round() as i64;
    start.checked_add(jiff::SignedDuration::from_millis(whole)).ok()
}
