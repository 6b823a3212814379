//! A frame as a still for air or page: named sky, caption, all words inside the title-safe area.

mod coast;
mod keogram;
mod map;
mod placing;
mod shape;
mod sheet;
mod width;

use job::{SkyLabel, SkyLabelKind, StillPicture, TellStillReport};

pub use keogram::keogram_still;
pub use map::map_still;
pub use shape::{SafeArea, StillLines, StillShape, StillSize};

use self::sheet::{DESCENT, Sheet};
use crate::eye::picture_uri;
use crate::label::{Anchor, haloed};
use crate::svg::{Element, PathData};
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

/// The still as SVG of the size asked for.
pub fn still(report: &TellStillReport, picture: &StillPicture, style: &StillStyle) -> String {
    let sheet = Sheet::of(*style, &report.caption);
    let covered = Covered::of(sheet.size, picture);
    let (ink, halo) = (sheet.theme.sky_ink, sheet.theme.sky_halo);
    let mut root = sheet.root(&format!("Still of {}", report.file), &report.caption.join(", "), "#000");
    if !style.is_overlay {
        root = root.child(covered.image(picture));
    }
    for piece in &report.horizon {
        let mut path = PathData::default();
        path.polyline(piece.iter().map(|place| covered.at(*place)), false);
        root = root.child(
            path.element().with("fill", "none").with("stroke", &ink.to_string()).at("stroke-width", sheet.thin_px),
        );
    }
    let labels = placed(report, &covered, sheet.safe, sheet.caption_top(), sheet.label_px);
    let root = root.children(labels.iter().map(|label| {
        haloed(&label.words, (label.x, label.y), sheet.label_px, Anchor::Middle, ink, halo).with("data-role", "label")
    }));
    sheet.finished(root)
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
        SkyLabelKind::Star | SkyLabelKind::Direction | SkyLabelKind::Moon | SkyLabelKind::Form => label.name.clone(),
    }
}
