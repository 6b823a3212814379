//! Stars, planets, moon, magnetic zenith, brightest direction, foreground.

use job::{FrameObject, FramePlace, Sharpness, StandReport};

use super::Scene;
use crate::label::{Anchor, Area, Taken, text_width};
use crate::svg::{Element, PathData};

/// Radius of the moon's disc, px: larger than to scale on a wide lens.
const MOON_PX: f64 = 8.0;
/// Stars named: down to this magnitude.
const NAMED_MAGNITUDE: f64 = 1.6;

/// Everything with a place of its own; labels take their room from `taken`.
pub(super) fn draw(report: &StandReport, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let mut out = Vec::new();
    if report.moon.up {
        out.extend(moon(report, scene, taken));
    }
    out.extend(zenith(&report.magnetic_zenith.place, scene, taken));
    if let Some(light) = report.light.as_ref().filter(|light| light.brightest_mean_kr.green_5577_kr > 0.05) {
        out.extend(brightest(&light.brightest, scene, taken));
    }
    for planet in &report.planets {
        out.extend(star(&planet.name, planet.magnitude.min(0.0), &planet.place, true, scene, taken));
    }
    for one in &report.stars {
        let named = one.magnitude < NAMED_MAGNITUDE;
        out.extend(star(&one.name, one.magnitude, &one.place, named, scene, taken));
    }
    out
}

/// Silhouettes with name and size.
pub(super) fn foreground(report: &StandReport, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    report
        .foreground
        .iter()
        .filter(|object| object.inside)
        .flat_map(|object| silhouette(object, scene, taken))
        .collect()
}

fn silhouette(object: &FrameObject, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let mut path = PathData::default();
    path.polyline(object.silhouette_px.iter().map(|pixel| scene.place(*pixel)), true);
    let mut out = Vec::new();
    if !path.is_empty() {
        let shape = path
            .element()
            .with("fill", &scene.theme.sky_halo.to_string())
            .with("stroke", &scene.theme.sky_ink.to_string())
            .at("stroke-width", 1.2);
        // a soft outline is drawn broken, so that it is told apart without colour
        out.push(if object.sharpness == Sharpness::Soft { shape.with("stroke-dasharray", "2 3") } else { shape });
    }
    let size = object.height_px.map_or_else(String::new, |px| format!(" {px:.0} px"));
    let text = format!("{}{size}", object.name);
    out.extend(object.top.pixel.and_then(|pixel| label_beside(&text, scene.place(pixel), 4.0, scene, taken)));
    out
}

/// A label on that side of a mark where it is free and in the picture.
fn label_beside(text: &str, (x, y): (f64, f64), mark_px: f64, scene: &Scene, taken: &mut Taken) -> Option<Element> {
    let half = text_width(text, scene.font_px) / 2.0 + 2.0;
    let (across, along) = (mark_px + half + 3.0, mark_px + scene.font_px / 2.0 + 4.0);
    for (dx, dy) in [(0.0, -along), (across, 0.0), (-across, 0.0), (0.0, along), (across, -along), (-across, -along)] {
        let area = Area::of_label(text, (x + dx, y + dy), scene.font_px);
        if scene.is_inside(area) && taken.take_if_free(area) {
            return Some(scene.sky_label(text, x + dx, y + dy, Anchor::Middle));
        }
    }
    None
}

/// The place on the drawing of something in the picture.
fn inside(place: &FramePlace, scene: &Scene) -> Option<(f64, f64)> {
    place.pixel.filter(|_| place.inside).map(|pixel| scene.place(pixel))
}

fn star(name: &str, magnitude: f64, place: &FramePlace, named: bool, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let Some((x, y)) = inside(place, scene) else { return Vec::new() };
    // a magnitude is a ratio of light, the area of a dot carries light
    let radius = (2.6 * 10f64.powf(-0.1 * magnitude)).clamp(1.0, 4.5);
    let dot = circle((x, y), radius, &scene.theme.sky_ink.to_string())
        .with("stroke", &scene.theme.sky_halo.to_string())
        .at("stroke-width", 0.8);
    let label = if named { label_beside(name, (x, y), radius, scene, taken) } else { None };
    std::iter::once(dot).chain(label).collect()
}

fn circle((x, y): (f64, f64), radius: f64, fill: &str) -> Element {
    Element::new("circle").at("cx", x).at("cy", y).at("r", radius).with("fill", fill)
}

fn moon(report: &StandReport, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let Some(at) = inside(&report.moon.place, scene) else { return Vec::new() };
    let disc = circle(at, MOON_PX, &scene.theme.moon.to_string())
        .with("stroke", &scene.theme.sky_halo.to_string())
        .at("stroke-width", 1.5);
    std::iter::once(disc).chain(label_beside("moon", at, MOON_PX, scene, taken)).collect()
}

fn zenith(place: &FramePlace, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let Some((x, y)) = inside(place, scene) else { return Vec::new() };
    let mut path = PathData::default();
    path.polyline([(x - 8.0, y), (x + 8.0, y)], false);
    path.polyline([(x, y - 8.0), (x, y + 8.0)], false);
    let label = label_beside("mag. zenith", (x, y), 8.0, scene, taken);
    std::iter::once(scene.sky_line(&path, 2.0, None)).chain(label).collect()
}

fn brightest(place: &FramePlace, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let Some((x, y)) = inside(place, scene) else { return Vec::new() };
    let mut path = PathData::default();
    path.polyline([(x, y - 6.0), (x + 6.0, y), (x, y + 6.0), (x - 6.0, y)], true);
    let label = label_beside("brightest", (x, y), 7.0, scene, taken);
    std::iter::once(scene.sky_line(&path, 1.8, None)).chain(label).collect()
}
