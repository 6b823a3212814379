//! Areas of a frame, outlined: each a layer that a page can show and hide.

use job::{FrameLayers, Preview};

use crate::contour::{Border, Plane};
use crate::svg::{Element, PathData};
use crate::theme::Theme;

/// Outline of an area: where a mask of zeros and ones is a half.
const EDGE: f64 = 0.5;

/// How an area is told from the others without its colour.
struct Look {
    /// What the page calls it.
    name: &'static str,
    width_px: f64,
    /// Strokes and gaps, px; none for an unbroken line.
    dashes: Option<&'static str>,
    colour: String,
}

/// Every area that a frame shows, in the order of drawing.
pub(super) fn elements(layers: &FrameLayers, preview: &Preview, theme: &Theme) -> Vec<Element> {
    let look = |name, width_px, dashes, colour: crate::colour::Rgb| Look {
        name,
        width_px,
        dashes,
        colour: colour.to_string(),
    };
    let areas = [
        (&layers.ground, look("ground", 1.2, Some("6 3 1 3"), theme.plot_muted)),
        (&layers.cloud, look("cloud", 1.6, Some("9 5"), theme.plot_ink)),
        (&layers.aurora, look("aurora", 2.0, None, theme.plot_accent)),
        (&layers.clipped, look("clipped", 1.6, Some("1 2"), theme.plot_ink)),
    ];
    areas.into_iter().filter_map(|(mask, look)| outlined(layers, mask, preview, &look)).collect()
}

fn outlined(layers: &FrameLayers, mask: &[bool], preview: &Preview, look: &Look) -> Option<Element> {
    let values = mask.iter().map(|inside| f64::from(u8::from(*inside))).collect();
    let plane = Plane { columns: layers.columns, rows: layers.rows, values };
    let mut path = PathData::default();
    for chain in plane.chains(EDGE, Border::Closed) {
        let points = chain.points.iter().map(|(column, row)| {
            let [x, y] = preview.place([column, row].map(|cell| (cell + 0.5) * layers.cell_px - 0.5));
            (x, y)
        });
        path.polyline(points, chain.closed);
    }
    if path.is_empty() {
        return None;
    }
    let line = path.element().with("fill", "none").with("stroke", &look.colour).at("stroke-width", look.width_px);
    let line = match look.dashes {
        Some(dashes) => line.with("stroke-dasharray", dashes),
        None => line,
    };
    Some(line.with("data-layer", look.name))
}
