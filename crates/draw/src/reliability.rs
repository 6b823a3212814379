//! The reliability diagram: how often chances came true.

use job::{ChanceScores, ReliabilityRow, ScoresReport};

use crate::colour::Rgb;
use crate::label::{Anchor, Area, fitted, text_at};
use crate::svg::{self, Element, line, rect};
use crate::theme::Palette;

/// Letters, px.
const FONT_PX: f64 = 13.0;
/// Room at the left and below for the axes' words, px.
const MARGIN_PX: f64 = 56.0;
/// Room above for the title, px.
const TOP_PX: f64 = 34.0;

/// How a reliability diagram is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReliabilityStyle {
    /// Width, px; 560 at least: eye and camera stand side by side.
    pub width_px: f64,
    /// Colours.
    pub palette: Palette,
}

impl Default for ReliabilityStyle {
    /// 900 px by day.
    fn default() -> Self {
        Self { width_px: 900.0, palette: Palette::Day }
    }
}

/// Share that came true over mean chance, for eye and camera, with 95 % intervals and the number of outings beside each
/// point; the slanted line is where chances keep their word.
pub fn reliability_diagram(report: &ScoresReport, style: &ReliabilityStyle) -> String {
    let width_px = crate::strip::bounded(style.width_px, 560.0);
    let theme = style.palette.theme();
    let side = width_px / 2.0 - MARGIN_PX - 20.0;
    let height_px = TOP_PX + side + MARGIN_PX + 24.0;
    let description =
        format!("{} {} {}", report.past_skill, words("Eye", &report.eye), words("Camera", &report.camera));
    let record = fitted(&report.past_skill, FONT_PX, width_px - 24.0);
    svg::root(width_px, height_px, "Chances given and how often they came true", &description)
        .child(rect(0.0, 0.0, width_px, height_px, &theme.background.to_string()))
        .children(panel("Chance by eye", &report.eye, square(MARGIN_PX, side), style.palette))
        .children(panel("Chance by camera", &report.camera, square(width_px / 2.0 + MARGIN_PX, side), style.palette))
        .child(text_at(&record, 12.0, height_px - 10.0, FONT_PX, Anchor::Start, theme.muted))
        .render()
}

fn square(left: f64, side: f64) -> Area {
    Area { left, top: TOP_PX, width: side, height: side }
}

fn panel(title: &str, scores: &ChanceScores, plot: Area, palette: Palette) -> Vec<Element> {
    let theme = palette.theme();
    let at = |chance: f64, share: f64| (plot.left + chance * plot.width, plot.bottom() - share * plot.height);
    let brier = scores.brier.map_or_else(|| "no record yet".to_owned(), |brier| format!("Brier {brier:.2}"));
    let few = if scores.enough || scores.count == 0 { "" } else { ", too few to judge" };
    let title = format!("{title}: n={}, {brier}{few}", scores.count);
    let mut out = vec![
        text_at(&title, plot.left, plot.top - 12.0, FONT_PX, Anchor::Start, theme.text),
        rect(plot.left, plot.top, plot.width, plot.height, &theme.plot.to_string()),
        line(at(0.0, 0.0), at(1.0, 1.0), &theme.plot_muted.to_string(), 1.0).with("stroke-dasharray", "4 4"),
    ];
    for tick in 0..=5 {
        let value = f64::from(tick) / 5.0;
        let (x, y) = at(value, value);
        let name = format!("{value:.1}");
        out.push(text_at(&name, x, plot.bottom() + 18.0, FONT_PX, Anchor::Middle, theme.muted));
        out.push(text_at(&name, plot.left - 6.0, y + 4.0, FONT_PX, Anchor::End, theme.muted));
    }
    let middle = plot.left + plot.width / 2.0;
    out.push(text_at(
        "chance given (share that came true upwards)",
        middle,
        plot.bottom() + 38.0,
        FONT_PX,
        Anchor::Middle,
        theme.text,
    ));
    for row in &scores.table {
        out.extend(point(row, at, theme.plot_accent, theme.plot_ink));
    }
    out
}

/// One group: its interval, its share, its number of outings.
fn point(row: &ReliabilityRow, at: impl Fn(f64, f64) -> (f64, f64), ink: Rgb, text: Rgb) -> Vec<Element> {
    let (x, y) = at(row.mean_chance, row.share);
    let dot = Element::new("circle").at("cx", x).at("cy", y).at("r", 5.0).with("fill", &ink.to_string());
    let anchor = if row.mean_chance > 0.8 { Anchor::End } else { Anchor::Start };
    let aside = if row.mean_chance > 0.8 { -9.0 } else { 9.0 };
    vec![
        line(at(row.mean_chance, row.share_low), at(row.mean_chance, row.share_high), &ink.to_string(), 2.0),
        dot,
        text_at(&format!("{} of {}", row.came_true, row.count), x + aside, y + 4.0, FONT_PX, anchor, text),
    ]
}

fn words(name: &str, scores: &ChanceScores) -> String {
    let rows = scores
        .table
        .iter()
        .map(|row| format!("about {:.0} %: {} of {}", row.mean_chance * 100.0, row.came_true, row.count));
    let rows: Vec<String> = rows.collect();
    if rows.is_empty() { format!("{name}: no record yet.") } else { format!("{name}, said {}.", rows.join(", ")) }
}
