//! What all stills share: the caption at the foot of the title-safe area, sizes of letters, the guides.

use super::width;
use super::{SafeArea, StillSize, StillStyle};
use crate::label::{Anchor, text_at};
use crate::svg::{self, Element};
use crate::theme::{Palette, Theme};

/// Size of the caption's letters over the shorter side: read on a phone at arm's length.
const CAPTION_PX: f64 = 0.026;
/// Size of names over the shorter side.
const LABEL_PX: f64 = 0.022;
/// Height of a line over the size of its letters.
pub(super) const LINE: f64 = 1.35;
/// Letters below the base line over their size.
pub(super) const DESCENT: f64 = 0.25;
/// Width of thin lines over the shorter side: 1.6 px of 1080, which no scaling loses.
const THIN: f64 = 0.0015;

/// A still in the making.
pub(super) struct Sheet {
    pub(super) size: StillSize,
    pub(super) safe: SafeArea,
    pub(super) theme: &'static Theme,
    /// Letters of the caption and of a title, px.
    pub(super) caption_px: f64,
    /// Letters of names, px.
    pub(super) label_px: f64,
    /// Width of thin lines, px.
    pub(super) thin_px: f64,
    caption: Vec<String>,
    style: StillStyle,
}

impl Sheet {
    pub(super) fn of(style: StillStyle, facts: &[String]) -> Self {
        let size = StillSize::of(style.shape, style.lines);
        let short = size.width.min(size.height);
        let (safe, caption_px) = (size.title_safe(), CAPTION_PX * short);
        let caption = width::lines(facts, caption_px, safe.width - caption_px);
        let theme = Palette::Day.theme();
        Self { size, safe, theme, caption_px, label_px: LABEL_PX * short, thin_px: THIN * short, caption, style }
    }

    /// Where the caption begins.
    pub(super) fn caption_top(&self) -> f64 {
        self.safe.bottom() - LINE * self.caption_px * self.caption.len() as f64
    }

    /// The root with its name, and the ground where the still has one.
    pub(super) fn root(&self, title: &str, description: &str, ground: &str) -> Element {
        let root = svg::root(self.size.width, self.size.height, title, description);
        if self.style.is_overlay {
            root
        } else {
            root.child(svg::rect(0.0, 0.0, self.size.width, self.size.height, ground))
        }
    }

    /// A title at the head of the title-safe area, in as many lines as it takes, and where it ends.
    pub(super) fn titled(&self, root: Element, words: &str) -> (Element, f64) {
        let words: Vec<String> = words.split(' ').map(str::to_owned).collect();
        let lines = width::joined(&words, " ", self.caption_px, self.safe.width);
        let base = |row: usize| self.safe.top + self.caption_px * (1.0 + LINE * row as f64);
        let bottom = base(lines.len().saturating_sub(1)) + DESCENT * self.caption_px;
        let texts = lines.iter().enumerate().map(|(row, line)| {
            text_at(line, self.safe.left, base(row), self.caption_px, Anchor::Start, self.theme.sky_ink)
        });
        (root.children(texts), bottom)
    }

    /// Adds caption and guides.
    pub(super) fn finished(&self, mut root: Element) -> String {
        let (safe, font_px, top) = (self.safe, self.caption_px, self.caption_top());
        if !self.caption.is_empty() {
            let room = DESCENT * font_px;
            let ground = svg::rect(safe.left, top - room, safe.width, safe.bottom() - top + room, "#000");
            root = root.child(ground.at("fill-opacity", 0.6));
        }
        root = root.children(self.caption.iter().enumerate().map(|(row, words)| {
            let base = top + LINE * font_px * (row as f64 + 1.0) - DESCENT * font_px;
            text_at(words, safe.left + 0.5 * font_px, base, font_px, Anchor::Start, self.theme.sky_ink)
        }));
        if self.style.with_guides {
            root = root.children([self.size.action_safe(), safe].map(|area| {
                svg::rect(area.left, area.top, area.width, area.height, "none")
                    .with("stroke", "#ffffff")
                    .at("stroke-width", self.thin_px)
            }));
        }
        root.render()
    }
}
