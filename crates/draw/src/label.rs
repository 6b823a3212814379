//! Words and boxes of labels: how wide they are, where they fit, how numbers are said.

use crate::colour::Rgb;
use crate::svg::Element;

/// Width of a character over the font size: the mean of common sans-serif faces, generous.
const CHARACTER_WIDTH: f64 = 0.56;

/// Width a text takes, px.
pub(crate) fn text_width(text: &str, font_px: f64) -> f64 {
    text.chars().count() as f64 * font_px * CHARACTER_WIDTH
}

/// The text, cut with an ellipsis where it is wider than `width_px`.
pub(crate) fn fitted(text: &str, font_px: f64, width_px: f64) -> String {
    if text_width(text, font_px) <= width_px {
        return text.to_owned();
    }
    let mut kept = String::new();
    for character in text.chars() {
        if text_width(&kept, font_px) + 2.0 * font_px * CHARACTER_WIDTH > width_px {
            break;
        }
        kept.push(character);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// Facts joined by a middle dot into lines no wider than `width_px`; a fact that is too long for a line is cut.
pub(crate) fn wrapped(facts: &[String], font_px: f64, width_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for fact in facts {
        let joined = lines.last().map(|line| format!("{line} · {fact}"));
        match (joined, lines.last_mut()) {
            (Some(joined), Some(line)) if text_width(&joined, font_px) <= width_px => *line = joined,
            _ => lines.push(fitted(fact, font_px, width_px)),
        }
    }
    lines
}

/// Where a text hangs on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A text element; `y` is the base line.
pub(crate) fn text_at(text: &str, x: f64, y: f64, font_px: f64, anchor: Anchor, ink: Rgb) -> Element {
    let element = Element::new("text").at("x", x).at("y", y).at("font-size", font_px).with("fill", &ink.to_string());
    let element = match anchor {
        Anchor::Start => element,
        Anchor::Middle => element.with("text-anchor", "middle"),
        Anchor::End => element.with("text-anchor", "end"),
    };
    element.text(text)
}

/// A text with a rim, so that it can be read over any colour.
pub(crate) fn haloed(text: &str, (x, y): (f64, f64), font_px: f64, anchor: Anchor, ink: Rgb, halo: Rgb) -> Element {
    // the rim comes first and the letters over it; two elements, because not every renderer knows paint-order
    let rim = text_at(text, x, y, font_px, anchor, halo)
        .with("stroke", &halo.to_string())
        .at("stroke-width", 3.5)
        .with("stroke-linejoin", "round")
        .with("aria-hidden", "true");
    Element::new("g").child(rim).child(text_at(text, x, y, font_px, anchor, ink))
}

/// A box on the drawing, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl Area {
    /// The box of a label centred on a point.
    pub(crate) fn of_label(text: &str, centre: (f64, f64), font_px: f64) -> Self {
        let width = text_width(text, font_px) + 4.0;
        let height = font_px + 4.0;
        Self { left: centre.0 - width / 2.0, top: centre.1 - height / 2.0, width, height }
    }

    pub(crate) fn right(self) -> f64 {
        self.left + self.width
    }

    pub(crate) fn bottom(self) -> f64 {
        self.top + self.height
    }

    pub(crate) fn overlaps(self, other: Self) -> bool {
        self.left < other.right() && other.left < self.right() && self.top < other.bottom() && other.top < self.bottom()
    }
}

/// The areas already taken by labels.
#[derive(Debug, Default)]
pub(crate) struct Taken(Vec<Area>);

impl Taken {
    /// Takes an area whatever lies there.
    pub(crate) fn take(&mut self, area: Area) {
        self.0.push(area);
    }

    /// Whether nothing lies there yet.
    pub(crate) fn is_free(&self, area: Area) -> bool {
        self.0.iter().all(|other| !other.overlaps(area))
    }

    /// Takes an area if it is free.
    pub(crate) fn take_if_free(&mut self, area: Area) -> bool {
        let free = self.is_free(area);
        if free {
            self.0.push(area);
        }
        free
    }
}

/// Brightness in kR with two figures: "0.3", "6.2", "14", "140".
pub(crate) fn kr_text(brightness_kr: f64) -> String {
    if !brightness_kr.is_finite() || brightness_kr < 0.0 {
        return "?".to_owned();
    }
    if brightness_kr < 0.05 {
        return "under 0.1".to_owned();
    }
    if brightness_kr < 9.95 {
        let text = format!("{brightness_kr:.1}");
        return text.strip_suffix(".0").map_or(text.clone(), str::to_owned);
    }
    let unit = 10f64.powf(brightness_kr.log10().floor() - 1.0);
    format!("{:.0}", (brightness_kr / unit).round() * unit)
}

/// An angle in whole degrees: "12°".
pub(crate) fn degrees_text(angle_deg: f64) -> String {
    if angle_deg.is_finite() { format!("{:.0}°", angle_deg.round() + 0.0) } else { "?°".to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brightness_is_said_with_two_figures() {
        let said: Vec<String> =
            [0.0, 0.31, 1.0, 6.24, 9.96, 14.4, 143.0, 1234.0, f64::NAN].into_iter().map(kr_text).collect();
        assert_eq!(said, ["under 0.1", "0.3", "1", "6.2", "10", "14", "140", "1200", "?"]);
    }

    #[test]
    fn a_long_text_is_cut_and_marked() {
        let cut = fitted("Skerrow Bay, the far end of the long shingle", 10.0, 80.0);
        assert!(cut.ends_with('…') && text_width(&cut, 10.0) <= 80.0, "{cut}");
        assert_eq!(fitted("Bay", 10.0, 80.0), "Bay");
    }

    #[test]
    fn facts_wrap_between_and_never_within() {
        let facts = ["one fact".to_owned(), "two facts".to_owned(), "three".to_owned()];
        assert_eq!(wrapped(&facts, 10.0, 130.0), ["one fact · two facts", "three"]);
    }
}
