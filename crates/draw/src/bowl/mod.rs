//! The sky bowl: the whole sky as seen lying on one's back.

mod bodies;
mod contour;
mod field;
mod furniture;
mod legend;
mod projection;

use job::SkymapReport;
use quantity::Horizontal;

use crate::label::{Anchor, Area, Taken, fitted, haloed, kr_text, text_at, text_width};
use crate::local_time::LocalClock;
use crate::ramp::{HIGHEST_KR, LOWEST_KR, colour_at, place_on_ramp};
use crate::strip::bounded;
use crate::svg::{self, Element, PathData, rect};
use crate::theme::{Palette, Theme};
use contour::{Chain, Edge};
use field::Field;
use projection::Projection;

/// Brightness at which a labelled line is drawn, kR.
const CONTOURS_KR: [f64; 7] = [0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0];
/// Shades a decade.
const SHADES_PER_DECADE: u32 = 6;

/// How a sky bowl is to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BowlStyle<'a> {
    /// Width, px; 280 at least. The legend below makes the drawing a little taller than wide.
    pub size_px: f64,
    /// Colours.
    pub palette: Palette,
    /// Outline of the camera's frame on the sky, joined in order and closed.
    pub frame_outline: Option<&'a [Horizontal]>,
}

impl BowlStyle<'_> {
    /// A bowl without a frame on it.
    pub fn new(size_px: f64, palette: Palette) -> Self {
        Self { size_px, palette, frame_outline: None }
    }
}

/// Draws the sky of a report: zenith in the middle, north up, east left, altitude evenly from rim to middle.
///
/// Shades and labelled lines show the green line (557.7 nm) of the mean oval, after extinction. The root carries
/// `data-center-x`, `data-center-y` and `data-radius` (px of the horizon) so that a page can find a direction:
/// `x = center_x - r sin(azimuth)`, `y = center_y - r cos(azimuth)`, `r = radius (90 - altitude) / 90`.
pub fn sky_bowl(report: &SkymapReport, style: &BowlStyle<'_>) -> String {
    picture(report, style, Words::All).render()
}

/// How much is written around the bowl.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Words {
    /// Site and time above, the facts below: it stands alone.
    All,
    /// The ramp alone: what it stands in says the rest.
    Ramp,
}

/// The bowl as an element.
pub(crate) fn picture(report: &SkymapReport, style: &BowlStyle<'_>, words: Words) -> Element {
    let scene = Scene::new(report, style, words);
    let facts = if words == Words::All { legend::facts(report) } else { Vec::new() };
    let legend = legend::draw(&scene, &facts);
    let title = format!("Sky bowl: {}, {}", report.request.site.name, scene.when(report));
    svg::root(scene.width_px, legend.bottom, &title, &report.text)
        .with("data-kind", "sky-bowl")
        .with("data-at", &report.request.at.to_string())
        .at("data-center-x", scene.projection.center_x)
        .at("data-center-y", scene.projection.center_y)
        .at("data-radius", scene.projection.radius)
        .child(rect(0.0, 0.0, scene.width_px, legend.bottom, &scene.theme.background.to_string()))
        .children(if words == Words::All { heading(report, &scene) } else { Vec::new() })
        .children(sky(report, style, &scene))
        .children(legend.elements)
}

/// Whether even a bright arc would stay below what the ramp tells apart.
fn hardly_any(report: &SkymapReport) -> bool {
    report.brightest_arc_kr.high < LOWEST_KR && report.brightest_mean_kr.green_5577_kr < LOWEST_KR
}

/// Sizes, colours and projection shared by the parts of one drawing.
struct Scene {
    width_px: f64,
    font_px: f64,
    palette: Palette,
    theme: &'static Theme,
    projection: Projection,
    clock: LocalClock,
}

impl Scene {
    fn new(report: &SkymapReport, style: &BowlStyle<'_>, words: Words) -> Self {
        let width_px = bounded(style.size_px, 280.0);
        let font_px = if width_px < 500.0 { 12.5 } else { 14.0 };
        let side = font_px + 10.0;
        let radius = width_px / 2.0 - side;
        let lines = if words == Words::All { 2.0 } else { 1.0 };
        let head = lines * (font_px + 9.0);
        Self {
            width_px,
            font_px,
            palette: style.palette,
            theme: style.palette.theme(),
            projection: Projection { center_x: width_px / 2.0, center_y: head + radius, radius },
            clock: LocalClock::of(&report.request.site),
        }
    }

    /// "22:40 CET, 14 Mar".
    fn when(&self, report: &SkymapReport) -> String {
        let at = report.request.at;
        format!("{} {}, {}", self.clock.time(at), self.clock.zone_name(at), self.clock.day(at))
    }

    /// A label over the sky.
    fn sky_label(&self, text: &str, x: f64, centre_y: f64, anchor: Anchor) -> Element {
        let place = (x, centre_y + self.font_px * 0.36);
        haloed(text, place, self.font_px, anchor, self.theme.sky_ink, self.theme.sky_halo)
    }

    /// A path over the sky: a dark rim, then the line.
    fn sky_line(&self, path: &PathData, width: f64, dash: Option<&str>) -> Element {
        let pass = |colour: String, width: f64| {
            let element = path
                .clone()
                .element()
                .with("fill", "none")
                .with("stroke", &colour)
                .at("stroke-width", width)
                .with("stroke-linejoin", "round");
            if let Some(dash) = dash { element.with("stroke-dasharray", dash) } else { element }
        };
        Element::new("g")
            .child(pass(self.theme.sky_halo.to_string(), width + 2.0).with("opacity", "0.75"))
            .child(pass(self.theme.sky_ink.to_string(), width))
    }
}

/// Site and time above the bowl.
fn heading(report: &SkymapReport, scene: &Scene) -> Vec<Element> {
    let when = scene.when(report);
    let base = scene.font_px + 4.0;
    let room = scene.width_px - text_width(&when, scene.font_px) - 36.0;
    let name = fitted(&report.request.site.name, scene.font_px, room);
    vec![
        text_at(&name, 10.0, base, scene.font_px, Anchor::Start, scene.theme.text),
        text_at(&when, scene.width_px - 10.0, base, scene.font_px, Anchor::End, scene.theme.text),
    ]
}

/// Everything inside the rim and the letters around it, from the back to the front.
fn sky(report: &SkymapReport, style: &BowlStyle<'_>, scene: &Scene) -> Vec<Element> {
    let field = Field::of(report);
    let mut taken = Taken::default();
    let bodies = bodies::draw(report, scene, &mut taken);
    let rings = furniture::rings(report, scene, &mut taken);
    let (lines, labels) = contours(&field, scene, &mut taken);
    let mut out = shades(&field, scene);
    out.extend(rings);
    out.extend(lines);
    out.extend(furniture::skyline(report, scene));
    out.extend(furniture::frame(style.frame_outline, scene));
    out.extend(bodies);
    out.extend(labels);
    out.extend(furniture::compass(scene));
    out.extend(bodies::sun_mark(report, scene));
    out
}

/// The sky painted from the darkest shade to the lightest, each over the last.
fn shades(field: &Field, scene: &Scene) -> Vec<Element> {
    let p = &scene.projection;
    let ground = colour_at(0.0, scene.palette).to_string();
    let mut out =
        vec![Element::new("circle").at("cx", p.center_x).at("cy", p.center_y).at("r", p.radius).with("fill", &ground)];
    let decades = (HIGHEST_KR / LOWEST_KR).log10();
    let step = 1.0 / f64::from(SHADES_PER_DECADE);
    let mut level = LOWEST_KR.log10() + step / 2.0;
    while level < LOWEST_KR.log10() + decades && level <= field.highest() {
        let mut path = PathData::default();
        for chain in contour::chains(field, level, Edge::Closed) {
            path.polyline(thinned(&chain, p), true);
        }
        if !path.is_empty() {
            let share = place_on_ramp(10f64.powf(level + step / 2.0));
            let fill = colour_at(share, scene.palette).to_string();
            out.push(path.element().with("fill", &fill).with("fill-rule", "evenodd"));
        }
        level += step;
    }
    out
}

/// Lines of equal brightness, and a label on the longest piece of each.
fn contours(field: &Field, scene: &Scene, taken: &mut Taken) -> (Vec<Element>, Vec<Element>) {
    let (mut lines, mut labels) = (Vec::new(), Vec::new());
    for kr in CONTOURS_KR {
        let mut path = PathData::default();
        let mut longest: Vec<(f64, f64)> = Vec::new();
        for chain in contour::chains(field, kr.log10(), Edge::Open) {
            let points = thinned(&chain, &scene.projection);
            if length(&points) > length(&longest) {
                longest.clone_from(&points);
            }
            path.polyline(points, chain.closed);
        }
        if path.is_empty() {
            continue;
        }
        let whole_decade = (kr.log10() - kr.log10().round()).abs() < 1e-6;
        let (width, dash) = if whole_decade { (1.8, None) } else { (1.1, Some("5 3")) };
        lines.push(scene.sky_line(&path, width, dash).with("data-contour-kr", &kr_text(kr)));
        labels.extend(contour_label(&format!("{} kR", kr_text(kr)), &longest, scene, taken));
    }
    (lines, labels)
}

/// Puts a label on a line where nothing else stands, near its middle if possible.
fn contour_label(text: &str, points: &[(f64, f64)], scene: &Scene, taken: &mut Taken) -> Option<Element> {
    const PLACES: [f64; 13] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88, 0.05, 0.95, 0.45, 0.55];
    let p = &scene.projection;
    for share in PLACES {
        let (x, y) = point_along(points, share)?;
        let reach = (x - p.center_x).hypot(y - p.center_y) + text_width(text, scene.font_px) / 2.0;
        if reach < p.radius && taken.take_if_free(Area::of_label(text, (x, y), scene.font_px)) {
            return Some(scene.sky_label(text, x, y, Anchor::Middle));
        }
    }
    None
}

/// The point of a line nearest to a share of its points.
fn point_along(points: &[(f64, f64)], share: f64) -> Option<(f64, f64)> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "share is 0..1")]
    let index = (share * points.len() as f64) as usize;
    points.get(index).or(points.last()).copied()
}

fn length(points: &[(f64, f64)]) -> f64 {
    points.windows(2).map(|pair| (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1)).sum()
}

/// A chain on the drawing without points closer than a pixel to the last.
fn thinned(chain: &Chain, projection: &Projection) -> Vec<(f64, f64)> {
    const CLOSEST_PX: f64 = 1.2;
    let mut kept: Vec<(f64, f64)> = Vec::new();
    let last = chain.points.len().saturating_sub(1);
    for (index, &direction) in chain.points.iter().enumerate() {
        let (x, y) = projection.place(direction);
        let near = kept.last().is_some_and(|before| (before.0 - x).hypot(before.1 - y) < CLOSEST_PX);
        if !near || index == last {
            kept.push((x, y));
        }
    }
    kept
}
