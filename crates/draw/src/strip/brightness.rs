use job::{OutlookReport, OutlookStep, WatchWindow};
use quantity::{Estimate, Timestamp};

use super::{Canvas, TimeAxis};
use crate::label::{Anchor, Area, haloed, kr_text, text_at, text_width};
use crate::ramp::brightness_colour;
use crate::svg::{Element, PathData, line, rect};
use crate::theme::{Palette, Theme};

/// Brightness at the bottom and the top of the axis, kR.
const AXIS_KR: (f64, f64) = (0.1, 1000.0);
/// International Brightness classes and their nominal brightness, kR.
const CLASSES: [(&str, f64); 3] = [("I", 1.0), ("II", 10.0), ("III", 100.0)];

/// Brightness of the brightest arc at one step.
#[derive(Debug, Clone, Copy)]
struct Sample {
    at: Timestamp,
    arc_kr: Estimate,
}

/// Height of a brightness on the axis; outside it, the nearer end.
fn y_of_kr(kr: f64, plot: Area) -> f64 {
    let share = if kr > AXIS_KR.0 { (kr / AXIS_KR.0).log10() / (AXIS_KR.1 / AXIS_KR.0).log10() } else { 0.0 };
    plot.bottom() - plot.height * share.min(1.0)
}

/// Stretches of steps that have a brightness, in order.
fn runs(steps: &[OutlookStep], axis: &TimeAxis) -> Vec<Vec<Sample>> {
    let mut found: Vec<Vec<Sample>> = vec![Vec::new()];
    for step in steps {
        let arc = step.brightest.as_ref().map(|patch| patch.brightest_arc_kr);
        let usable = arc.filter(|arc| arc.value.is_finite() && arc.low.is_finite() && arc.high.is_finite());
        match (usable, axis.x_inside(step.at), found.last_mut()) {
            (Some(arc_kr), Some(_), Some(run)) => run.push(Sample { at: step.at, arc_kr }),
            _ => found.push(Vec::new()),
        }
    }
    found.retain(|run| !run.is_empty());
    found
}

/// Ground, class lines, columns, error band, curve, best window.
pub(super) fn plot(report: &OutlookReport, canvas: &Canvas) -> Vec<Element> {
    let theme = canvas.theme;
    let plot = canvas.plot;
    let mut out = vec![rect(plot.left, plot.top, plot.width, plot.height, &theme.plot.to_string())];
    out.extend(columns(&report.steps, &canvas.axis, plot, canvas.palette));
    out.extend(class_lines(canvas));
    out.extend(curves(report, canvas));
    out.extend(window_bracket(&report.windows, &canvas.axis, plot, canvas.font_px, theme, Some(&canvas.clock)));
    if runs(&report.steps, &canvas.axis).is_empty() {
        out.push(nothing_to_draw(report, canvas));
    }
    out
}

/// Why there is no curve.
fn nothing_to_draw(report: &OutlookReport, canvas: &Canvas) -> Element {
    let any_activity = report.steps.iter().any(|step| step.kp.is_some());
    let words = if any_activity { "no dark hours to draw" } else { "no activity given: no brightness to draw" };
    let middle = (canvas.plot.left + canvas.plot.width / 2.0, canvas.plot.top + canvas.plot.height * 0.45);
    haloed(words, middle, canvas.font_px, Anchor::Middle, canvas.theme.plot_ink, canvas.theme.plot)
}

/// Columns from the bottom to the curve in the colour of the ramp; neighbours of one colour are joined.
pub(crate) fn columns(steps: &[OutlookStep], axis: &TimeAxis, plot: Area, palette: Palette) -> Vec<Element> {
    let mut out = Vec::new();
    for run in runs(steps, axis) {
        let mut start = 0;
        while start + 1 < run.len() {
            let colour = column_colour(&run[start], &run[start + 1], palette);
            let mut end = start + 1;
            while end + 1 < run.len() && column_colour(&run[end], &run[end + 1], palette) == colour {
                end += 1;
            }
            let mut path = PathData::default();
            let top = run[start..=end].iter().map(|s| (axis.x(s.at).round(), y_of_kr(s.arc_kr.value, plot)));
            let feet = [(axis.x(run[end].at).round(), plot.bottom()), (axis.x(run[start].at).round(), plot.bottom())];
            path.polyline(top.chain(feet), true);
            out.push(path.element().with("fill", &colour));
            start = end;
        }
    }
    out
}

/// The colour between two steps, in twelfths of a decade.
fn column_colour(a: &Sample, b: &Sample, palette: Palette) -> String {
    let mean_log = f64::midpoint(a.arc_kr.value.max(1e-3).log10(), b.arc_kr.value.max(1e-3).log10());
    brightness_colour(10f64.powf((mean_log * 12.0).round() / 12.0), palette).to_string()
}

/// Lines at the three classes, named at the left.
fn class_lines(canvas: &Canvas) -> Vec<Element> {
    let theme = canvas.theme;
    let plot = canvas.plot;
    let mut out = Vec::new();
    for (class, kr) in CLASSES {
        let y = y_of_kr(kr, plot).round() + 0.5;
        out.push(
            line((plot.left, y), (plot.right(), y), &theme.plot_muted.to_string(), 1.0)
                .with("stroke-dasharray", "2 5")
                .with("opacity", "0.8"),
        );
        out.push(line((plot.left - 4.0, y), (plot.left, y), &theme.muted.to_string(), 1.0));
        let words =
            if canvas.narrow { format!("{class} {}", kr_text(kr)) } else { format!("{class} · {} kR", kr_text(kr)) };
        out.push(text_at(&words, plot.left - 6.0, y + canvas.font_px * 0.36, canvas.font_px, Anchor::End, theme.muted));
    }
    if canvas.narrow {
        let base = canvas.cloud.top + canvas.cloud.height / 2.0 + canvas.font_px * 0.36;
        out.push(text_at("IBC kR", plot.left - 6.0, base, canvas.font_px, Anchor::End, theme.muted));
    }
    out
}

/// The 68 % band and the curve.
fn curves(report: &OutlookReport, canvas: &Canvas) -> Vec<Element> {
    let ink = canvas.theme.plot_ink.to_string();
    let plot = canvas.plot;
    let axis = &canvas.axis;
    let (mut band, mut edges, mut curve) = (PathData::default(), PathData::default(), PathData::default());
    for run in runs(&report.steps, axis) {
        let at = |sample: &Sample, kr: f64| (axis.x(sample.at), y_of_kr(kr, plot));
        let high = run.iter().map(|s| at(s, s.arc_kr.high));
        let low = run.iter().map(|s| at(s, s.arc_kr.low));
        band.polyline(high.clone().chain(low.clone().rev()), true);
        edges.polyline(high, false);
        edges.polyline(low, false);
        curve.polyline(run.iter().map(|s| at(s, s.arc_kr.value)), false);
    }
    if curve.is_empty() {
        return Vec::new();
    }
    vec![
        band.element().with("fill", &ink).with("opacity", "0.16"),
        edges.element().with("fill", "none").with("stroke", &ink).at("stroke-width", 0.8).with("opacity", "0.7"),
        curve
            .element()
            .with("fill", "none")
            .with("stroke", &ink)
            .at("stroke-width", 2.2)
            .with("stroke-linejoin", "round"),
    ]
}

/// The best stretch, bracketed at the top of the plot, its hours beside it.
pub(crate) fn window_bracket(
    windows: &[WatchWindow],
    axis: &TimeAxis,
    plot: Area,
    font_px: f64,
    theme: &Theme,
    clock: Option<&crate::local_time::LocalClock>,
) -> Vec<Element> {
    let Some(window) = windows.first() else { return Vec::new() };
    let (left, right) = (axis.x_clamped(window.from), axis.x_clamped(window.to));
    let top = plot.top + 4.0;
    let mut bracket = PathData::default();
    bracket.polyline(
        [(left, top + 8.0), (left, top), (right.max(left + 2.0), top), (right.max(left + 2.0), top + 8.0)],
        false,
    );
    let mut out = vec![
        bracket.element().with("fill", "none").with("stroke", &theme.plot_accent.to_string()).at("stroke-width", 3.0),
    ];
    if let Some(clock) = clock {
        let words = format!("best {} to {}", clock.time(window.from), clock.time(window.to));
        let half = text_width(&words, font_px) / 2.0 + 6.0;
        let middle = f64::midpoint(left, right).clamp(plot.left + half, (plot.right() - half).max(plot.left + half));
        let place = (middle, top + font_px + 5.0);
        out.push(haloed(&words, place, font_px, Anchor::Middle, theme.plot_accent, theme.plot));
    }
    out
}
