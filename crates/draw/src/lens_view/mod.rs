//! The view through the lens: arc, skyline, foreground, water, stars, as the picture will hold them.

mod light;
mod marks;
mod terrain;

use job::{Framing, StandReport};

use crate::contour::{Chain, Plane};
use crate::label::{Anchor, Area, Taken, degrees_text, fitted, haloed, kr_text, text_at, text_width, wrapped};
use crate::local_time::LocalClock;
use crate::ramp::colour_at;
use crate::strip::bounded;
use crate::svg::{self, Element, PathData, line, rect};
use crate::theme::{Palette, Theme};
use terrain::Terrain;

/// Room to the left and right of the picture, px.
const SIDE_PX: f64 = 8.0;

/// How a view through the lens is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LensStyle {
    /// Width, px; 280 at least.
    pub width_px: f64,
    /// Greatest height of the picture itself, px; 160 at least. An upright picture is made smaller to keep to it.
    pub height_px: f64,
    /// Colours.
    pub palette: Palette,
}

/// Draws what the camera will see.
///
/// Shades and labelled lines show the green line (557.7 nm) of the mean oval on the ramp of the sky bowl, also in the
/// water, weakened by its reflectance. The root carries `data-frame-left`, `data-frame-top` and `data-px-per-pixel`, so
/// that a page can find a pixel of the picture: `x = left + (pixel + 0.5) * px_per_pixel`.
pub fn lens_view(report: &StandReport, style: &LensStyle) -> String {
    let scene = Scene::new(report, style);
    let facts = wrapped(&facts(report), scene.font_px, scene.width_px - 2.0 * SIDE_PX);
    let bottom = scene.frame.bottom() + scene.font_px * (0.9 + 1.4 * facts.len() as f64);
    let title = format!("Through the lens: {}, {}", report.request.site.name, scene.when);
    let lines = facts.iter().enumerate().map(|(index, words)| {
        let y = scene.frame.bottom() + scene.font_px * (1.5 + 1.4 * index as f64);
        text_at(words, SIDE_PX, y, scene.font_px, Anchor::Start, scene.theme.text)
    });
    svg::root(scene.width_px, bottom, &title, &report.text)
        .with("data-kind", "lens-view")
        .with("data-at", &report.request.at.to_string())
        .at("data-frame-left", scene.frame.left)
        .at("data-frame-top", scene.frame.top)
        .with("data-px-per-pixel", &format!("{:.6}", scene.px_per_pixel))
        .child(rect(0.0, 0.0, scene.width_px, bottom, &scene.theme.background.to_string()))
        .children(heading(report, &scene))
        .children(picture(report, &scene))
        .children(lines)
        .render()
}

/// Sizes and colours shared by the parts of one drawing.
struct Scene {
    width_px: f64,
    font_px: f64,
    palette: Palette,
    theme: &'static Theme,
    /// The picture on the drawing.
    frame: Area,
    px_per_pixel: f64,
    when: String,
}

impl Scene {
    fn new(report: &StandReport, style: &LensStyle) -> Self {
        let width_px = bounded(style.width_px, 280.0);
        let height_px = bounded(style.height_px, 160.0);
        let font_px = if width_px < 500.0 { 12.5 } else { 14.0 };
        let size = [report.field.width_px, report.field.height_px].map(|side| f64::from(side.max(1)));
        let px_per_pixel = ((width_px - 2.0 * SIDE_PX) / size[0]).min(height_px / size[1]);
        let (width, height) = (size[0] * px_per_pixel, size[1] * px_per_pixel);
        let frame = Area { left: (width_px - width) / 2.0, top: font_px + 12.0, width, height };
        let clock = LocalClock::of(&report.request.site);
        let at = report.request.at;
        Self {
            width_px,
            font_px,
            palette: style.palette,
            theme: style.palette.theme(),
            frame,
            px_per_pixel,
            when: format!("{} {}, {}", clock.time(at), clock.zone_name(at), clock.day(at)),
        }
    }

    /// Place of a pixel of the picture.
    fn place(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        (self.frame.left + (x + 0.5) * self.px_per_pixel, self.frame.top + (y + 0.5) * self.px_per_pixel)
    }

    /// Pixel of the picture at a place.
    fn pixel(&self, (x, y): (f64, f64)) -> [f64; 2] {
        [(x - self.frame.left) / self.px_per_pixel - 0.5, (y - self.frame.top) / self.px_per_pixel - 0.5]
    }

    /// Place of a point of a grid whose nodes reach from edge to edge.
    fn of_grid(&self, (column, row): (f64, f64), plane: &Plane) -> (f64, f64) {
        let share = |n: f64, count: usize| n / (count.max(2) - 1) as f64;
        (
            self.frame.left + share(column, plane.columns) * self.frame.width,
            self.frame.top + share(row, plane.rows) * self.frame.height,
        )
    }

    fn is_inside(&self, area: Area) -> bool {
        area.left >= self.frame.left
            && area.top >= self.frame.top
            && area.right() <= self.frame.right()
            && area.bottom() <= self.frame.bottom()
    }

    /// A label over the sky.
    fn sky_label(&self, text: &str, x: f64, centre_y: f64, anchor: Anchor) -> Element {
        let place = (x, centre_y + self.font_px * 0.36);
        haloed(text, place, self.font_px, anchor, self.theme.sky_ink, self.theme.sky_halo)
    }

    /// A path over the sky: a dark rim, then the line.
    fn sky_line(&self, path: &PathData, width: f64, dash: Option<&str>) -> Element {
        let pass = |colour: String, width: f64| {
            let element = path.clone().element().with("fill", "none").with("stroke", &colour).at("stroke-width", width);
            if let Some(dash) = dash { element.with("stroke-dasharray", dash) } else { element }
        };
        Element::new("g")
            .child(pass(self.theme.sky_halo.to_string(), width + 2.0).with("opacity", "0.75"))
            .child(pass(self.theme.sky_ink.to_string(), width))
    }
}

/// Chains as one path; each is closed where it runs around.
fn path_of(chains: &[Chain], plane: &Plane, scene: &Scene) -> PathData {
    const CLOSEST_PX: f64 = 0.8;
    let mut path = PathData::default();
    for chain in chains {
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for (index, point) in chain.points.iter().enumerate() {
            let (x, y) = scene.of_grid(*point, plane);
            let near = kept.last().is_some_and(|before| (before.0 - x).hypot(before.1 - y) < CLOSEST_PX);
            if !near || index + 1 == chain.points.len() {
                kept.push((x, y));
            }
        }
        if kept.len() > 1 {
            path.polyline(kept, chain.closed);
        }
    }
    path
}

/// Site and time above the picture.
fn heading(report: &StandReport, scene: &Scene) -> Vec<Element> {
    let base = scene.font_px + 2.0;
    let room = scene.width_px - text_width(&scene.when, scene.font_px) - 3.0 * SIDE_PX;
    let name = fitted(&report.request.site.name, scene.font_px, room);
    vec![
        text_at(&name, SIDE_PX, base, scene.font_px, Anchor::Start, scene.theme.text),
        text_at(&scene.when, scene.width_px - SIDE_PX, base, scene.font_px, Anchor::End, scene.theme.text),
    ]
}

/// The picture itself, from the back to the front, cut at its border.
fn picture(report: &StandReport, scene: &Scene) -> Vec<Element> {
    let mut taken = Taken::default();
    let terrain = Terrain::new(report);
    let marks = marks::draw(report, scene, &mut taken);
    let foreground = marks::foreground(report, scene, &mut taken);
    let frame = scene.frame;
    let whole = |fill: &str| rect(frame.left, frame.top, frame.width, frame.height, fill);
    let clip = Element::new("clipPath").with("id", "lens-frame").child(whole("#000"));
    let mut inside = vec![whole(&colour_at(0.0, scene.palette).to_string())];
    let mut labels = Vec::new();
    if let Some(sky) = light::sky(report) {
        inside.extend(light::shades(&sky, scene));
        let (lines, words) = light::contours(&sky, scene, &mut taken, |area| is_in_the_sky(report, scene, area));
        inside.extend(lines);
        labels = words;
    }
    inside.extend(marks);
    inside.extend(terrain.ground(report, scene));
    inside.extend(water(report, &terrain, scene));
    inside.extend(skyline(report, scene));
    inside.extend(foreground);
    inside.extend(terrain.beyond_the_lens(scene));
    inside.extend(thirds(scene));
    inside.extend(labels);
    vec![
        Element::new("defs").child(clip),
        Element::new("g").with("clip-path", "url(#lens-frame)").children(inside),
        whole("none").with("stroke", &scene.theme.text.to_string()).at("stroke-width", 1.5),
    ]
}

/// Whether a box lies above the skyline as a whole: its corners and the middle of its lower edge.
fn is_in_the_sky(report: &StandReport, scene: &Scene, area: Area) -> bool {
    let framing = Framing::new(&report.request.kit, &report.pointing);
    let middle = area.left + area.width / 2.0;
    let points = [
        (area.left, area.top),
        (area.right(), area.top),
        (area.left, area.bottom()),
        (area.right(), area.bottom()),
        (middle, area.bottom()),
    ];
    points.into_iter().all(|place| {
        let direction = framing.direction_of(scene.pixel(place));
        direction.is_some_and(|d| d.altitude_deg > report.request.site.skyline_deg(d.azimuth_deg))
    })
}

/// The sky in the water.
fn water(report: &StandReport, terrain: &Terrain, scene: &Scene) -> Vec<Element> {
    let mirrored = light::mirrored(report);
    let mut out = Vec::new();
    for (index, (outline, strength)) in terrain.mirrors(report, scene).into_iter().enumerate() {
        let id = format!("lens-water-{index}");
        let clip = Element::new("clipPath").with("id", &id).child(outline.clone().element());
        let mut shades = vec![outline.clone().element().with("fill", &colour_at(0.0, scene.palette).to_string())];
        shades.extend(mirrored.iter().flat_map(|plane| light::shades(plane, scene)));
        out.push(Element::new("defs").child(clip));
        out.push(
            Element::new("g")
                .with("clip-path", &format!("url(#{id})"))
                .with("opacity", &format!("{strength:.1}"))
                .children(shades),
        );
        out.push(
            outline
                .element()
                .with("fill", "none")
                .with("stroke", &scene.theme.sky_ink.to_string())
                .at("stroke-width", 0.8)
                .with("stroke-dasharray", "3 4")
                .with("opacity", "0.7"),
        );
    }
    out
}

fn skyline(report: &StandReport, scene: &Scene) -> Option<Element> {
    let mut path = PathData::default();
    for run in &report.skyline_px {
        path.polyline(run.iter().map(|pixel| scene.place(*pixel)), false);
    }
    let edge = || {
        let line = path.clone().element().with("fill", "none").with("stroke", &scene.theme.sky_ink.to_string());
        line.at("stroke-width", 1.0).with("opacity", "0.7")
    };
    (!path.is_empty()).then(edge)
}

/// Faint lines at the thirds of width and height.
fn thirds(scene: &Scene) -> Vec<Element> {
    let f = scene.frame;
    let ink = scene.theme.sky_ink.to_string();
    let faint = |from, to| line(from, to, &ink, 0.7).with("opacity", "0.35").with("stroke-dasharray", "1 6");
    [1.0 / 3.0, 2.0 / 3.0]
        .into_iter()
        .flat_map(|share| {
            let (x, y) = (f.left + share * f.width, f.top + share * f.height);
            [faint((x, f.top), (x, f.bottom())), faint((f.left, y), (f.right(), y))]
        })
        .collect()
}

/// What stands in words below the picture.
fn facts(report: &StandReport) -> Vec<String> {
    let p = &report.pointing;
    let field = &report.field;
    let mut facts = vec![
        format!("bearing {}", degrees_text(p.azimuth_deg)),
        format!("{} up", degrees_text(p.altitude_deg)),
        p.orientation.label().to_owned(),
        format!("{} by {}", degrees_text(field.horizontal_deg), degrees_text(field.vertical_deg)),
    ];
    match &report.light {
        Some(light) => {
            facts.push("lines: mean green light 557.7 nm, kR".to_owned());
            let arc = light.brightest_arc_kr;
            facts.push(format!(
                "brightest arc {} kR ({} to {})",
                kr_text(arc.value),
                kr_text(arc.low),
                kr_text(arc.high)
            ));
            facts.push(format!("{} in 10 of the light", light.share_inside.in_ten()));
        }
        None => facts.push("no Kp, so no light drawn".to_owned()),
    }
    facts
}
