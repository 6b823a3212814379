use job::{NightTimes, OutlookReport, SunState};
use quantity::Timestamp;

use super::StripStyle;
use crate::label::Area;
use crate::local_time::LocalClock;
use crate::theme::Theme;

/// Added before sunset and after sunrise, s.
const MARGIN_S: i64 = 3600;
/// Below this width labels get short.
const NARROW_PX: f64 = 700.0;

/// The stretch of time a strip shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Span {
    pub(crate) from: Timestamp,
    pub(crate) to: Timestamp,
}

impl Span {
    /// An hour before sunset to an hour after sunrise, or noon to noon where the sun does not do both.
    pub(crate) fn of(night: &NightTimes) -> Self {
        match (night.sun_state, night.sunset, night.sunrise) {
            (SunState::Normal, Some(sunset), Some(sunrise)) if sunset < sunrise => {
                Self { from: shifted(sunset, -MARGIN_S).max(night.from), to: shifted(sunrise, MARGIN_S).min(night.to) }
            }
            _ => Self { from: night.from, to: night.to },
        }
    }

    /// The stretch that holds both.
    pub(crate) fn joined(self, other: Self) -> Self {
        Self { from: self.from.min(other.from), to: self.to.max(other.to) }
    }
}

/// An instant moved by seconds; at the ends of the calendar it stays.
fn shifted(at: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_second(at.as_second().saturating_add(seconds)).unwrap_or(at)
}

/// Time along x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TimeAxis {
    pub(crate) span: Span,
    pub(crate) left: f64,
    pub(crate) width: f64,
}

impl TimeAxis {
    /// Place of an instant; those outside land outside.
    pub(crate) fn x(&self, at: Timestamp) -> f64 {
        let length_s = (self.span.to.as_second() - self.span.from.as_second()).max(1) as f64;
        self.left + self.width * (at.as_second() - self.span.from.as_second()) as f64 / length_s
    }

    /// Place of an instant moved to the nearer end where it is outside.
    pub(crate) fn x_clamped(&self, at: Timestamp) -> f64 {
        self.x(at).clamp(self.left, self.left + self.width)
    }

    /// Place of an instant inside the span.
    pub(crate) fn x_inside(&self, at: Timestamp) -> Option<f64> {
        (self.span.from <= at && at <= self.span.to).then(|| self.x(at))
    }
}

/// Where everything on a strip goes.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    pub(crate) width_px: f64,
    pub(crate) height_px: f64,
    pub(crate) font_px: f64,
    pub(crate) narrow: bool,
    pub(crate) theme: &'static Theme,
    pub(crate) palette: crate::Palette,
    pub(crate) axis: TimeAxis,
    pub(crate) clock: LocalClock,
    pub(crate) twilight: Area,
    pub(crate) cloud: Area,
    pub(crate) plot: Area,
    pub(crate) moon: Area,
}

impl Canvas {
    pub(crate) fn new(report: &OutlookReport, style: &StripStyle) -> Self {
        let width_px = bounded(style.width_px, 280.0);
        let height_px = bounded(style.height_px, 130.0);
        let narrow = width_px < NARROW_PX;
        let font_px = if narrow { 12.5 } else { 13.5 };
        let left = if narrow { 54.0 } else { 92.0 };
        let width = width_px - left - if narrow { 8.0 } else { 20.0 };
        let row = |top: f64, height: f64| Area { left, top, width, height };
        let top = if style.caption { font_px + 10.0 } else { 4.0 };
        let band = font_px + 6.0;
        let twilight = row(top, band);
        let cloud = row(twilight.bottom(), band);
        let moon_height = band + 8.0;
        let moon = row(height_px - font_px - 10.0 - moon_height, moon_height);
        let plot = row(cloud.bottom(), (moon.top - cloud.bottom()).max(20.0));
        Self {
            width_px,
            height_px,
            font_px,
            narrow,
            theme: style.palette.theme(),
            palette: style.palette,
            axis: TimeAxis { span: Span::of(&report.night), left, width },
            clock: LocalClock::of(&report.request.site),
            twilight,
            cloud,
            plot,
            moon,
        }
    }
}

/// A size that is a number, not smaller than `least` and not absurd.
pub(crate) fn bounded(size_px: f64, least: f64) -> f64 {
    if size_px.is_nan() { least } else { size_px.clamp(least, 20_000.0) }
}
