//! Moon, sun, magnetic zenith and the brightest direction.

use job::SkymapReport;
use quantity::Horizontal;

use super::Scene;
use crate::label::{Anchor, Area, Taken, degrees_text, text_width};
use crate::svg::{Element, PathData, line};

/// Radius of the moon's disc, px: far larger than to scale.
const MOON_PX: f64 = 9.0;
/// Points along half a limb.
const LIMB_POINTS: u32 = 24;

/// Marks with labels; labels take their room from `taken`.
pub(super) fn draw(report: &SkymapReport, scene: &Scene, taken: &mut Taken) -> Vec<Element> {
    let mut out = Vec::new();
    if let Some(moon) = report.moon {
        out.extend(moon_disc(report, moon, scene));
        let text = format!("moon {}", degrees_text(moon.altitude_deg));
        out.extend(label_beside(&text, moon, MOON_PX, scene, taken));
    }
    out.extend(magnetic_zenith(report.magnetic_zenith, scene));
    out.extend(label_beside("mag. zenith", report.magnetic_zenith, 8.0, scene, taken));
    if !super::hardly_any(report) {
        out.extend(brightest(report.brightest, scene));
        out.extend(label_beside("brightest", report.brightest, 7.0, scene, taken));
    }
    out
}

/// A label on that side of a mark where it is free and inside the rim.
fn label_beside(text: &str, mark: Horizontal, mark_px: f64, scene: &Scene, taken: &mut Taken) -> Option<Element> {
    let p = &scene.projection;
    let (x, y) = p.place(mark);
    taken.take(Area { left: x - mark_px, top: y - mark_px, width: 2.0 * mark_px, height: 2.0 * mark_px });
    let half = text_width(text, scene.font_px) / 2.0 + 2.0;
    let (across, along) = (mark_px + half + 3.0, mark_px + scene.font_px / 2.0 + 4.0);
    let places = [(across, 0.0), (-across, 0.0), (0.0, along), (0.0, -along), (across, along), (-across, along)];
    for (dx, dy) in places {
        let centre = (x + dx, y + dy);
        let reach = (centre.0 - p.center_x).abs() + half;
        let inside = reach.hypot(centre.1 - p.center_y) < p.radius;
        if inside && taken.take_if_free(Area::of_label(text, centre, scene.font_px)) {
            return Some(scene.sky_label(text, centre.0, centre.1, Anchor::Middle));
        }
    }
    None
}

/// The disc with its lit part turned to the sun.
fn moon_disc(report: &SkymapReport, moon: Horizontal, scene: &Scene) -> Vec<Element> {
    let (x, y) = scene.projection.place(moon);
    let towards = direction_on_drawing(moon, report.sun, scene);
    let lit = if report.moon_lit_fraction.is_finite() { report.moon_lit_fraction.clamp(0.0, 1.0) } else { 0.5 };
    let mut path = PathData::default();
    path.polyline(
        lit_outline(lit).map(|(along, across)| {
            (
                x + MOON_PX * (along * towards.0 - across * towards.1),
                y + MOON_PX * (along * towards.1 + across * towards.0),
            )
        }),
        true,
    );
    vec![
        Element::new("circle")
            .at("cx", x)
            .at("cy", y)
            .at("r", MOON_PX)
            .with("fill", &scene.theme.sky_halo.to_string())
            .with("stroke", &scene.theme.sky_ink.to_string())
            .at("stroke-width", 1.0),
        path.element().with("fill", &scene.theme.moon.to_string()),
    ]
}

/// Outline of the lit part of a disc of radius 1, as steps towards the sun and across: limb, then terminator.
fn lit_outline(lit_fraction: f64) -> impl Iterator<Item = (f64, f64)> {
    let quarter = std::f64::consts::FRAC_PI_2;
    let angle = move |i: u32| -quarter + 2.0 * quarter * f64::from(i) / f64::from(LIMB_POINTS);
    let limb = (0..=LIMB_POINTS).map(move |i| (angle(i).cos(), angle(i).sin()));
    let bulge = 1.0 - 2.0 * lit_fraction;
    let terminator = (0..=LIMB_POINTS).rev().map(move |i| (bulge * angle(i).cos(), angle(i).sin()));
    limb.chain(terminator)
}

/// Unit step on the drawing from one direction towards another along the great circle.
fn direction_on_drawing(from: Horizontal, to: Horizontal, scene: &Scene) -> (f64, f64) {
    let (a, b) = (from.east_north_up(), to.east_north_up());
    let dot: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    let near = [0, 1, 2].map(|k| a[k] + 0.01 * (b[k] - dot * a[k]));
    let (start, end) = (scene.projection.place(from), scene.projection.place(Horizontal::from_east_north_up(near)));
    let (dx, dy) = (end.0 - start.0, end.1 - start.1);
    let length = dx.hypot(dy);
    if length > 1e-9 && length.is_finite() { (dx / length, dy / length) } else { (1.0, 0.0) }
}

/// A cross where rays converge.
fn magnetic_zenith(at: Horizontal, scene: &Scene) -> Vec<Element> {
    let (x, y) = scene.projection.place(at);
    let mut path = PathData::default();
    path.polyline([(x - 7.0, y), (x + 7.0, y)], false);
    path.polyline([(x, y - 7.0), (x, y + 7.0)], false);
    vec![scene.sky_line(&path, 2.0, None)]
}

/// A diamond at the brightest direction.
fn brightest(at: Horizontal, scene: &Scene) -> Vec<Element> {
    let (x, y) = scene.projection.place(at);
    let mut path = PathData::default();
    path.polyline([(x, y - 6.0), (x + 6.0, y), (x, y + 6.0), (x - 6.0, y)], true);
    vec![scene.sky_line(&path, 1.8, None)]
}

/// A wedge on the rim at the sun's bearing, while it is down.
pub(super) fn sun_mark(report: &SkymapReport, scene: &Scene) -> Vec<Element> {
    if report.sun.altitude_deg > 0.0 {
        return Vec::new();
    }
    let p = &scene.projection;
    let (sin, cos) = report.sun.azimuth_deg.to_radians().sin_cos();
    let at = |r: f64| (p.center_x - r * sin, p.center_y - r * cos);
    vec![line(at(p.radius - 3.0), at(p.radius + 5.0), &scene.theme.accent.to_string(), 5.0)]
}
