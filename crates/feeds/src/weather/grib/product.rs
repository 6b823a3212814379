//! What a field is: parameter, level, time.

use jiff::SignedDuration;
use jiff::civil::DateTime;
use jiff::tz::Offset;
use quantity::Timestamp;
use serde::Serialize;

use super::sections::{RawField, i32_at, u16_at};

/// A physical quantity by its three numbers (WMO No. 306, code table 4.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct GribParameter {
    /// 0: meteorology.
    pub discipline: u8,
    /// 0 temperature, 1 moisture, 2 momentum, 6 cloud, 19 physical atmosphere.
    pub category: u8,
    /// Number in the category.
    pub number: u8,
}

impl GribParameter {
    /// A quantity of meteorology.
    pub const fn meteorology(category: u8, number: u8) -> Self {
        Self { discipline: 0, category, number }
    }
}

/// A level or one bound of a layer (code table 4.5).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GribSurface {
    /// 1 ground, 10 whole atmosphere, 100 pressure (Pa), 103 height above ground (m), 255 none.
    pub kind: u8,
    /// Its value in SI units; `None` where it has none.
    pub value: Option<f64>,
}

/// When a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GribTime {
    /// At one instant.
    Instant(Timestamp),
    /// Over a stretch of time.
    Interval {
        /// Start.
        from: Timestamp,
        /// End.
        to: Timestamp,
        /// How the values of the stretch became one.
        process: GribProcess,
    },
}

/// How values over time became one (code table 4.10).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GribProcess {
    /// Mean.
    Average,
    /// Sum.
    Accumulation,
    /// Largest.
    Maximum,
    /// Smallest.
    Minimum,
    /// Any other, by its number.
    Other(u8),
}

/// Whose word a field is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GribMember {
    /// The one forecast, or analysis.
    Deterministic,
    /// One of an ensemble, by its number.
    Ensemble(u8),
    /// A probability, a spread, an error or another derived quantity: not the quantity itself.
    Derived,
}

/// The head of a field.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GribProduct {
    /// What.
    pub parameter: GribParameter,
    /// Where: level, or first bound of a layer.
    pub surface: GribSurface,
    /// Second bound of a layer.
    pub second_surface: GribSurface,
    /// When.
    pub time: GribTime,
    /// When the forecast was made.
    pub reference_time: Timestamp,
    /// Who made it (common code table C-11).
    pub centre: u16,
    /// Whether it is the forecast itself.
    pub member: GribMember,
}

/// Reads sections 1 and 4.
pub(super) fn product(raw: &RawField<'_>) -> Result<GribProduct, String> {
    let section = raw.product;
    let octet = |number: usize| section.get(number - 1).copied().ok_or("its product section breaks off");
    let template = u16_at(section, 7).ok_or("its product section breaks off")?;
    let reference_time = instant(raw.identification, 12).ok_or("its reference time is no time")?;
    let from = forecast_time(section, reference_time).ok_or("its forecast time is no time")?;
    let (member, end_octet) = match template {
        0 => (GribMember::Deterministic, None),
        1 => (GribMember::Ensemble(octet(36)?), None),
        8 => (GribMember::Deterministic, Some(35)),
        11 => (GribMember::Ensemble(octet(36)?), Some(38)),
        _other => (GribMember::Derived, None),
    };
    let time = match end_octet {
        None => GribTime::Instant(from),
        Some(end) => GribTime::Interval {
            from,
            to: instant(section, end - 1).ok_or("the end of its interval is no time")?,
            process: process(octet(end + 12)?),
        },
    };
    Ok(GribProduct {
        parameter: GribParameter { discipline: raw.discipline, category: octet(10)?, number: octet(11)? },
        surface: surface(section, 22).ok_or("its level breaks off")?,
        second_surface: surface(section, 28).ok_or("its level breaks off")?,
        time,
        reference_time,
        centre: u16_at(raw.identification, 5).ok_or("section 1 breaks off")?,
        member,
    })
}

fn process(number: u8) -> GribProcess {
    match number {
        0 => GribProcess::Average,
        1 => GribProcess::Accumulation,
        2 => GribProcess::Maximum,
        3 => GribProcess::Minimum,
        other => GribProcess::Other(other),
    }
}

/// Year in two octets, month, day, hour, minute, second.
fn instant(bytes: &[u8], at: usize) -> Option<Timestamp> {
    let year = i16::try_from(u16_at(bytes, at)?).ok()?;
    let part = |offset: usize| i8::try_from(*bytes.get(at + offset)?).ok();
    let civil = DateTime::new(year, part(2)?, part(3)?, part(4)?, part(5)?, part(6)?, 0).ok()?;
    Offset::UTC.to_timestamp(civil).ok()
}

/// Reference time and forecast step in its unit (code table 4.4).
fn forecast_time(section: &[u8], reference: Timestamp) -> Option<Timestamp> {
    let unit_s: i64 = match section.get(17)? {
        0 => 60,
        1 => 3600,
        2 => 86_400,
        10 => 3 * 3600,
        11 => 6 * 3600,
        12 => 12 * 3600,
        13 => 1,
        _months_and_longer => return None,
    };
    let step = i64::from(i32_at(section, 18)?);
    reference.checked_add(SignedDuration::from_secs(step.checked_mul(unit_s)?)).ok()
}

fn surface(section: &[u8], at: usize) -> Option<GribSurface> {
    const MISSING: u8 = 255;
    let (kind, scale) = (*section.get(at)?, *section.get(at + 1)?);
    let scaled = i32_at(section, at + 2)?;
    let missing = kind == MISSING || scale == MISSING || section[at + 2..at + 6] == [MISSING; 4];
    let exponent = if scale & 0x80 == 0 { i32::from(scale) } else { -i32::from(scale & 0x7f) };
    Some(GribSurface { kind, value: (!missing).then(|| f64::from(scaled) * 10_f64.powi(-exponent)) })
}
