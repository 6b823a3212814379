//! The night strip: one night from left to right.

mod bands;
mod brightness;
mod hours;
mod layout;
mod moon;

use job::OutlookReport;
use quantity::Timestamp;

use crate::label::{Anchor, fitted, haloed, text_at, text_width};
use crate::local_time::night_name;
use crate::svg::{self, Element, line, rect};
use crate::theme::Palette;
pub(crate) use bands::twilight_band;
pub(crate) use brightness::{columns, window_bracket};
pub(crate) use hours::hour_axis;
pub(crate) use layout::{Canvas, Span, TimeAxis, bounded};

/// How a night strip is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripStyle {
    /// Width, px; 280 at least.
    pub width_px: f64,
    /// Height, px; 130 at least.
    pub height_px: f64,
    /// Colours.
    pub palette: Palette,
    /// Whether the site and the night are written on it. Leave it out where the page says so already.
    pub caption: bool,
    /// A time to mark.
    pub cursor: Option<Timestamp>,
}

impl StripStyle {
    /// For a desk, 1440 px wide.
    pub fn desk(palette: Palette) -> Self {
        Self { width_px: 1440.0, height_px: 230.0, palette, caption: true, cursor: None }
    }

    /// For a phone held upright, 390 px wide.
    pub fn phone(palette: Palette) -> Self {
        Self { width_px: 390.0, height_px: 210.0, palette, caption: true, cursor: None }
    }
}

/// Draws the night of a report: twilight, cloud on the sightline, brightness of the brightest arc on a logarithmic
/// axis with its 68 % band, best window, moon and the hours of the site's own clock.
///
/// It runs from an hour before sunset to an hour after sunrise, or from noon to noon where the sun does not do
/// both. The root carries `data-from`, `data-to` (UTC) and `data-plot-left`, `-right`, `-top`, `-bottom` (px), linear in
/// time, so that a page can lay a cursor over it.
pub fn night_strip(report: &OutlookReport, style: &StripStyle) -> String {
    picture(report, style).render()
}

/// The strip as an element.
pub(crate) fn picture(report: &OutlookReport, style: &StripStyle) -> Element {
    let canvas = Canvas::new(report, style);
    let title = format!("Night strip: {}, {}", report.request.site.name, night_name(report.night.date));
    let root = svg::root(canvas.width_px, canvas.height_px, &title, &report.strip_text)
        .with("data-kind", "night-strip")
        .with("data-from", &canvas.axis.span.from.to_string())
        .with("data-to", &canvas.axis.span.to.to_string())
        .at("data-plot-left", canvas.plot.left)
        .at("data-plot-right", canvas.plot.right())
        .at("data-plot-top", canvas.twilight.top)
        .at("data-plot-bottom", canvas.moon.bottom());
    root.child(rect(0.0, 0.0, canvas.width_px, canvas.height_px, &canvas.theme.background.to_string()))
        .children(caption(report, style, &canvas))
        .children(twilight_band(report, &canvas))
        .children(bands::cloud_band(report, &canvas))
        .children(brightness::plot(report, &canvas))
        .children(moon::moon_row(report, &canvas))
        .children(hour_axis(
            &canvas.clock,
            &canvas.axis,
            canvas.plot,
            canvas.moon.bottom(),
            canvas.font_px,
            style.palette,
        ))
        .children(cursor(style, &canvas))
}

/// Site and night on the left; what the colours mean on the right, where there is room.
fn caption(report: &OutlookReport, style: &StripStyle, canvas: &Canvas) -> Vec<Element> {
    if !style.caption {
        return Vec::new();
    }
    let theme = canvas.theme;
    let base = canvas.font_px + 4.0;
    let mut out = Vec::new();
    let night = night_name(report.night.date);
    let left = canvas.plot.left;
    let room = canvas.plot.width - text_width(&night, canvas.font_px) - 16.0;
    let name = fitted(&report.request.site.name, canvas.font_px, room);
    let shown = if name.is_empty() { night } else { format!("{name} · {night}") };
    let measure = "brightest arc to be expected, kR of green light (557.7 nm), 68 % range";
    let used = text_width(&shown, canvas.font_px);
    out.push(text_at(&shown, left, base, canvas.font_px, Anchor::Start, theme.text));
    if used + text_width(measure, canvas.font_px) + 40.0 < canvas.plot.width {
        out.push(text_at(measure, canvas.plot.right(), base, canvas.font_px, Anchor::End, theme.muted));
    }
    out
}

/// A mark at a time, with the time.
fn cursor(style: &StripStyle, canvas: &Canvas) -> Vec<Element> {
    let Some(x) = style.cursor.and_then(|at| canvas.axis.x_inside(at)) else { return Vec::new() };
    let Some(at) = style.cursor else { return Vec::new() };
    let theme = canvas.theme;
    let time = canvas.clock.time(at);
    let half = text_width(&time, canvas.font_px) / 2.0;
    let label_x = x.clamp(canvas.plot.left + half, canvas.plot.right() - half);
    vec![
        line((x, canvas.twilight.top), (x, canvas.moon.bottom()), &theme.plot.to_string(), 4.0),
        line((x, canvas.twilight.top), (x, canvas.moon.bottom()), &theme.plot_ink.to_string(), 2.0),
        haloed(
            &time,
            (label_x, canvas.plot.bottom() - 5.0),
            canvas.font_px,
            Anchor::Middle,
            theme.plot_ink,
            theme.plot,
        ),
    ]
}
