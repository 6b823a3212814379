//! The aurora over the picture: shades and labelled lines, and the same in the water.

use job::StandReport;

use super::{Scene, path_of};
use crate::contour::{Border, Chain, Plane};
use crate::label::{Anchor, Area, Taken, kr_text};
use crate::ramp::{HIGHEST_KR, LOWEST_KR, colour_at, place_on_ramp};
use crate::svg::Element;

/// Brightness at which a labelled line is drawn, kR: as on the sky bowl.
const CONTOURS_KR: [f64; 7] = [0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0];
/// Shades a decade.
const SHADES_PER_DECADE: u32 = 8;
/// Darkest value told apart, logarithm of kR.
const FLOOR_LOG: f64 = -4.0;

/// Logarithm of the sky's light over the picture, carried on below the horizon so that no line bends there.
pub(super) fn sky(report: &StandReport) -> Option<Plane> {
    report.grid.as_ref().map(|grid| plane(grid.columns, grid.rows, &grid.green_5577_kr))
}

/// The same for the water, carried on above the horizon.
pub(super) fn mirrored(report: &StandReport) -> Option<Plane> {
    let grid = report.grid.as_ref()?;
    grid.mirrored_5577_kr.iter().any(Option::is_some).then(|| plane(grid.columns, grid.rows, &grid.mirrored_5577_kr))
}

fn plane(columns: u32, rows: u32, kr: &[Option<f64>]) -> Plane {
    let (columns, rows) = (columns as usize, rows as usize);
    let mut values: Vec<Option<f64>> = kr.iter().map(|kr| kr.map(log_kr)).collect();
    values.resize(columns * rows, None);
    for column in 0..columns {
        carry((0..rows).map(|row| row * columns + column), &mut values);
        carry((0..rows).rev().map(|row| row * columns + column), &mut values);
    }
    Plane { columns, rows, values: values.into_iter().map(|value| value.unwrap_or(FLOOR_LOG)).collect() }
}

/// Gives a node without a value that of the node before it.
fn carry(nodes: impl Iterator<Item = usize>, values: &mut [Option<f64>]) {
    let mut last = None;
    for node in nodes {
        values[node] = values[node].or(last);
        last = values[node];
    }
}

fn log_kr(kr: f64) -> f64 {
    if kr > 0.0 && kr.is_finite() { kr.log10().max(FLOOR_LOG) } else { FLOOR_LOG }
}

/// Painted from the darkest shade to the lightest, each over the last.
pub(super) fn shades(plane: &Plane, scene: &Scene) -> Vec<Element> {
    let highest = plane.values.iter().copied().fold(FLOOR_LOG, f64::max);
    let step = 1.0 / f64::from(SHADES_PER_DECADE);
    let mut out = Vec::new();
    let mut level = LOWEST_KR.log10() + step / 2.0;
    while level < HIGHEST_KR.log10() && level <= highest {
        let path = path_of(&plane.chains(level, Border::Closed), plane, scene);
        if !path.is_empty() {
            let fill = colour_at(place_on_ramp(10f64.powf(level + step / 2.0)), scene.palette).to_string();
            out.push(path.element().with("fill", &fill).with("fill-rule", "evenodd"));
        }
        level += step;
    }
    out
}

/// Lines of equal brightness with their labels, lines first; a label stands only where `in_the_sky` has it.
pub(super) fn contours(
    plane: &Plane,
    scene: &Scene,
    taken: &mut Taken,
    in_the_sky: impl Fn(Area) -> bool,
) -> (Vec<Element>, Vec<Element>) {
    let (mut lines, mut labels) = (Vec::new(), Vec::new());
    for kr in CONTOURS_KR {
        let chains = plane.chains(kr.log10(), Border::Open);
        let path = path_of(&chains, plane, scene);
        if path.is_empty() {
            continue;
        }
        let whole_decade = (kr.log10() - kr.log10().round()).abs() < 1e-6;
        let (width, dash) = if whole_decade { (1.6, None) } else { (1.0, Some("5 3")) };
        lines.push(scene.sky_line(&path, width, dash).with("data-contour-kr", &kr_text(kr)));
        let text = format!("{} kR", kr_text(kr));
        let area = label_area(&text, &chains, plane, scene, &in_the_sky, taken);
        labels.extend(area.map(|(x, y)| scene.sky_label(&text, x, y, Anchor::Middle)));
    }
    (lines, labels)
}

/// Place of a label on the piece that has most room for it, where nothing else stands.
fn label_area(
    text: &str,
    chains: &[Chain],
    plane: &Plane,
    scene: &Scene,
    in_the_sky: &impl Fn(Area) -> bool,
    taken: &mut Taken,
) -> Option<(f64, f64)> {
    const PLACES: [f64; 11] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.45, 0.55];
    let area = |place: (f64, f64)| Area::of_label(text, place, scene.font_px);
    let free = |chain: &Chain| -> Vec<(f64, f64)> {
        let places = chain.points.iter().map(|point| scene.of_grid(*point, plane));
        places.filter(|place| scene.is_inside(area(*place)) && in_the_sky(area(*place))).collect()
    };
    let roomiest = chains.iter().map(free).max_by_key(Vec::len)?;
    PLACES.into_iter().find_map(|share| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "share is 0..1")]
        let place = *roomiest.get((share * roomiest.len() as f64) as usize)?;
        taken.take_if_free(area(place)).then_some(place)
    })
}
