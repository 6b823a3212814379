//! The few elements a card is made of. None is ever empty: an empty element would be written in a form that HTML does not close.

use crate::svg::Element;

/// A box.
pub(super) fn block(class: &str) -> Element {
    Element::new("div").with("class", class)
}

/// A heading of a section.
pub(super) fn heading(words: &str) -> Element {
    Element::new("h2").text(words)
}

/// A paragraph; no class where it has none.
pub(super) fn paragraph(class: &str, words: &str) -> Element {
    classed("p", class).text(dash_if_empty(words))
}

/// A run of text inside a line.
pub(super) fn span(class: &str, words: &str) -> Element {
    classed("span", class).text(dash_if_empty(words))
}

/// A list of lines.
pub(super) fn list(lines: Vec<String>) -> Element {
    Element::new("ul").children(lines.into_iter().map(|line| Element::new("li").text(dash_if_empty(&line))))
}

/// A row of a table; its first cell is its heading.
pub(super) fn row(cells: &[&str]) -> Element {
    let cell = |(index, words): (usize, &&str)| {
        let element = if index == 0 { Element::new("th").with("scope", "row") } else { Element::new("td") };
        element.text(dash_if_empty(words))
    };
    Element::new("tr").children(cells.iter().enumerate().map(cell))
}

/// The row of headings of a table.
pub(super) fn head_row(cells: &[&str]) -> Element {
    let cell = |words: &&str| Element::new("th").with("scope", "col").text(dash_if_empty(words));
    Element::new("tr").children(cells.iter().map(cell))
}

fn classed(name: &'static str, class: &str) -> Element {
    let element = Element::new(name);
    if class.is_empty() { element } else { element.with("class", class) }
}

fn dash_if_empty(words: &str) -> &str {
    if words.is_empty() { "-" } else { words }
}
