use job::{MoonState, OutlookReport};

use super::Canvas;
use crate::label::{Anchor, haloed};
use crate::svg::{Element, PathData, line, rect};

/// Altitude at the top of the row, degrees.
const TOP_DEG: f64 = 60.0;

/// Altitude of the moon through the night, with its lit share and its times in words.
pub(super) fn moon_row(report: &OutlookReport, canvas: &Canvas) -> Vec<Element> {
    let theme = canvas.theme;
    let row = canvas.moon;
    let mut out = vec![rect(row.left, row.top, row.width, row.height, &theme.plot.to_string())];
    let path = altitude_area(report, canvas);
    if !path.is_empty() {
        let moon = theme.moon.to_string();
        let opacity = format!("{:.2}", 0.2 + 0.6 * lit_fraction(report));
        out.push(
            path.element()
                .with("fill", &moon)
                .with("fill-opacity", &opacity)
                .with("stroke", &theme.plot_ink.to_string())
                .at("stroke-width", 1.2),
        );
    }
    out.push(line((row.left, row.top), (row.right(), row.top), &theme.plot_muted.to_string(), 0.6));
    let base = row.top + canvas.font_px + 2.0;
    let place = (row.left + 6.0, base);
    out.push(haloed(&words(report, canvas), place, canvas.font_px, Anchor::Start, theme.plot_ink, theme.plot));
    out
}

/// Lit share in the middle of the night.
fn lit_fraction(report: &OutlookReport) -> f64 {
    let lit = report.steps.get(report.steps.len() / 2).map_or(0.0, |step| step.moon_lit_fraction);
    if lit.is_finite() { lit.clamp(0.0, 1.0) } else { 0.0 }
}

/// The area between the horizon and the moon's altitude.
fn altitude_area(report: &OutlookReport, canvas: &Canvas) -> PathData {
    let row = canvas.moon;
    let inside = report.steps.iter().filter_map(|step| {
        let x = canvas.axis.x_inside(step.at)?;
        let up = if step.moon_altitude_deg > 0.0 { (step.moon_altitude_deg / TOP_DEG).min(1.0) } else { 0.0 };
        Some((x, row.bottom() - up * (row.height - 2.0)))
    });
    let points: Vec<(f64, f64)> = inside.collect();
    let mut path = PathData::default();
    let up = points.iter().any(|(_, y)| *y < row.bottom());
    if let (true, Some(first), Some(last)) = (up, points.first(), points.last()) {
        let feet = [(last.0, row.bottom()), (first.0, row.bottom())];
        path.polyline(points.iter().copied().chain(feet), true);
    }
    path
}

fn words(report: &OutlookReport, canvas: &Canvas) -> String {
    let night = &report.night;
    let lit = format!("moon {}", job::lit_words(lit_fraction(report)));
    let time = |at| canvas.clock.time(at);
    let when = match (night.moon_state, night.moonrise, night.moonset) {
        (MoonState::UpThroughout, _, _) => "up all the while".to_owned(),
        (MoonState::DownThroughout, _, _) => "down all the while".to_owned(),
        (MoonState::Normal, Some(rise), Some(set)) if rise < set => format!("up {} to {}", time(rise), time(set)),
        (MoonState::Normal, Some(rise), Some(set)) => format!("sets {}, rises {}", time(set), time(rise)),
        (MoonState::Normal, Some(rise), None) => format!("rises {}", time(rise)),
        (MoonState::Normal, None, Some(set)) => format!("sets {}", time(set)),
        (MoonState::Normal, None, None) => String::new(),
    };
    if when.is_empty() { lit } else { format!("{lit}, {when}") }
}
