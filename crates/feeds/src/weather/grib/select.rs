//! Which fields speak of the weather of this program, and which of several is best.

use quantity::Timestamp;

use super::product::{GribMember, GribParameter, GribProcess, GribProduct, GribTime};
use crate::weather::timeline::Item;

/// Kinds of level (code table 4.5; 214, 224, 234 of NCEP).
const GROUND: u8 = 1;
const ATMOSPHERE: u8 = 10;
const PRESSURE: u8 = 100;
const ABOVE_GROUND: u8 = 103;
const COLUMN: u8 = 200;
const LOW_LAYER: u8 = 214;
const MIDDLE_LAYER: u8 = 224;
const HIGH_LAYER: u8 = 234;
/// Bounds of the middle layer where a model tells layers by pressure, Pa (DWD; from memory).
const MIDDLE_BOTTOM_PA: f64 = 80_000.0;
const MIDDLE_TOP_PA: f64 = 40_000.0;
/// Heights above ground of temperature and of wind, m.
const SCREEN_M: f64 = 2.0;
const MAST_M: f64 = 10.0;
const KELVIN_C: f64 = -273.15;

/// What a field says, as far as this program asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Content {
    Total,
    Low,
    Medium,
    High,
    Fog,
    Temperature,
    DewPoint,
    Humidity,
    WindSpeed,
    WindFrom,
    EastWind,
    NorthWind,
    Gust,
}

impl Content {
    /// The item it is by itself; humidity and wind components are only part of one.
    pub(super) fn item(self) -> Option<Item> {
        match self {
            Self::Total => Some(Item::CloudTotal),
            Self::Low => Some(Item::CloudLow),
            Self::Medium => Some(Item::CloudMedium),
            Self::High => Some(Item::CloudHigh),
            Self::Fog => Some(Item::Fog),
            Self::Temperature => Some(Item::TemperatureC),
            Self::DewPoint => Some(Item::DewPointC),
            Self::WindSpeed => Some(Item::WindMS),
            Self::WindFrom => Some(Item::WindFromDeg),
            Self::Gust => Some(Item::GustMS),
            Self::Humidity | Self::EastWind | Self::NorthWind => None,
        }
    }

    pub(super) fn is_cloud(self) -> bool {
        matches!(self, Self::Total | Self::Low | Self::Medium | Self::High)
    }

    /// Whether a value over a stretch of time will do where there is none of an instant.
    fn takes(self, process: GribProcess) -> bool {
        match process {
            GribProcess::Average => self.is_cloud() || self == Self::Fog,
            GribProcess::Maximum => self == Self::Gust,
            GribProcess::Accumulation | GribProcess::Minimum | GribProcess::Other(_) => false,
        }
    }
}

/// A field that can be used: what it says, how its numbers become ours, and how good it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    pub(super) content: Content,
    factor: f64,
    offset: f64,
    /// Smaller is better: level first, then member.
    pub(super) rank: (u8, GribMember),
}

impl Choice {
    pub(super) fn of(product: &GribProduct) -> Option<Self> {
        if product.member == GribMember::Derived {
            return None;
        }
        let (content, factor, offset, rank) = content(product)?;
        if let GribTime::Interval { process, .. } = product.time {
            content.takes(process).then_some(())?;
        }
        Some(Self { content, factor, offset, rank: (rank, product.member) })
    }

    pub(super) fn convert(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }
}

/// Content, factor, offset and rank of a level.
fn content(product: &GribProduct) -> Option<(Content, f64, f64, u8)> {
    const PERCENT: f64 = 0.01;
    let GribParameter { discipline: 0, category, number } = product.parameter else { return None };
    let kind = product.surface.kind;
    let height = |metres: f64| {
        let there = product.surface.value.is_some_and(|value| (value - metres).abs() < 0.5);
        (kind == ABOVE_GROUND && there).then_some(0)
    };
    match (category, number) {
        (6, 1) => layer(kind).map(|(content, rank)| (content, PERCENT, 0.0, rank)),
        (6, 32) => layer(kind).map(|(content, rank)| (content, 1.0, 0.0, rank + 10)),
        (6, 3..=5) if kind != PRESSURE => {
            let content = [Content::Low, Content::Medium, Content::High][usize::from(number - 3)];
            Some((content, PERCENT, 0.0, 0))
        }
        (6, 22) => layer_by_pressure(product).map(|content| (content, PERCENT, 0.0, 1)),
        (6, 50) => Some((Content::Fog, PERCENT, 0.0, 0)),
        (0, 0) => Some((Content::Temperature, 1.0, KELVIN_C, height(SCREEN_M)?)),
        (0, 6) => Some((Content::DewPoint, 1.0, KELVIN_C, height(SCREEN_M)?)),
        (1, 1) => Some((Content::Humidity, 1.0, 0.0, height(SCREEN_M)?)),
        (2, 0) => Some((Content::WindFrom, 1.0, 0.0, height(MAST_M)?)),
        (2, 1) => Some((Content::WindSpeed, 1.0, 0.0, height(MAST_M)?)),
        (2, 2) => Some((Content::EastWind, 1.0, 0.0, height(MAST_M)?)),
        (2, 3) => Some((Content::NorthWind, 1.0, 0.0, height(MAST_M)?)),
        (2, 22) => Some((Content::Gust, 1.0, 0.0, if kind == GROUND { 1 } else { height(MAST_M)? })),
        _other => None,
    }
}

/// Total cloud on a cloud layer of NCEP is that layer's.
fn layer(kind: u8) -> Option<(Content, u8)> {
    match kind {
        ATMOSPHERE => Some((Content::Total, 0)),
        GROUND => Some((Content::Total, 1)),
        COLUMN => Some((Content::Total, 2)),
        LOW_LAYER => Some((Content::Low, 1)),
        MIDDLE_LAYER => Some((Content::Medium, 1)),
        HIGH_LAYER => Some((Content::High, 1)),
        _other => None,
    }
}

/// Cloud between two pressures, or between one and the ground.
fn layer_by_pressure(product: &GribProduct) -> Option<Content> {
    let near = |value: Option<f64>, pressure: f64| value.is_some_and(|value| (value - pressure).abs() < 1.0);
    let (first, second) = (product.surface, product.second_surface);
    if first.kind != PRESSURE {
        return None;
    }
    if near(first.value, MIDDLE_BOTTOM_PA) && second.kind == GROUND {
        return Some(Content::Low);
    }
    if second.kind != PRESSURE {
        return None;
    }
    match (first.value, second.value) {
        (top, bottom) if near(top, MIDDLE_TOP_PA) && near(bottom, MIDDLE_BOTTOM_PA) => Some(Content::Medium),
        (top, bottom) if near(top, 0.0) && near(bottom, MIDDLE_TOP_PA) => Some(Content::High),
        _other => None,
    }
}

/// When a field begins to hold, and its end where it says one.
pub(super) fn span(time: GribTime) -> (Timestamp, Option<Timestamp>) {
    match time {
        GribTime::Instant(at) => (at, None),
        GribTime::Interval { from, to, .. } => (from, Some(to)),
    }
}
