//! A writer for the little of SVG that the pictures need.

use std::fmt::Write;

/// One element under construction. Attribute values and text are escaped here and nowhere else.
#[derive(Debug, Clone)]
pub(crate) struct Element {
    name: &'static str,
    attributes: String,
    content: String,
}

impl Element {
    /// An element without attributes.
    pub(crate) fn new(name: &'static str) -> Self {
        Self { name, attributes: String::new(), content: String::new() }
    }

    /// Adds an attribute.
    pub(crate) fn with(mut self, name: &str, value: &str) -> Self {
        self.attributes.push(' ');
        self.attributes.push_str(name);
        self.attributes.push_str("=\"");
        push_escaped(&mut self.attributes, value);
        self.attributes.push('"');
        self
    }

    /// Adds an attribute that is a length or a coordinate, rounded to a tenth.
    pub(crate) fn at(self, name: &str, value: f64) -> Self {
        self.with(name, &number(value))
    }

    /// Appends a child.
    pub(crate) fn child(mut self, child: Self) -> Self {
        child.render_into(&mut self.content);
        self
    }

    /// Appends children in order.
    pub(crate) fn children(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        for child in children {
            child.render_into(&mut self.content);
        }
        self
    }

    /// Appends text.
    pub(crate) fn text(mut self, text: &str) -> Self {
        push_escaped(&mut self.content, text);
        self
    }

    /// The element as text.
    pub(crate) fn render(self) -> String {
        let mut out = String::new();
        self.render_into(&mut out);
        out
    }

    fn render_into(self, out: &mut String) {
        let Self { name, attributes, content } = self;
        // writing to a String cannot fail
        let _written = if content.is_empty() {
            writeln!(out, "<{name}{attributes}/>")
        } else if content.starts_with('<') {
            writeln!(out, "<{name}{attributes}>\n{content}</{name}>")
        } else {
            writeln!(out, "<{name}{attributes}>{content}</{name}>")
        };
    }
}

/// The root of a picture with its name and its description in words.
pub(crate) fn root(width_px: f64, height_px: f64, title: &str, description: &str) -> Element {
    Element::new("svg")
        .with("xmlns", "http://www.w3.org/2000/svg")
        .with("role", "img")
        .at("width", width_px)
        .at("height", height_px)
        .with("viewBox", &format!("0 0 {} {}", number(width_px), number(height_px)))
        .with("font-family", "system-ui, 'Liberation Sans', 'DejaVu Sans', sans-serif")
        .child(Element::new("title").text(title))
        .child(Element::new("desc").text(description))
}

/// A filled rectangle.
pub(crate) fn rect(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Element {
    Element::new("rect")
        .at("x", x)
        .at("y", y)
        .at("width", width.max(0.0))
        .at("height", height.max(0.0))
        .with("fill", fill)
}

/// A straight line.
pub(crate) fn line(from: (f64, f64), to: (f64, f64), stroke: &str, width: f64) -> Element {
    Element::new("line")
        .at("x1", from.0)
        .at("y1", from.1)
        .at("x2", to.0)
        .at("y2", to.1)
        .with("stroke", stroke)
        .at("stroke-width", width)
}

/// A number rounded to a tenth; what is not a number becomes 0, so that no picture holds "NaN".
pub(crate) fn number(value: f64) -> String {
    tenths_text(tenths(value))
}

/// The data of a path, written in steps of a tenth from point to point, which keeps long outlines short.
#[derive(Debug, Clone, Default)]
pub(crate) struct PathData {
    text: String,
    last: (i64, i64),
}

impl PathData {
    /// Starts a new piece.
    pub(crate) fn move_to(&mut self, x: f64, y: f64) {
        self.last = (tenths(x), tenths(y));
        let _written = write!(self.text, "M{}", pair(self.last.0, self.last.1));
    }

    /// Draws to a point.
    pub(crate) fn line_to(&mut self, x: f64, y: f64) {
        let next = (tenths(x), tenths(y));
        let _written = write!(self.text, "l{}", pair(next.0 - self.last.0, next.1 - self.last.1));
        self.last = next;
    }

    /// Closes the piece.
    pub(crate) fn close(&mut self) {
        self.text.push('z');
    }

    /// Draws one piece through points.
    pub(crate) fn polyline(&mut self, points: impl IntoIterator<Item = (f64, f64)>, closed: bool) {
        for (index, (x, y)) in points.into_iter().enumerate() {
            if index == 0 { self.move_to(x, y) } else { self.line_to(x, y) }
        }
        if closed {
            self.close();
        }
    }

    /// Whether anything was drawn.
    pub(crate) fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// The path as an element without fill or stroke set.
    pub(crate) fn element(self) -> Element {
        Element::new("path").with("d", &self.text)
    }
}

/// Largest coordinate written: far outside any picture.
const LARGEST: f64 = 1.0e6;

fn tenths(value: f64) -> i64 {
    let bounded = if value.is_nan() { 0.0 } else { value.clamp(-LARGEST, LARGEST) };
    #[expect(clippy::cast_possible_truncation, reason = "bounded above")]
    let rounded = (bounded * 10.0).round() as i64;
    rounded
}

fn tenths_text(tenths: i64) -> String {
    let sign = if tenths < 0 { "-" } else { "" };
    match (tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10) {
        (0, 0) => "0".to_owned(),
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) => format!("{sign}.{part}"),
        (whole, part) => format!("{sign}{whole}.{part}"),
    }
}

fn pair(x: i64, y: i64) -> String {
    let gap = if y < 0 { "" } else { " " };
    format!("{}{gap}{}", tenths_text(x), tenths_text(y))
}

/// Escapes for both text and quoted attributes; what XML cannot hold at all becomes the replacement character.
fn push_escaped(out: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_attributes_are_escaped() {
        let written = Element::new("text").with("id", "a\"b").text("<script>&\u{1}").render();
        assert_eq!(written, "<text id=\"a&quot;b\">&lt;script&gt;&amp;\u{fffd}</text>\n");
    }

    #[test]
    fn numbers_are_short_and_never_nan() {
        assert_eq!(number(12.04), "12");
        assert_eq!(number(-0.04), "0");
        assert_eq!(number(-0.26), "-.3");
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(f64::INFINITY), "1000000");
    }

    #[test]
    fn a_path_of_steps_does_not_drift() {
        let mut path = PathData::default();
        path.polyline((0..=100).map(|i| (f64::from(i) * 0.04, 0.0)), false);
        assert_eq!(path.last, (40, 0));
    }
}
