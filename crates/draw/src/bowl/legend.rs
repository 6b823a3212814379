use job::SkymapReport;
use quantity::Horizontal;

use super::Scene;
use crate::label::{Anchor, degrees_text, kr_text, text_at, wrapped};
use crate::ramp::colour_at;
use crate::svg::{Element, line, rect};

/// Slices of the ramp bar.
const SLICES: u32 = 48;
/// Marks on the bar: share of the ramp, brightness, class.
const MARKS: [(f64, &str); 5] =
    [(0.0, "0.1 kR"), (0.25, "I · 1"), (0.5, "II · 10"), (0.75, "III · 100"), (1.0, "IV · 1000")];

/// The drawn legend and where it ends.
pub(super) struct Legend {
    pub(super) elements: Vec<Element>,
    pub(super) bottom: f64,
}

/// What the bowl says in numbers besides its picture.
pub(super) fn facts(report: &SkymapReport) -> Vec<String> {
    let arc = report.brightest_arc_kr;
    let b = report.brightest;
    let m = report.magnetic_zenith;
    let mut facts = if super::hardly_any(report) {
        vec!["no aurora to be expected".to_owned()]
    } else {
        vec![
            format!("brightest arc {} kR ({} to {})", kr_text(arc.value), kr_text(arc.low), kr_text(arc.high)),
            format!("look {}", place(b)),
        ]
    };
    facts.push(format!("magnetic zenith {}", place(m)));
    let lit = 100.0 * report.moon_lit_fraction;
    match report.moon {
        Some(moon) if lit.is_finite() => facts.push(format!("moon {}, {lit:.0} % lit", place(moon))),
        Some(moon) => facts.push(format!("moon {}", place(moon))),
        None => facts.push("moon down".to_owned()),
    }
    facts.push(format!("sun {} (mark on the rim)", place(report.sun)));
    facts
}

/// "12° up, bearing 345°".
fn place(direction: Horizontal) -> String {
    let (altitude, bearing) = (degrees_text(direction.altitude_deg.abs()), degrees_text(direction.azimuth_deg));
    let side = if direction.altitude_deg < 0.0 { "down" } else { "up" };
    format!("{altitude} {side}, bearing {bearing}")
}

/// Ramp bar with classes, then the facts, below the bowl.
pub(super) fn draw(scene: &Scene, facts: &[String]) -> Legend {
    let theme = scene.theme;
    let font_px = scene.font_px;
    let (left, width) = (16.0, scene.width_px - 32.0);
    let mut y = scene.projection.center_y + scene.projection.radius + 2.0 * font_px + 14.0;
    let what = ["mean green light 557.7 nm, kR", "with IBC class", "as it reaches you"].map(str::to_owned);
    let mut elements = Vec::new();
    for words in wrapped(&what, font_px, width) {
        elements.push(text_at(&words, left, y, font_px, Anchor::Start, theme.muted));
        y += font_px * 1.4;
    }
    y += 6.0 - font_px * 1.4;
    elements.extend(bar(scene, left, y, width));
    y += 10.0 + 5.0 + font_px;
    for (index, (share, words)) in MARKS.into_iter().enumerate() {
        let x = left + width * share;
        elements.push(line((x, y - font_px - 5.0), (x, y - font_px), &theme.muted.to_string(), 1.0));
        let anchor = if index == 0 {
            Anchor::Start
        } else if index == 4 {
            Anchor::End
        } else {
            Anchor::Middle
        };
        elements.push(text_at(words, x, y, font_px, anchor, theme.text));
    }
    y += font_px * 0.6;
    for words in wrapped(facts, font_px, width) {
        y += font_px * 1.4;
        elements.push(text_at(&words, left, y, font_px, Anchor::Start, theme.text));
    }
    Legend { elements, bottom: y + font_px * 0.8 }
}

fn bar(scene: &Scene, left: f64, top: f64, width: f64) -> Vec<Element> {
    let slice = width / f64::from(SLICES);
    let mut out: Vec<Element> = (0..SLICES)
        .map(|index| {
            let share = (f64::from(index) + 0.5) / f64::from(SLICES);
            let fill = colour_at(share, scene.palette).to_string();
            rect(left + f64::from(index) * slice, top, slice, 10.0, &fill).with("shape-rendering", "crispEdges")
        })
        .collect();
    let outline = scene.theme.muted.to_string();
    out.push(rect(left, top, width, 10.0, "none").with("stroke", &outline).at("stroke-width", 0.8));
    out
}
