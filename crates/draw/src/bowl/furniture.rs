//! What stands still: altitude rings, compass, skyline, frame outline.

use job::SkymapReport;
use quantity::Horizontal;

use super::Scene;
use crate::label::{Anchor, Area, Taken, text_at};
use crate::svg::{Element, PathData};

/// Spacing of skyline samples, degrees.
const SKYLINE_STEP_DEG: u16 = 2;
/// Pieces an edge of the frame is cut into, so that it bends as the drawing does.
const EDGE_PIECES: u32 = 12;

/// Rings at 30 and 60 degrees, named on the side away from the light.
pub(super) fn rings(report: &SkymapReport, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let p = &scene.projection;
    let mut out = Vec::new();
    for altitude_deg in [30.0, 60.0] {
        out.push(
            Element::new("circle")
                .at("cx", p.center_x)
                .at("cy", p.center_y)
                .at("r", p.radius * (90.0 - altitude_deg) / 90.0)
                .with("fill", "none")
                .with("stroke", &scene.theme.sky_ink.to_string())
                .at("stroke-width", 0.8)
                .with("stroke-dasharray", "1 5")
                .with("opacity", "0.8"),
        );
        let text = format!("{altitude_deg:.0}°");
        for turn_deg in [180.0, 150.0, 210.0, 120.0, 240.0, 90.0, 270.0] {
            let place = p.place(Horizontal::new(altitude_deg, report.brightest.azimuth_deg + turn_deg));
            if taken.take_if_free(Area::of_label(&text, place, scene.font_px)) {
                out.push(scene.sky_label(&text, place.0, place.1, Anchor::Middle));
                break;
            }
        }
    }
    out
}

/// The skyline as a dark rim, and the line of the horizon.
pub(super) fn skyline(report: &SkymapReport, scene: &Scene) -> Vec<Element> {
    let p = &scene.projection;
    let mut out = Vec::new();
    let site = &report.request.site;
    let tops: Vec<Horizontal> = (0..360)
        .step_by(usize::from(SKYLINE_STEP_DEG))
        .map(|azimuth| {
            let altitude = site.skyline_deg(f64::from(azimuth));
            let altitude = if altitude.is_finite() { altitude.clamp(0.0, 90.0) } else { 0.0 };
            Horizontal::new(altitude, f64::from(azimuth))
        })
        .collect();
    if tops.iter().any(|top| top.altitude_deg > 0.0) {
        let mut path = PathData::default();
        path.polyline(tops.iter().map(|top| p.place(*top)), true);
        path.polyline(tops.iter().map(|top| p.place(Horizontal::new(0.0, top.azimuth_deg))), true);
        let ground = scene.theme.ground.to_string();
        out.push(path.element().with("fill", &ground).with("fill-rule", "evenodd"));
        let mut edge = PathData::default();
        edge.polyline(tops.iter().map(|top| p.place(*top)), true);
        out.push(
            edge.element()
                .with("fill", "none")
                .with("stroke", &scene.theme.sky_ink.to_string())
                .at("stroke-width", 1.0)
                .with("opacity", "0.7"),
        );
    }
    out.push(
        Element::new("circle")
            .at("cx", p.center_x)
            .at("cy", p.center_y)
            .at("r", p.radius)
            .with("fill", "none")
            .with("stroke", &scene.theme.text.to_string())
            .at("stroke-width", 1.5),
    );
    out
}

/// Letters around the rim.
pub(super) fn compass(scene: &Scene) -> Vec<Element> {
    let p = &scene.projection;
    let reach = p.radius + scene.font_px * 0.5 + 4.0;
    let mut out = Vec::new();
    let letters = [
        ("N", 0.0),
        ("NE", 45.0),
        ("E", 90.0),
        ("SE", 135.0),
        ("S", 180.0),
        ("SW", 225.0),
        ("W", 270.0),
        ("NW", 315.0),
    ];
    for (letter, azimuth_deg) in letters {
        let (sin, cos) = f64::to_radians(azimuth_deg).sin_cos();
        let main = letter.len() == 1;
        let extra = if main { 0.0 } else { 4.0 };
        let (x, y) = (p.center_x - (reach + extra) * sin, p.center_y - (reach + extra) * cos);
        let (font_px, ink) =
            if main { (scene.font_px + 1.5, scene.theme.text) } else { (scene.font_px - 0.5, scene.theme.muted) };
        let element = text_at(letter, x, y + font_px * 0.36, font_px, Anchor::Middle, ink);
        out.push(if main { element.with("font-weight", "bold") } else { element });
    }
    out
}

/// The camera's frame, dashed; where it dips below the horizon it runs along the rim.
pub(super) fn frame(outline: Option<&[Horizontal]>, scene: &Scene) -> Vec<Element> {
    let Some(corners) = outline.filter(|corners| corners.len() > 2) else { return Vec::new() };
    let mut path = PathData::default();
    let points = (0..corners.len()).flat_map(|index| {
        let (a, b) = (corners[index].east_north_up(), corners[(index + 1) % corners.len()].east_north_up());
        (0..EDGE_PIECES).map(move |piece| {
            let share = f64::from(piece) / f64::from(EDGE_PIECES);
            let mixed: Vec<f64> = a.iter().zip(b).map(|(a, b)| a + share * (b - a)).collect();
            let direction = Horizontal::from_east_north_up([mixed[0], mixed[1], mixed[2]]);
            Horizontal::new(direction.altitude_deg.max(0.0), direction.azimuth_deg)
        })
    });
    path.polyline(points.map(|direction| scene.projection.place(direction)), true);
    vec![scene.sky_line(&path, 2.2, Some("9 4"))]
}
