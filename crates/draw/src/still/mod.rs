//! A frame as a still for air or page: named sky, caption, all words inside the title-safe area.

mod shape;
mod width;

use job::{SkyLabel, SkyLabelKind, StillPicture, TellStillReport};

pub use shape::{SafeArea, StillLines, StillShape, StillSize};

use crate::eye::picture_uri;
use crate::label::{Anchor, haloed, text_at};
use crate::svg::{self, Element, PathData};
use crate::theme::Palette;

/// How a still is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StillStyle {
    /// Proportions.
    pub shape: StillShape,
    /// Size.
    pub lines: StillLines,
    /// Whether the frame is left out, so that the words can be laid over something else; the rest is transparent.
    pub is_overlay: bool,
    /// Whether the safe areas are drawn: for looking, not for air.
    pub with_guides: bool,
}

/// Size of the caption's letters over the shorter side: read on a phone at arm's length.
const CAPTION_PX: f64 = 0.026;
/// Size of names on the sky over the shorter side.
const LABEL_PX: f64 = 0.022;
/// Height of a line over the size of its letters.
const LINE: f64 = 1.35;
/// Letters below the base line over their size.
const DESCENT: f64 = 0.25;

/// The still as SVG of the size asked for.
pub fn still(report: &TellStillReport, picture: &StillPicture, style: &StillStyle) -> String {
    let size = StillSize::of(style.shape, style.lines);
    let covered = Covered::of(size, picture);
    let theme = Palette::Day.theme();
    let (ink, halo) = (theme.sky_ink, theme.sky_halo);
    let short = size.width.min(size.height);
    let safe = size.title_safe();
    let caption = width::lines(&report.caption, CAPTION_PX * short, safe.width - CAPTION_PX * short);
    let caption_top = safe.bottom() - LINE * CAPTION_PX * short * caption.len() as f64;
    let mut root = svg::root(size.width, size.height, &format!("Still of {}", report.file), &report.caption.join(", "));
    if !style.is_overlay {
        root = root.child(svg::rect(0.0, 0.0, size.width, size.height, "#000")).child(covered.image(picture));
    }
    for piece in &report.horizon {
        let mut path = PathData::default();
        path.polyline(piece.iter().map(|place| covered.at(*place)), false);
        root = root.child(
            path.element().with("fill", "none").with("stroke", &ink.to_string()).at("stroke-width", 0.0015 * short),
        );
    }
    let labels = placed(report, &covered, safe, caption_top, LABEL_PX * short);
    root = root.children(labels.iter().map(|label| {
        haloed(&label.words, (label.x, label.y), LABEL_PX * short, Anchor::Middle, ink, halo).with("data-role", "label")
    }));
    if !caption.is_empty() {
        root = root.child(
            svg::rect(
                safe.left,
                caption_top - DESCENT * CAPTION_PX * short,
                safe.width,
                safe.bottom() - caption_top + DESCENT * CAPTION_PX * short,
                "#000",
            )
            .at("fill-opacity", 0.6),
        );
    }
    root = root.children(caption.iter().enumerate().map(|(row, words)| {
        let base = caption_top + LINE * CAPTION_PX * short * (row as f64 + 1.0) - DESCENT * CAPTION_PX * short;
        text_at(words, safe.left + 0.5 * CAPTION_PX * short, base, CAPTION_PX * short, Anchor::Start, ink)
    }));
    if style.with_guides {
        root = root.children([size.action_safe(), safe].map(|area| guide(area, 0.0015 * short)));
    }
    root.render()
}

fn guide(area: SafeArea, width: f64) -> Element {
    svg::rect(area.left, area.top, area.width, area.height, "none").with("stroke", "#ffffff").at("stroke-width", width)
}

/// How a frame covers a still: as large as needed, the middle in the middle, what hangs over cut.
struct Covered {
    left: f64,
    top: f64,
    width: f64,
    height: f64,
}

impl Covered {
    fn of(size: StillSize, picture: &StillPicture) -> Self {
        let (columns, rows) = (picture.width.max(1) as f64, picture.height.max(1) as f64);
        let scale = (size.width / columns).max(size.height / rows);
        let (width, height) = (columns * scale, rows * scale);
        Self { left: 0.5 * (size.width - width), top: 0.5 * (size.height - height), width, height }
    }

    fn at(&self, place: [f64; 2]) -> (f64, f64) {
        (self.left + place[0] * self.width, self.top + place[1] * self.height)
    }

    fn image(&self, picture: &StillPicture) -> Element {
        Element::new("image")
            .at("x", self.left)
            .at("y", self.top)
            .at("width", self.width)
            .at("height", self.height)
            .with("href", &picture_uri([picture.width, picture.height], &picture.rgb, Palette::Day))
    }
}

/// A name with its base line's middle, px.
struct PlacedLabel {
    words: String,
    x: f64,
    y: f64,
}

/// Names that fit: inside the title-safe area, above the caption, none over another; the first come first.
fn placed(report: &TellStillReport, covered: &Covered, safe: SafeArea, bottom: f64, font_px: f64) -> Vec<PlacedLabel> {
    let mut boxes: Vec<[f64; 4]> = Vec::new();
    let mut labels = Vec::new();
    for label in &report.labels {
        let words = words(label);
        let (x, y) = covered.at(label.place);
        // a star's name stands below it, so that the star is seen
        let y = y + if label.kind == SkyLabelKind::Star { 1.3 * font_px } else { 0.35 * font_px };
        let half = 0.5 * width::most_px(&words, font_px) + 0.2 * font_px;
        let area = [x - half, y - font_px, x + half, y + DESCENT * font_px];
        let is_inside = area[0] >= safe.left
            && area[2] <= safe.right()
            && area[1] >= safe.top
            && area[3] <= bottom - DESCENT * font_px;
        let is_free = boxes
            .iter()
            .all(|other| area[0] > other[2] || area[2] < other[0] || area[1] > other[3] || area[3] < other[1]);
        if is_inside && is_free {
            boxes.push(area);
            labels.push(PlacedLabel { words, x, y });
        }
    }
    labels
}

/// Constellations in wide capitals, as on charts; all else as it is.
fn words(label: &SkyLabel) -> String {
    match label.kind {
        SkyLabelKind::Constellation => label.name.to_uppercase(),
        SkyLabelKind::Star | SkyLabelKind::Direction | SkyLabelKind::Moon => label.name.clone(),
    }
}
