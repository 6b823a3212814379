//! Where one picture lies in another: the likest places by slopes and by light in small copies, looked at closer.

use super::fingerprint::GREY_PX;
use super::grey::{Grey, Placed, correlation, whole};
use super::slopes::{Slopes, parts};

/// Longest side of the copies that are looked over whole, px.
const COARSE_PX: usize = 24;
/// Smallest part of a picture's longest side that is looked for.
const SMALLEST_PART: f64 = 0.3;
/// Factor between the sizes tried: half a pixel of the coarse copy at its edge.
const SIZE_STEP: f64 = 0.94;
/// Correlation of the coarse copies from which a place is looked at closer, and the number of such places.
const WORTH_A_LOOK: f64 = 0.75;
const LOOKED_AT: usize = 1;
/// The same for the slopes of copies of this longest side, px. Half a pixel beside its place a part's slopes still agree by
/// this much.
const SLOPES_PX: usize = 48;
const SLOPES_WORTH_A_LOOK: f32 = 0.4;
const SLOPES_LOOKED_AT: usize = 2;
/// Fit in copies of half the size from which the last steps are worth their time: what is called alike fits better.
const WORTH_LAST_STEPS: f64 = 0.6;

/// Where one picture lies in the other, and how well it fits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    pub(super) placed: Placed,
    pub(super) mirrored: bool,
    pub(super) second_in_first: bool,
    correlation: f64,
}

impl Fit {
    /// The same in copies of another size.
    fn scaled(self, factor: f64) -> Self {
        let Placed { left, top, width } = self.placed;
        Self { placed: Placed { left: factor * left, top: factor * top, width: factor * width }, ..self }
    }

    /// Left, top, width and height in shares of the outer picture's sides.
    pub(super) fn region(&self, outer: &Grey, inner: &Grey) -> [f64; 4] {
        let height = self.placed.width * inner.rows as f64 / inner.columns as f64;
        let (columns, rows) = (outer.columns as f64, outer.rows as f64);
        [self.placed.left / columns, self.placed.top / rows, self.placed.width / columns, height / rows]
    }
}

/// The best place of either in the other, straight or as in a mirror; `None` where nothing fits.
pub(super) fn best_fit(a: &Grey, b: &Grey) -> Option<Fit> {
    let (mut by_light, mut by_slopes) = (Vec::new(), Vec::new());
    for second_in_first in [true, false] {
        let (outer, inner) = if second_in_first { (a, b) } else { (b, a) };
        for mirrored in [false, true] {
            let inner = if mirrored { inner.mirrored() } else { inner.clone() };
            let way = |fit: Fit| Fit { mirrored, second_in_first, ..fit };
            by_light.extend(coarse(outer, &inner).map(way).filter(|fit| fit.correlation >= WORTH_A_LOOK));
            by_slopes.extend(sloped(outer, &inner).into_iter().map(way));
        }
    }
    let likest = |mut fits: Vec<Fit>, most: usize| {
        fits.sort_by(|a, b| b.correlation.total_cmp(&a.correlation));
        fits.truncate(most);
        fits
    };
    let looked_at = likest(by_slopes, SLOPES_LOOKED_AT).into_iter().chain(likest(by_light, LOOKED_AT));
    let closer = |[a, b]: [&Grey; 2], fit: Fit, steps: [f64; 2], light_counts: f64| {
        let (outer, inner) = if fit.second_in_first { (a, b) } else { (b, a) };
        let inner = if fit.mirrored { inner.mirrored() } else { inner.clone() };
        closer(outer, &inner, fit, steps, light_counts)
    };
    let (half_a, half_b) = (a.resized_to(GREY_PX / 2)?, b.resized_to(GREY_PX / 2)?);
    let best = looked_at
        .map(|fit| closer([&half_a, &half_b], fit.scaled(0.5), STEPS, LIGHT_COUNTS))
        .max_by(|a, b| a.correlation.total_cmp(&b.correlation))
        .filter(|fit| fit.correlation >= WORTH_LAST_STEPS)?;
    let led = closer([a, b], best.scaled(2.0), LAST_STEPS, LIGHT_COUNTS);
    // a clipped or falling light leads a little beside the place that the detail has
    Some(closer([a, b], led, DETAIL_STEPS, 0.0))
}

/// The best place by slopes for each size, with how far beyond chance it is.
fn sloped(outer: &Grey, inner: &Grey) -> Vec<Fit> {
    let Some(small) = outer.resized_to(SLOPES_PX) else { return Vec::new() };
    let Some(slopes) = Slopes::of(&small) else { return Vec::new() };
    let scale = outer.columns as f64 / small.columns as f64;
    parts(inner, SLOPES_PX, SIZE_STEP, SMALLEST_PART)
        .into_iter()
        .filter_map(|part| {
            let fit = slopes.best(&part).filter(|fit| fit.correlation >= SLOPES_WORTH_A_LOOK)?;
            let [left, top] = fit.corner_px.map(|px| px as f64 * scale);
            let placed = Placed { left, top, width: part.size_px[0] as f64 * scale };
            let correlation = f64::from(fit.beyond_chance(&part));
            Some(Fit { placed, mirrored: false, second_in_first: true, correlation })
        })
        .collect()
}

/// The best place of one picture in the other at a quarter of the size, for each size that it may have there.
fn coarse(outer: &Grey, inner: &Grey) -> impl Iterator<Item = Fit> {
    let scale = GREY_PX as f64 / COARSE_PX as f64;
    let small = outer.resized_to(COARSE_PX);
    let inner = inner.clone();
    let most = outer.columns as f64 / scale;
    let mut width = small.as_ref().map_or(0.0, |small| small.columns as f64);
    let mut widths = Vec::new();
    let smallest = SMALLEST_PART * most;
    while width >= smallest.max(4.0) {
        widths.push(width);
        width *= SIZE_STEP;
    }
    widths.dedup_by_key(|width| whole(width.round()));
    widths.into_iter().filter_map(move |width| {
        let small = small.as_ref()?;
        let columns = whole(width.round());
        let rows = whole((width * inner.rows as f64 / inner.columns as f64).round());
        // a hair taller than the other is a rounding, no picture beside it
        let rows = if rows == small.rows + 1 { small.rows } else { rows };
        if rows < 3 || rows > small.rows || columns > small.columns {
            return None;
        }
        let part = inner.resized(columns, rows)?;
        let places = (0..=small.rows - rows).flat_map(|top| (0..=small.columns - columns).map(move |left| (left, top)));
        let mut window = vec![0.0f32; columns * rows];
        let mut best: Option<(f64, usize, usize)> = None;
        for (left, top) in places {
            for (row, line) in window.chunks_mut(columns).enumerate() {
                let from = (top + row) * small.columns + left;
                line.copy_from_slice(&small.values[from..from + columns]);
            }
            let fit = correlation(&window, &part.values);
            if best.is_none_or(|(most, ..)| fit > most) {
                best = Some((fit, left, top));
            }
        }
        let (fit, left, top) = best?;
        let placed = Placed { left: left as f64 * scale, top: top as f64 * scale, width: columns as f64 * scale };
        Some(Fit { placed, mirrored: false, second_in_first: true, correlation: fit })
    })
}

/// First and last step in which places are looked at closer, px: all of them in copies of half the size, then the best.
const STEPS: [f64; 2] = [1.0, 0.25];
const LAST_STEPS: [f64; 2] = [1.0, 0.02];
const DETAIL_STEPS: [f64; 2] = [0.5, 0.02];
/// What the light itself counts beside its detail: it leads to a place from further away.
const LIGHT_COUNTS: f64 = 0.5;

/// Moves and sizes the part until its detail fits best, in steps that are halved.
fn closer(outer: &Grey, inner: &Grey, start: Fit, [mut step, last_step]: [f64; 2], light_counts: f64) -> Fit {
    let least = SMALLEST_PART * SIZE_STEP * outer.columns.max(outer.rows) as f64;
    let inner = &as_fine_as(inner, start.placed);
    let detail = inner.detail();
    let fit = |placed: Placed| {
        let height = placed.width * inner.rows as f64 / inner.columns as f64;
        // half a pixel over the edge is a rounding
        let inside = placed.width.max(height) >= least
            && placed.left >= -0.5
            && placed.top >= -0.5
            && placed.left + placed.width <= outer.columns as f64 + 0.5
            && placed.top + height <= outer.rows as f64 + 0.5;
        let under = outer.part_under(inner, placed);
        let light = if light_counts > 0.0 { correlation(&under.values, &inner.values) } else { 0.0 };
        let of_detail = correlation(&under.detail().values, &detail.values);
        if inside { light_counts * light + (1.0 - light_counts) * of_detail } else { -1.0 }
    };
    let mut best = (inside(outer, inner, start.placed), 0.0);
    best.1 = fit(best.0);
    while step >= last_step {
        let mut is_better = false;
        for [dx, dy, dw] in MOVES {
            let placed = Placed {
                // a wider part grows to both sides
                left: best.0.left + step * (dx - 0.5 * dw),
                top: best.0.top + step * (dy - 0.5 * dw * inner.rows as f64 / inner.columns as f64),
                width: best.0.width + step * dw,
            };
            let there = fit(placed);
            if there > best.1 {
                best = (placed, there);
                is_better = true;
            }
        }
        if !is_better {
            step *= 0.5;
        }
    }
    Fit { placed: best.0, correlation: best.1, ..start }
}

const MOVES: [[f64; 3]; 14] = [
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
    [1.0, 1.0, 0.0],
    [-1.0, -1.0, 0.0],
    [1.0, -1.0, 0.0],
    [-1.0, 1.0, 0.0],
    [0.5, 0.5, 1.0],
    [-0.5, -0.5, -1.0],
    [-0.5, -0.5, 1.0],
    [0.5, 0.5, -1.0],
];

/// A part with as many pixels as it covers: what is cut out is sharper than the picture it was cut from.
pub(super) fn as_fine_as(inner: &Grey, placed: Placed) -> Grey {
    let scale = placed.width / inner.columns as f64;
    let side = |pixels: usize| whole((pixels as f64 * scale).round()).clamp(1, pixels);
    inner.resized(side(inner.columns), side(inner.rows)).unwrap_or_else(|| inner.clone())
}

/// A place pushed inside the larger picture.
fn inside(outer: &Grey, inner: &Grey, placed: Placed) -> Placed {
    let shape = inner.rows as f64 / inner.columns as f64;
    let width = placed.width.min(outer.columns as f64).min((outer.rows as f64 + 0.5) / shape);
    let left = placed.left.clamp(0.0, (outer.columns as f64 - width).max(0.0));
    let top = placed.top.clamp(0.0, (outer.rows as f64 - width * shape).max(0.0));
    Placed { left, top, width }
}
