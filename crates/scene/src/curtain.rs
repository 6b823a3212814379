//! Curtains: sheets drawn ray by ray along their field lines.

use sky::Air;

use crate::canvas::Canvas;
use crate::emission::{Column, Columns, HIGHEST_KM, LOWEST_KM};
use crate::field_lines::{FieldLines, HEIGHTS_KM, at_height};
use crate::forms::{Curtain, share_at};
use crate::grid::{Grid, lifted};
use crate::sheet::{GAUSSIAN_AREA, Palette, Shape};
use crate::vector::{V3, norm};

/// Distance of neighbouring dabs in deviations: the sum is even to a thousandth.
const DAB_STEP: f64 = 1.4;
/// Deviation of the narrowest dab, cells.
const NARROWEST: f64 = 0.5;
/// Length over which the sheet's winding is felt out, km.
const PROBE_KM: f64 = 0.5;
/// Widest dab, cells.
const WIDEST: f64 = 20.0;
/// Least and greatest step along the sheet, km.
const STEP_KM: [f64; 2] = [0.04, 4.0];
/// Share of the brightest ray below which one is left out.
const FAINTEST: f64 = 1e-4;
/// Where the tops of all columns have gone, as a share of the whole.
const TOP_SHARE: f64 = 0.9995;

/// What the sheets are drawn on.
pub(crate) struct Easel<'a> {
    pub(crate) grid: &'a Grid,
    pub(crate) lines: &'a FieldLines,
    pub(crate) columns: &'a Columns,
    pub(crate) air: &'a Air,
}

/// Draws a curtain at an age in the middle of an exposure; onto the mirror too where there is water.
pub(crate) fn draw(
    easel: &Easel<'_>,
    curtain: &Curtain,
    (age_s, exposure_s): (f64, f64),
    canvas: &mut Canvas,
    mut mirror: Option<&mut Canvas>,
) {
    let palette = Palette::new(easel.columns, curtain);
    let column_kr = palette.column_kr(curtain) * share_at(&curtain.course, age_s);
    if column_kr <= 0.0 {
        return;
    }
    let whole = Shape { curtain, age_s, exposure_s, aside_km: 0.0 };
    for layer in layers(whole.sigma_km(), widest_km(easel.grid)) {
        let shape = Shape { aside_km: layer.aside_km, ..whole };
        let light_kr = column_kr * layer.share;
        draw_layer(easel, &shape, &palette, (light_kr, layer.sigma_km), canvas, mirror.as_deref_mut());
    }
}

/// One of the sheets that a thick one is made of.
#[derive(Debug, Clone, Copy)]
struct Layer {
    aside_km: f64,
    share: f64,
    sigma_km: f64,
}

/// Sheets on each side of the middle one, and the distance of the outermost in deviations.
const SIDE_LAYERS: i32 = 6;
const OUTERMOST: f64 = 2.4;

/// Thickest sheet that a dab can draw at the nearest, km.
fn widest_km(grid: &Grid) -> f64 {
    WIDEST * grid.cell_sr(grid.pixel(grid.columns / 2, grid.rows / 2)).sqrt() * HEIGHTS_KM[1]
}

/// A sheet that is too thick for one dab as thinner ones side by side, with the same deviation together.
fn layers(sigma_km: f64, most_km: f64) -> Vec<Layer> {
    if sigma_km <= most_km {
        return vec![Layer { aside_km: 0.0, share: 1.0, sigma_km }];
    }
    let apart_km = (sigma_km * sigma_km - most_km * most_km).sqrt();
    let place = |i: i32| OUTERMOST * f64::from(i) / f64::from(SIDE_LAYERS);
    let weight = |i: i32| (-0.5 * place(i) * place(i)).exp();
    let total: f64 = (-SIDE_LAYERS..=SIDE_LAYERS).map(weight).sum();
    (-SIDE_LAYERS..=SIDE_LAYERS)
        .map(|i| Layer { aside_km: apart_km * place(i), share: weight(i) / total, sigma_km: most_km })
        .collect()
}

fn draw_layer(
    easel: &Easel<'_>,
    shape: &Shape<'_>,
    palette: &Palette,
    (column_kr, sigma_km): (f64, f64),
    canvas: &mut Canvas,
    mut mirror: Option<&mut Canvas>,
) {
    let curtain = shape.curtain;
    let [west_km, east_km] = curtain.ends_km;
    let mut u_km = west_km;
    let mut plane_km = easel.lines.plane_of(shape.place(u_km), [u_km, curtain.poleward_km]);
    let mut line = easel.lines.line(plane_km);
    while u_km < east_km {
        let step_km = step_km(easel, shape, sigma_km, u_km, &line).min(east_km - u_km).max(STEP_KM[0]);
        let (here, next) = (shape.place(u_km), shape.place(u_km + step_km));
        let length_km = (next[0] - here[0]).hypot(next[1] - here[1]);
        let middle_km = u_km + 0.5 * step_km;
        plane_km = easel.lines.plane_of(shape.place(middle_km), plane_km);
        line = easel.lines.line(plane_km);
        let light_kr = column_kr * shape.light(middle_km);
        if light_kr > FAINTEST * column_kr {
            let area_km2 = length_km * curtain.thickness_km * GAUSSIAN_AREA;
            let column = palette.column(shape, middle_km);
            ray(easel, &line, column, light_kr * area_km2, sigma_km, canvas, mirror.as_deref_mut());
        }
        u_km += step_km;
    }
}

/// Step along the sheet for which neighbouring rays melt together on the cells.
fn step_km(
    easel: &Easel<'_>,
    shape: &Shape<'_>,
    sigma_km: f64,
    u_km: f64,
    line: &[V3; crate::field_lines::LEVELS],
) -> f64 {
    let range_km = norm(line[1]).max(60.0);
    let cell_rad =
        easel.grid.cell_sr(easel.grid.view.pixel_of_vector(lifted(easel.air, line[1])).unwrap_or([0.0; 2])).sqrt();
    let sigma_km = sigma_km.max(NARROWEST * cell_rad * range_km);
    // a fold runs faster through space than through u
    let (a, b) = (shape.place(u_km), shape.place(u_km + PROBE_KM));
    let speed = ((b[0] - a[0]).hypot(b[1] - a[1]) / PROBE_KM).clamp(0.3, 20.0);
    (DAB_STEP * sigma_km / speed).min(0.7 * shape.curtain.ray_km / speed.sqrt()).clamp(STEP_KM[0], STEP_KM[1])
}

/// One field line's light, from below upward; `light` is kR km² of 557.7 nm.
fn ray(
    easel: &Easel<'_>,
    line: &[V3; crate::field_lines::LEVELS],
    column: &Column,
    light: f64,
    sigma_km: f64,
    canvas: &mut Canvas,
    mut mirror: Option<&mut Canvas>,
) {
    let grid = easel.grid;
    let top_km = column_top_km(column);
    let mut edges = [LOWEST_KM; 9];
    edges[1..8].copy_from_slice(&[90.0, 100.0, HEIGHTS_KM[1], 150.0, 200.0, 270.0, 360.0]);
    edges[8] = HIGHEST_KM;
    for pair in edges.windows(2) {
        let (low_km, high_km) = (pair[0], pair[1].min(top_km));
        if high_km <= low_km {
            break;
        }
        let ends = [low_km, high_km].map(|h| lifted(easel.air, at_height(line, h)));
        if ends.iter().all(|end| end[2] < -0.01) {
            continue;
        }
        for (flip, target) in [(1.0, Some(&mut *canvas)), (-1.0, mirror.as_deref_mut())] {
            let Some(target) = target else { continue };
            let seen = ends.map(|[e, n, u]| grid.view.pixel_of_vector([e, n, flip * u]).map(|pixel| grid.cell(pixel)));
            let [Some(a), Some(b)] = seen else { continue };
            let apart = (a[0] - b[0]).hypot(a[1] - b[1]);
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            if !target.reaches(middle, 0.5 * apart + 8.0) {
                continue;
            }
            let range_km = norm(at_height(line, 0.5 * (low_km + high_km)));
            let middle_px = grid.pixel_at(middle);
            let sigma = (sigma_km / range_km / grid.cell_sr(middle_px).sqrt()).max(NARROWEST);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of dabs along a ray")]
            let dabs = ((apart / (DAB_STEP * sigma)).ceil().clamp(1.0, 4000.0)) as usize;
            let mut below = column.below(low_km);
            for dab in 0..dabs {
                let share = |k: f64| low_km + (high_km - low_km) * k / dabs as f64;
                let above = column.below(share(dab as f64 + 1.0));
                let kr = std::array::from_fn::<f64, 3, _>(|i| light * (above[i] - below[i]));
                below = above;
                let place = at_height(line, share(dab as f64 + 0.5));
                let [e, n, u] = lifted(easel.air, place);
                if u < 0.0 {
                    continue;
                }
                let Some(pixel) = grid.view.pixel_of_vector([e, n, flip * u]) else { continue };
                let cell = grid.cell(pixel);
                if target.reaches(cell, sigma) {
                    let scale = 1.0 / (crate::vector::dot(place, place) * grid.cell_sr(pixel));
                    target.dab(cell, sigma, kr.map(|light| light * scale));
                }
            }
        }
    }
}

/// Height below which nearly all light of every line lies.
fn column_top_km(column: &Column) -> f64 {
    let whole = column.below(HIGHEST_KM);
    let mut top_km = HIGHEST_KM;
    while top_km > 150.0 {
        let below = column.below(top_km - 10.0);
        if (0..3).any(|i| below[i] < TOP_SHARE * whole[i]) {
            break;
        }
        top_km -= 10.0;
    }
    top_km
}
