//! A test frame with what was found on it: stars ringed, and drawn out where they are.

mod layers;

use job::{CheckedFrame, Preview};

use crate::eye::picture_uri;
use crate::svg::{self, Element, PathData};
use crate::theme::Palette;

/// How the frame is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverlayStyle {
    /// Colours. For dark-adapted eyes the frame itself is shown in dim red.
    pub palette: Palette,
}

/// Stars ringed, at most: more would hide the picture.
const MOST_RINGED: usize = 500;
/// Smallest ring, px.
const LEAST_RING_PX: f64 = 4.0;
/// Ring over the width of the star.
const RING_PER_FWHM: f64 = 1.5;
/// Elongation from which a star gets whiskers: below, nobody sees it.
const LEAST_ELONGATION: f64 = 0.12;
/// Length of the whiskers for each unit of elongation, in rings.
const WHISKERS: f64 = 3.0;

/// The frame in small with its stars; `None` for a file that could not be read.
pub fn check_overlay(checked: &CheckedFrame, style: &OverlayStyle) -> Option<String> {
    let preview = checked.preview.as_ref()?;
    let (width, height) = (preview.width as f64, preview.height as f64);
    let theme = style.palette.theme();
    let (rings, whiskers) = marks(checked, preview);
    let stroke = |path: PathData, colour: &str, width: f64| {
        path.element().with("fill", "none").with("stroke", colour).at("stroke-width", width)
    };
    let image = Element::new("image")
        .at("x", 0.0)
        .at("y", 0.0)
        .at("width", width)
        .at("height", height)
        .with("href", &data_uri(preview, style.palette));
    let root =
        svg::root(width, height, &format!("Check of {}", checked.report.file), &description(checked)).child(image);
    let areas = checked.layers.iter().flat_map(|layers| layers::elements(layers, preview, theme));
    let stars =
        [stroke(rings, &theme.plot_accent.to_string(), 1.2), stroke(whiskers, &theme.plot_ink.to_string(), 1.6)]
            .map(|marks| marks.with("data-layer", "stars"));
    Some(root.children(areas).children(stars).render())
}

/// Rings around stars, and lines along those that are drawn out.
fn marks(checked: &CheckedFrame, preview: &Preview) -> (PathData, PathData) {
    /// Corners of a ring.
    const CORNERS: u32 = 16;
    let (mut rings, mut whiskers) = (PathData::default(), PathData::default());
    for (star, [x, y]) in checked.stars.iter().zip(&preview.stars).take(MOST_RINGED) {
        let radius = (RING_PER_FWHM * star.fwhm_px / preview.factor).max(LEAST_RING_PX);
        let corner = |index: u32| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(index) / f64::from(CORNERS)).sin_cos();
            (x + radius * cos, y + radius * sin)
        };
        rings.polyline((0..CORNERS).map(corner), true);
        if star.shape_measured && star.elongation >= LEAST_ELONGATION {
            // the direction as the picture is shown, which may be turned
            let (sin, cos) = star.angle_deg.to_radians().sin_cos();
            let [ahead_x, ahead_y] = preview.place([star.x_px + 100.0 * cos, star.y_px + 100.0 * sin]);
            let (dx, dy) = (ahead_x - x, ahead_y - y);
            let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
            let (ux, uy) = (dx / length, dy / length);
            let reach = radius * (1.0 + WHISKERS * star.elongation);
            for side in [-1.0, 1.0] {
                whiskers.move_to(x + side * radius * ux, y + side * radius * uy);
                whiskers.line_to(x + side * reach * ux, y + side * reach * uy);
            }
        }
    }
    (rings, whiskers)
}

fn description(checked: &CheckedFrame) -> String {
    let ringed = checked.stars.len().min(MOST_RINGED);
    format!(
        "{} {} stars found, {ringed} ringed; lines beside a ring show which way a star is drawn out.",
        checked.report.summary, checked.report.stars.count
    )
}

fn data_uri(preview: &Preview, palette: Palette) -> String {
    picture_uri([preview.width, preview.height], &preview.rgb, palette)
}
