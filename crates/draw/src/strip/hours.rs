use super::TimeAxis;
use crate::label::{Anchor, Area, haloed, text_at, text_width};
use crate::local_time::LocalClock;
use crate::svg::{Element, line};
use crate::theme::Palette;

/// Steps between labelled hours that read well.
const HOUR_STEPS: [i8; 6] = [1, 2, 3, 4, 6, 12];

/// Hours of the local clock below `bottom`, thinned so that labels keep apart; a change of the clock is marked.
pub(crate) fn hour_axis(
    clock: &LocalClock,
    axis: &TimeAxis,
    plot: Area,
    bottom: f64,
    font_px: f64,
    palette: Palette,
) -> Vec<Element> {
    let theme = palette.theme();
    let ticks = clock.full_hours(axis.span.from, axis.span.to);
    let step = label_step(axis, font_px);
    let base = bottom + font_px + 5.0;
    let zone = clock.zone_name(axis.span.from);
    let mut out = vec![text_at(&zone, plot.left - 6.0, base, font_px, Anchor::End, theme.muted)];
    let half = text_width("00:00", font_px) / 2.0;
    for tick in ticks {
        let x = axis.x(tick.at);
        let labelled = tick.hour % step == 0;
        let length = if labelled { 5.0 } else { 3.0 };
        out.push(line((x, bottom), (x, bottom + length), &theme.muted.to_string(), 1.0));
        if labelled && x - half > plot.left && x + half < plot.right() + 8.0 {
            let ink = if tick.hour == 0 { theme.text } else { theme.muted };
            let words = format!("{:02}:00", tick.hour);
            out.push(text_at(&words, x, base, font_px, Anchor::Middle, ink));
        }
    }
    out.extend(clock_change(clock, axis, plot, font_px, palette));
    out
}

/// The smallest step in hours at which labels have a gap between them.
fn label_step(axis: &TimeAxis, font_px: f64) -> i8 {
    let hours = (axis.span.to.as_second() - axis.span.from.as_second()) as f64 / 3600.0;
    let hour_px = axis.width / hours.max(1.0);
    let need = text_width("00:00", font_px) + 12.0;
    HOUR_STEPS.into_iter().find(|step| f64::from(*step) * hour_px >= need).unwrap_or(12)
}

/// A line where the clock is put forward or back.
fn clock_change(clock: &LocalClock, axis: &TimeAxis, plot: Area, font_px: f64, palette: Palette) -> Vec<Element> {
    let Some((at, minutes)) = clock.clock_change(axis.span.from, axis.span.to) else { return Vec::new() };
    let theme = palette.theme();
    let x = axis.x(at);
    let direction = if minutes > 0 { "forward" } else { "back" };
    let words = format!("clock {direction} {} min", minutes.abs());
    let half = text_width(&words, font_px) / 2.0 + 4.0;
    let middle = x.clamp(plot.left + half, (plot.right() - half).max(plot.left + half));
    vec![
        line((x, plot.top), (x, plot.bottom()), &theme.plot_ink.to_string(), 1.0).with("stroke-dasharray", "1 3"),
        haloed(&words, (middle, plot.bottom() - 5.0), font_px, Anchor::Middle, theme.plot_ink, theme.plot),
    ]
}
