//! Lines of equal brightness over a calibrated keogram.

use job::ReadKeogram;

use super::{FONT_PX, LEFT_PX, PLOT_PX, TOP_PX, joined};
use crate::contour::{Border, Plane};
use crate::label::{Anchor, haloed, kr_text};
use crate::svg::{Element, PathData};
use crate::theme::Theme;

/// Brightnesses that are drawn, kR: classes I to IV of the International Brightness Coefficient (Seaton 1954, Hunten 1955), and
/// half way between them.
const LEVELS_KR: [f64; 7] = [1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0];
/// What stands for no light at all, decimal logarithm of kR.
const DARK: f64 = -3.0;
/// Lines of fewer points are grain.
const LEAST_POINTS: usize = 8;

/// The lines, and their brightness at the longest one of each.
pub(super) fn contours(keogram: &ReadKeogram, theme: &Theme) -> Vec<Element> {
    let plane = plane(keogram);
    if plane.columns < 2 || plane.rows < 2 {
        return Vec::new();
    }
    let to_px = |(column, row): (f64, f64)| {
        (
            LEFT_PX + PLOT_PX[0] * (column + 0.5) / plane.columns as f64,
            TOP_PX + PLOT_PX[1] * (row + 0.5) / plane.rows as f64,
        )
    };
    let mut out = Vec::new();
    for level in LEVELS_KR {
        let mut lines = plane.chains(level.log10(), Border::Open);
        lines.retain(|line| line.points.len() >= LEAST_POINTS);
        let mut path = PathData::default();
        for line in &lines {
            path.polyline(line.points.iter().map(|point| to_px(*point)), line.closed);
        }
        if path.is_empty() {
            continue;
        }
        out.push(path.element().with("stroke", &theme.text.to_string()).at("stroke-width", 0.8).with("fill", "none"));
        let longest = lines.iter().max_by_key(|line| line.points.len());
        if let Some(at) = longest.and_then(|line| line.points.get(line.points.len() / 2)) {
            let at = to_px(*at);
            out.push(haloed(&kr_text(level), at, FONT_PX - 1.0, Anchor::Middle, theme.text, theme.background));
        }
    }
    out
}

/// Decimal logarithms of the light, a row for each bin from the top.
fn plane(keogram: &ReadKeogram) -> Plane {
    let step = joined(keogram);
    let pieces: Vec<_> = keogram.columns.chunks(step).collect();
    let rows = keogram.bins.len();
    let mut values = Vec::with_capacity(rows * pieces.len());
    for bin in (0..rows).rev() {
        for columns in &pieces {
            let light = columns.iter().filter_map(|column| *column.values.get(bin)?).map(f64::from);
            let (sum, count) = light.fold((0.0, 0_u32), |(sum, count), light| (sum + light, count + 1));
            let mean = sum / f64::from(count.max(1));
            values.push(if mean > 0.0 { mean.log10().max(DARK) } else { DARK });
        }
    }
    Plane { columns: pieces.len(), rows, values }
}
