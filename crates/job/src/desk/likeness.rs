//! Whether two pictures are one: the same, cut, mirrored, another frame of the same scene, or different.

use serde::{Deserialize, Serialize};

use super::fingerprint::{Fingerprint, GREY_PX};
use super::grey::{Grey, Placed, correlation, whole};
use super::star_shift::{StarShift, star_shift};

/// How two pictures are alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum LikenessKind {
    /// The same picture, perhaps made smaller, packed or made brighter.
    Same,
    /// One is cut from the other.
    Crop,
    /// One is the other (or cut from it) as in a mirror.
    Mirrored,
    /// The same scene, but stars or aurora have moved: another frame, no copy.
    OtherFrame,
    /// Nothing in common that could be found.
    Different,
    /// Alike, but too plain to say whether they are one.
    CannotTell,
}

/// Likeness of two pictures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Likeness {
    /// How they are alike.
    pub kind: LikenessKind,
    /// How sure that is, 0..1: a judgement from the fit of the detail.
    pub confidence: f64,
    /// Where the one lies in the other, as left, top, width, height in shares of its sides, and `None` where they are
    /// different.
    pub region: Option<[f64; 4]>,
    /// Whether the second picture lies in the first; else the first lies in the second.
    pub second_in_first: bool,
    /// Correlation of what is finer than a fifteenth of the picture, -1..1.
    pub detail_correlation: f64,
    /// The same in a sentence, as the first picture would tell it of the second.
    pub sentence: String,
    /// The same as the second would tell it of the first.
    #[serde(default)]
    pub other_way: String,
}

impl Likeness {
    /// The same with first and second picture exchanged.
    #[must_use]
    pub fn exchanged(self) -> Self {
        Self { second_in_first: !self.second_in_first, sentence: self.other_way, other_way: self.sentence, ..self }
    }
}

/// Longest side of the copies that are looked over whole, px.
const COARSE_PX: usize = 24;
/// Smallest part of a picture's longest side that is looked for.
const SMALLEST_PART: f64 = 0.3;
/// Factor between the sizes tried: half a pixel of the coarse copy at its edge.
const SIZE_STEP: f64 = 0.94;
/// Correlation of the coarse copies from which a place is looked at closer, and the number of such places.
const WORTH_A_LOOK: f64 = 0.75;
const LOOKED_AT: usize = 4;
/// Correlation of detail from which two pictures are one, and below which they are different. Between them they are frames of
/// one scene. Found on rendered bursts and their copies (`docs/desk.md`), not on anybody's pictures.
const ONE_PICTURE: f64 = 0.95;
const ONE_SCENE: f64 = 0.6;
/// Spread of the detail, steps of 8 bits, below which a picture is too plain to be told from another.
const LEAST_DETAIL: f64 = 0.6;
/// Shares of a side that a picture may lack and still be whole: a line of pixels that some programs lose, and our own error.
const WHOLE: f64 = 0.985;

/// Whether two pictures are one.
///
/// Smaller and larger copies, JPEG of any quality, brightness, cuts down to three tenths of the longest side, and mirror
/// images are found; turning by an angle and frames around a picture are not. Pictures without stars whose aurora keeps
/// still are taken for one.
pub fn compare(first: &Fingerprint, second: &Fingerprint) -> Likeness {
    let (a, b) = (first.grey(), second.grey());
    let Some(best) = best_fit(&a, &b) else { return different(0.0) };
    let (larger, smaller) = if best.second_in_first { (&a, &b) } else { (&b, &a) };
    let shown = if best.mirrored { smaller.mirrored() } else { smaller.clone() };
    let shown = as_fine_as(&shown, best.placed);
    let under = larger.part_under(&shown, best.placed);
    let (detail_larger, detail_smaller) = (under.detail(), shown.detail());
    let detail = correlation(&detail_larger.values, &detail_smaller.values);
    if detail < ONE_SCENE {
        return different(detail);
    }
    let (outer, inner) = if best.second_in_first { (first, second) } else { (second, first) };
    let shift = star_shift(outer, inner, &best, larger);
    let is_plain = detail_larger.spread().min(detail_smaller.spread()) < LEAST_DETAIL;
    let found = Found { best, region: best.region(larger, smaller), detail, shift, is_plain };
    found.likeness()
}

struct Found {
    best: Fit,
    region: [f64; 4],
    detail: f64,
    shift: StarShift,
    is_plain: bool,
}

impl LikenessKind {
    /// Whether one picture is the other, or a part of it.
    pub fn is_copy(self) -> bool {
        match self {
            Self::Same | Self::Crop | Self::Mirrored => true,
            Self::OtherFrame | Self::Different | Self::CannotTell => false,
        }
    }
}

impl Found {
    fn likeness(&self) -> Likeness {
        let is_whole = self.region[2] >= WHOLE && self.region[3] >= WHOLE;
        let percent = (100.0 * self.region[2] * self.region[3]).round();
        let [kind_and_sentence, other_way] = [self.best.second_in_first, !self.best.second_in_first]
            .map(|other_in_this| self.told(other_in_this, is_whole, percent));
        let (kind, sentence) = kind_and_sentence;
        Likeness {
            kind,
            confidence: self.confidence(kind),
            region: Some(self.region),
            second_in_first: self.best.second_in_first,
            detail_correlation: self.detail,
            sentence,
            other_way: other_way.1,
        }
    }

    /// * `other_in_this`: whether the other picture lies in the one that tells.
    fn told(&self, other_in_this: bool, is_whole: bool, percent: f64) -> (LikenessKind, String) {
        match self.shift {
            StarShift::Moved { stars, px } => (
                LikenessKind::OtherFrame,
                format!("the same scene, but {stars} stars have moved by {px:.1} px: another frame, no copy"),
            ),
            StarShift::NotTold | StarShift::Kept { .. } if self.detail < ONE_PICTURE => (
                LikenessKind::OtherFrame,
                "the same scene, but not the same light in it: another frame, or strongly changed".to_owned(),
            ),
            StarShift::NotTold if self.is_plain => {
                (LikenessKind::CannotTell, "alike, but too plain to say whether they are one".to_owned())
            }
            told => {
                let sure = match told {
                    StarShift::Kept { stars } => format!("{stars} stars in the same places"),
                    _ => "no stars to tell it from the next frame of a quiet sky".to_owned(),
                };
                match (self.best.mirrored, is_whole) {
                    (true, true) => (LikenessKind::Mirrored, format!("the same picture as in a mirror; {sure}")),
                    (true, false) if other_in_this => (
                        LikenessKind::Mirrored,
                        format!("the other is {percent:.0} % of this picture, as in a mirror; {sure}"),
                    ),
                    (true, false) => {
                        (LikenessKind::Mirrored, format!("{percent:.0} % of the other picture, as in a mirror; {sure}"))
                    }
                    (false, true) => (LikenessKind::Same, format!("the same picture; {sure}")),
                    (false, false) if other_in_this => (
                        LikenessKind::Crop,
                        format!("the other is cut out of this picture, {percent:.0} % of it; {sure}"),
                    ),
                    (false, false) => {
                        (LikenessKind::Crop, format!("cut out of the other picture, {percent:.0} % of it; {sure}"))
                    }
                }
            }
        }
    }

    /// A judgement: how far the detail is from the limits, and whether stars back it.
    fn confidence(&self, kind: LikenessKind) -> f64 {
        let by_detail = ((self.detail - ONE_PICTURE) / (1.0 - ONE_PICTURE)).clamp(0.0, 1.0);
        match (kind, self.shift) {
            (LikenessKind::CannotTell, _) => 0.0,
            (LikenessKind::OtherFrame, StarShift::Moved { .. }) => 0.95,
            (LikenessKind::OtherFrame, _) => 0.7,
            (_, StarShift::Kept { .. }) => 0.9 + 0.09 * by_detail,
            _ => 0.6 + 0.3 * by_detail,
        }
    }
}

const DIFFERENT: &str = "nothing in common that could be found";

fn different(detail: f64) -> Likeness {
    Likeness {
        kind: LikenessKind::Different,
        confidence: if detail < 0.5 * ONE_SCENE { 0.95 } else { 0.8 },
        region: None,
        second_in_first: true,
        detail_correlation: detail,
        sentence: DIFFERENT.to_owned(),
        other_way: DIFFERENT.to_owned(),
    }
}

/// Where one picture lies in the other, and how well it fits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    pub(super) placed: Placed,
    pub(super) mirrored: bool,
    pub(super) second_in_first: bool,
    correlation: f64,
}

impl Fit {
    fn region(&self, outer: &Grey, inner: &Grey) -> [f64; 4] {
        let height = self.placed.width * inner.rows as f64 / inner.columns as f64;
        let (columns, rows) = (outer.columns as f64, outer.rows as f64);
        [self.placed.left / columns, self.placed.top / rows, self.placed.width / columns, height / rows]
    }
}

fn best_fit(a: &Grey, b: &Grey) -> Option<Fit> {
    let mut fits = Vec::new();
    for second_in_first in [true, false] {
        let (outer, inner) = if second_in_first { (a, b) } else { (b, a) };
        for mirrored in [false, true] {
            let inner = if mirrored { inner.mirrored() } else { inner.clone() };
            fits.extend(coarse(outer, &inner).map(|fit| Fit { mirrored, second_in_first, ..fit }));
        }
    }
    fits.sort_by(|a, b| b.correlation.total_cmp(&a.correlation));
    fits.truncate(LOOKED_AT);
    let closer = fits.into_iter().filter(|fit| fit.correlation >= WORTH_A_LOOK).map(|fit| {
        let (outer, inner) = if fit.second_in_first { (a, b) } else { (b, a) };
        let inner = if fit.mirrored { inner.mirrored() } else { inner.clone() };
        closer(outer, &inner, fit)
    });
    closer.max_by(|a, b| a.correlation.total_cmp(&b.correlation))
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

/// Moves and sizes the part until its detail fits best: steps of the coarse copy, halved down to a fiftieth of a pixel.
fn closer(outer: &Grey, inner: &Grey, start: Fit) -> Fit {
    /// First step, px of the fine copies, and the last.
    const STEPS: [f64; 2] = [2.0, 0.02];
    let inner = &as_fine_as(inner, start.placed);
    let detail = inner.detail();
    let fit = |placed: Placed| {
        let height = placed.width * inner.rows as f64 / inner.columns as f64;
        // half a pixel over the edge is a rounding
        let inside = placed.left >= -0.5
            && placed.top >= -0.5
            && placed.left + placed.width <= outer.columns as f64 + 0.5
            && placed.top + height <= outer.rows as f64 + 0.5;
        let under = outer.part_under(inner, placed);
        let all = correlation(&under.values, &inner.values);
        if inside { 0.5 * (all + correlation(&under.detail().values, &detail.values)) } else { -1.0 }
    };
    let mut best = (inside(outer, inner, start.placed), 0.0);
    best.1 = fit(best.0);
    let mut step = STEPS[0];
    while step >= STEPS[1] {
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

const MOVES: [[f64; 3]; 10] = [
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
    [0.5, 0.5, 1.0],
    [-0.5, -0.5, -1.0],
    [-0.5, -0.5, 1.0],
    [0.5, 0.5, -1.0],
];

/// A part with as many pixels as it covers: what is cut out is sharper than the picture it was cut from.
fn as_fine_as(inner: &Grey, placed: Placed) -> Grey {
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
