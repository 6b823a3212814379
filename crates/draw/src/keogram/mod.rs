//! Light along a line of the sky against time.

mod axes;
mod contours;

use job::{ReadColumn, ReadKeogram};
use quantity::Timestamp;

use crate::Palette;
use crate::label::{Anchor, degrees_text, text_at};
use crate::ramp::colour_at;
use crate::svg::{Element, PathData, rect, root};

const WIDTH_PX: f64 = 960.0;
const HEIGHT_PX: f64 = 420.0;
const LEFT_PX: f64 = 56.0;
const TOP_PX: f64 = 34.0;
const PLOT_PX: [f64; 2] = [852.0, 322.0];
const FONT_PX: f64 = 12.0;
/// Columns drawn at most; more are averaged.
const MOST_COLUMNS: usize = 300;
/// Steps of the ramp: neighbours of one step are drawn as one piece.
const STEPS: f64 = 40.0;
/// Distance between the strokes of a hatching, px.
const HATCH_PX: f64 = 8.0;
/// Places in order of the light at the dark and at the light end of the ramp: single lamps do not set it.
const ENDS: [f64; 2] = [0.02, 0.995];

/// How a keogram is drawn.
#[derive(Debug, Clone, Copy)]
pub struct KeogramStyle {
    /// For which eyes.
    pub palette: Palette,
}

/// A keogram as SVG: universal time to the right, the line's azimuth up, magnetic latitude at the height assumed on the right, light
/// by the one ramp over the logarithm of what there is, and lines of equal brightness where it is calibrated.
///
/// The root carries `data-from`, `data-to` (UTC) and `data-plot-left`, `-right`, `-top`, `-bottom` (px), linear in time, so that a
/// page can lay a cursor over it.
///
/// * `unit`: in what light is counted, in words; whether it is calibrated among them.
pub fn keogram(keogram: &ReadKeogram, unit: &str, style: &KeogramStyle) -> String {
    let theme = style.palette.theme();
    let ends = light_ends(keogram);
    let (first, last) = (keogram.columns.first(), keogram.columns.last());
    let time =
        |column: Option<&ReadColumn>| column.map_or(String::new(), |column| column.at.strftime("%F %T").to_string());
    let title = format!("Light along the line toward {}", degrees_text(keogram.azimuth_deg));
    let range = ends.map_or("nothing lit".to_owned(), |[low, high]| {
        format!("{} to {}, {unit}", plain(low.exp()), plain(high.exp()))
    });
    let description = format!("{title}, {} to {} UTC; dark to light: {range}", time(first), time(last));
    let mut out = root(WIDTH_PX, HEIGHT_PX, &title, &description);
    if let Some([from, to]) = span(keogram) {
        out = out.with("data-kind", "keogram").with("data-from", &from.to_string()).with("data-to", &to.to_string());
    }
    out = out
        .at("data-plot-left", LEFT_PX)
        .at("data-plot-right", LEFT_PX + PLOT_PX[0])
        .at("data-plot-top", TOP_PX)
        .at("data-plot-bottom", TOP_PX + PLOT_PX[1])
        .child(rect(0.0, 0.0, WIDTH_PX, HEIGHT_PX, &theme.background.to_string()))
        .child(rect(LEFT_PX, TOP_PX, PLOT_PX[0], PLOT_PX[1], &theme.plot.to_string()))
        .child(text_at(&title, LEFT_PX, 20.0, FONT_PX + 2.0, Anchor::Start, theme.text));
    let gaps = gaps(keogram, &theme.plot_muted.to_string());
    let gap_words = if gaps.is_some() { "; hatched: no frame" } else { "" };
    out = out.children(gaps);
    if let Some(ends) = ends {
        out = out.children(cells(keogram, ends, style.palette));
    }
    if keogram.is_kilorayleighs {
        out = out.children(contours::contours(keogram, theme));
    }
    out = out.children(edges(keogram, &theme.plot_accent.to_string()));
    let bottom = TOP_PX + PLOT_PX[1];
    let right = LEFT_PX + PLOT_PX[0];
    if let Some(span) = span(keogram) {
        out = out.children(axes::axes(keogram, span, theme.muted));
    }
    let has_latitudes = keogram.bins.iter().any(|bin| bin.magnetic_latitude_deg.is_some());
    let lines = if keogram.is_kilorayleighs { "thin lines: kR; " } else { "" };
    let caption =
        format!("Left: degrees from the zenith; dark to light: {range}; {lines}strokes: edges of the lit sky");
    let date = first.map_or(String::new(), |column| column.at.strftime("%F, UTC").to_string()) + gap_words;
    if has_latitudes {
        out = out.child(text_at("magnetic latitude", right + 48.0, 20.0, FONT_PX, Anchor::End, theme.muted));
    }
    out.child(text_at(&date, LEFT_PX, bottom + 36.0, FONT_PX, Anchor::Start, theme.muted))
        .child(text_at(&caption, LEFT_PX, bottom + 54.0, FONT_PX, Anchor::Start, theme.muted))
        .render()
}

/// Begin of the first column and end of the last.
pub(crate) fn span(keogram: &ReadKeogram) -> Option<[Timestamp; 2]> {
    let half = jiff::SignedDuration::try_from_secs_f64(0.5 * keogram.column_s).ok()?;
    let (first, last) = keogram.columns.first().zip(keogram.columns.last())?;
    Some([first.at.checked_sub(half).ok()?, last.at.checked_add(half).ok()?])
}

/// Logarithms of the light at the two ends of the ramp; none where nothing is lit.
pub(crate) fn light_ends(keogram: &ReadKeogram) -> Option<[f64; 2]> {
    let values = keogram.columns.iter().flat_map(|column| &column.values).flatten();
    let mut logs: Vec<f64> = values.filter(|value| **value > 0.0).map(|value| f64::from(*value).ln()).collect();
    logs.sort_by(f64::total_cmp);
    let at = |share: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of the length")]
        let place = (share * logs.len().saturating_sub(1) as f64).round() as usize;
        logs.get(place).copied()
    };
    let [low, high] = [at(ENDS[0])?, at(ENDS[1])?];
    Some([low, high.max(low + 1e-3)])
}

fn y_of(keogram: &ReadKeogram, angle_deg: f64) -> Option<f64> {
    let (low, high) = (keogram.bins.first()?.zenith_angle_deg, keogram.bins.last()?.zenith_angle_deg);
    let share = (angle_deg - low) / (high - low);
    (0.0..=1.0).contains(&share).then_some(TOP_PX + PLOT_PX[1] * (1.0 - share))
}

/// Columns that are drawn as one.
fn joined(keogram: &ReadKeogram) -> usize {
    keogram.columns.len().div_ceil(MOST_COLUMNS).max(1)
}

/// The light, column by column, neighbours of one shade as one piece.
fn cells(keogram: &ReadKeogram, [low, high]: [f64; 2], palette: Palette) -> Vec<Element> {
    let bins = keogram.bins.len();
    let joined = joined(keogram);
    let count = keogram.columns.len().max(1) as f64;
    let bin_px = PLOT_PX[1] / bins.max(1) as f64;
    let mut out = Vec::new();
    for (index, columns) in keogram.columns.chunks(joined).enumerate() {
        let left = LEFT_PX + PLOT_PX[0] * (index * joined) as f64 / count;
        let width = PLOT_PX[0] * columns.len() as f64 / count;
        let shades: Vec<Option<i32>> = (0..bins).map(|bin| shade(columns, bin, [low, high])).collect();
        let mut from = 0;
        for run in shades.chunk_by(PartialEq::eq) {
            if let Some(Some(step)) = run.first() {
                let top = TOP_PX + PLOT_PX[1] - bin_px * (from + run.len()) as f64;
                let colour = colour_at(f64::from(*step) / STEPS, palette).to_string();
                // a tenth more, so that no seam shows
                out.push(rect(left, top, width + 0.1, bin_px * run.len() as f64 + 0.1, &colour));
            }
            from += run.len();
        }
    }
    out
}

/// Strokes over the columns without a frame: a gap is no dark sky. None where there is no gap.
fn gaps(keogram: &ReadKeogram, ink: &str) -> Option<Element> {
    let (joined, count) = (joined(keogram), keogram.columns.len().max(1) as f64);
    let (right_most, bottom, height) = (LEFT_PX + PLOT_PX[0], TOP_PX + PLOT_PX[1], PLOT_PX[1]);
    let mut path = PathData::default();
    let is_gap: Vec<bool> =
        keogram.columns.chunks(joined).map(|columns| columns.iter().all(|column| column.frames == 0)).collect();
    let mut from = 0;
    for run in is_gap.chunk_by(PartialEq::eq) {
        let x_of = |chunk: usize| (LEFT_PX + PLOT_PX[0] * (chunk * joined) as f64 / count).min(right_most);
        let (left, right) = (x_of(from), x_of(from + run.len()));
        from += run.len();
        if run.first() != Some(&true) {
            continue;
        }
        // strokes of one hatching over the whole plot, as far as they lie in the gap
        let mut foot = LEFT_PX - height;
        while foot < right {
            let (begin, end) = (foot.max(left), (foot + height).min(right));
            if end > begin {
                path.move_to(begin, bottom - (begin - foot));
                path.line_to(end, bottom - (end - foot));
            }
            foot += HATCH_PX;
        }
    }
    (!path.is_empty()).then(|| path.element().with("stroke", ink).at("stroke-width", 1.0).with("fill", "none"))
}

/// Three figures without an exponent.
fn plain(value: f64) -> String {
    if value <= 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    #[expect(clippy::cast_possible_truncation, reason = "a power of ten")]
    let decimals = 2 - value.log10().floor() as i32;
    match usize::try_from(decimals) {
        Ok(decimals) => format!("{value:.decimals$}"),
        Err(_large) => {
            let step = 10_f64.powi(-decimals);
            format!("{:.0}", (value / step).round() * step)
        }
    }
}

fn shade(columns: &[ReadColumn], bin: usize, [low, high]: [f64; 2]) -> Option<i32> {
    let values = columns.iter().filter_map(|column| *column.values.get(bin)?).map(f64::from);
    let (sum, count) = values.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    let share = (((sum / f64::from(count)).max(f64::MIN_POSITIVE).ln() - low) / (high - low)).clamp(0.0, 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "0 to the number of steps")]
    let step = (share * STEPS).round() as i32;
    (count > 0).then_some(step)
}

/// The two edges of the lit sky, a short stroke in each column that has any.
fn edges(keogram: &ReadKeogram, ink: &str) -> Vec<Element> {
    let Some((first, last)) = keogram.columns.first().zip(keogram.columns.last()) else { return Vec::new() };
    let span_s = last.at.duration_since(first.at).as_secs_f64() + keogram.column_s;
    let width = PLOT_PX[0] * keogram.column_s / span_s;
    let mut path = PathData::default();
    for border in &keogram.borders {
        let x = LEFT_PX + PLOT_PX[0] * border.at.duration_since(first.at).as_secs_f64() / span_s;
        let sides = border.zenith_angle_deg.iter().zip(border.open).filter(|(_, open)| !open);
        for y in sides.filter_map(|(angle_deg, _)| y_of(keogram, *angle_deg)) {
            path.move_to(x, y);
            path.line_to(x + width, y);
        }
    }
    if path.is_empty() {
        return Vec::new();
    }
    vec![path.element().with("stroke", ink).at("stroke-width", 1.5).with("fill", "none")]
}
