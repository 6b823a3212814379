use job::{DarknessClass, OutlookReport, OutlookStep};
use quantity::Timestamp;

use super::{Canvas, TimeAxis};
use crate::label::{Anchor, Area, text_at, text_width};
use crate::svg::{Element, PathData, rect};
use crate::theme::Theme;

/// Sun altitudes at which one part of the night ends and the next begins, degrees.
const BORDERS_DEG: [f64; 4] = [-0.8333, -6.0, -12.0, -18.0];
/// Distance of hatch lines under full cloud and under the thinnest cloud drawn, px.
const HATCH_PX: (f64, f64) = (4.0, 16.0);
/// Cover below which nothing is hatched.
const HARDLY_CLOUD: f64 = 0.05;

/// A part of the night between two instants.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Part {
    class: DarknessClass,
    from: Timestamp,
    to: Timestamp,
}

/// The parts of the night in order; borders between steps are found by a straight line between sun altitudes.
fn parts(steps: &[OutlookStep]) -> Vec<Part> {
    let mut found: Vec<Part> = Vec::new();
    for pair in steps.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        let mut cuts: Vec<f64> = BORDERS_DEG
            .iter()
            .map(|border| (border - a.sun_altitude_deg) / (b.sun_altitude_deg - a.sun_altitude_deg))
            .filter(|share| *share > 0.0 && *share < 1.0)
            .collect();
        cuts.extend([0.0, 1.0]);
        cuts.sort_by(f64::total_cmp);
        for cut in cuts.windows(2) {
            let middle = f64::midpoint(cut[0], cut[1]);
            let sun_deg = a.sun_altitude_deg + middle * (b.sun_altitude_deg - a.sun_altitude_deg);
            let class = DarknessClass::from_sun_altitude_deg(sun_deg);
            let part = Part { class, from: between(a.at, b.at, cut[0]), to: between(a.at, b.at, cut[1]) };
            match found.last_mut() {
                Some(last) if last.class == class => last.to = part.to,
                _ => found.push(part),
            }
        }
    }
    found
}

fn between(a: Timestamp, b: Timestamp, share: f64) -> Timestamp {
    #[expect(clippy::cast_possible_truncation, reason = "seconds within one step")]
    let seconds = ((b.as_second() - a.as_second()) as f64 * share).round() as i64;
    Timestamp::from_second(a.as_second() + seconds).unwrap_or(a)
}

/// Day, the three twilights and dark, each named where there is room.
pub(crate) fn twilight_band(report: &OutlookReport, canvas: &Canvas) -> Vec<Element> {
    let theme = canvas.theme;
    let mut out = vec![rect(
        canvas.twilight.left,
        canvas.twilight.top,
        canvas.twilight.width,
        canvas.twilight.height,
        &theme.plot.to_string(),
    )];
    for part in parts(&report.steps) {
        out.extend(twilight_part(part, &canvas.axis, canvas.twilight, canvas.font_px, theme));
    }
    out
}

fn twilight_part(part: Part, axis: &TimeAxis, band: Area, font_px: f64, theme: &Theme) -> Vec<Element> {
    let (left, right) = (axis.x_clamped(part.from), axis.x_clamped(part.to));
    if right - left < 0.5 {
        return Vec::new();
    }
    let shade = theme.twilight_shade(part.class);
    let mut out = vec![
        rect(left.round(), band.top, right.round() - left.round(), band.height, &shade.to_string())
            .with("shape-rendering", "crispEdges"),
    ];
    let names: &[&str] = match part.class {
        DarknessClass::Day => &["day"],
        DarknessClass::Civil => &["civil twilight", "civil"],
        DarknessClass::Nautical => &["nautical twilight", "nautical", "naut."],
        DarknessClass::Astronomical => &["astronomical twilight", "astronomical", "astro."],
        DarknessClass::Dark => &["dark"],
    };
    if let Some(name) = names.iter().find(|name| text_width(name, font_px) + 6.0 < right - left) {
        let middle = f64::midpoint(left, right);
        let base = band.top + band.height / 2.0 + font_px * 0.36;
        out.push(text_at(name, middle, base, font_px, Anchor::Middle, theme.ink_on(shade)));
    }
    out
}

/// Cloud in the line of sight as hatching, denser for more, with the range in words.
pub(super) fn cloud_band(report: &OutlookReport, canvas: &Canvas) -> Vec<Element> {
    let theme = canvas.theme;
    let band = canvas.cloud;
    let ground = theme.plot.to_string();
    let mut out = vec![rect(band.left, band.top, band.width, band.height, &ground)];
    let inside: Vec<&OutlookStep> =
        report.steps.iter().filter(|step| canvas.axis.x_inside(step.at).is_some()).collect();
    let hatch = hatching(&inside, canvas);
    if !hatch.is_empty() {
        out.push(
            hatch.element().with("stroke", &theme.plot_muted.to_string()).at("stroke-width", 1.2).with("fill", "none"),
        );
    }
    let words = cloud_words(&inside, canvas.narrow);
    let base = band.top + band.height / 2.0 + canvas.font_px * 0.36;
    let room = text_width(&words, canvas.font_px) + 10.0;
    out.push(rect(band.left, band.top, room.min(band.width), band.height, &ground));
    out.push(text_at(&words, band.left + 6.0, base, canvas.font_px, Anchor::Start, theme.plot_ink));
    out
}

/// Slanted lines, each kept inside the band.
fn hatching(steps: &[&OutlookStep], canvas: &Canvas) -> PathData {
    let mut path = PathData::default();
    let band = canvas.cloud;
    let slant = band.height * 0.6;
    let mut x = band.left;
    while x + slant <= band.right() {
        let Some(cover) = cover_at(steps, &canvas.axis, x) else {
            x += HATCH_PX.0;
            continue;
        };
        if cover >= HARDLY_CLOUD {
            path.move_to(x, band.bottom());
            path.line_to(x + slant, band.top);
        }
        x += HATCH_PX.1 + cover * (HATCH_PX.0 - HATCH_PX.1);
    }
    path
}

/// Share of cloud at the step nearest to a place on the axis.
fn cover_at(steps: &[&OutlookStep], axis: &TimeAxis, x: f64) -> Option<f64> {
    let after = steps.partition_point(|step| axis.x(step.at) < x);
    let near = [after.checked_sub(1), Some(after)].into_iter().flatten().filter_map(|index| steps.get(index));
    let nearest = near.min_by(|a, b| (axis.x(a.at) - x).abs().total_cmp(&(axis.x(b.at) - x).abs()))?;
    nearest.clear_sightline.map(|clear| 1.0 - clear.value())
}

fn cloud_words(steps: &[&OutlookStep], narrow: bool) -> String {
    let tenths: Vec<u8> =
        steps.iter().filter_map(|step| step.clear_sightline).map(|clear| 10 - clear.in_ten()).collect();
    match (tenths.iter().min(), tenths.iter().max()) {
        (Some(0), Some(0)) => "sightline clear of cloud".to_owned(),
        (Some(least), Some(most)) if least == most => format!("cloud in the way: {least} in 10"),
        (Some(least), Some(most)) => format!("cloud in the way: {least} to {most} in 10"),
        _ if narrow => "cloud not given".to_owned(),
        _ => "cloud not given: chances are for a clear sky".to_owned(),
    }
}
