//! Whether two pictures are one: the same, cut, mirrored, another frame of the same scene, or different.

use serde::{Deserialize, Serialize};

use super::fingerprint::{Fingerprint, GREY_PX};
use super::grey::{Grey, Placed, correlation, whole};
use super::slopes::{Slopes, parts, slope_correlation};
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
    /// Alike, but too plain, or in too small a part, to say whether they are one.
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
const LOOKED_AT: usize = 1;
/// The same for the slopes of copies of this longest side, px. Half a pixel beside its place a part's slopes still agree by
/// this much.
const SLOPES_PX: usize = 48;
const SLOPES_WORTH_A_LOOK: f32 = 0.4;
const SLOPES_LOOKED_AT: usize = 2;
/// Correlation of detail from which two pictures are one, and below which they are different. Between them they are frames of
/// one scene. Found on rendered bursts and their copies (`docs/desk.md`), not on anybody's pictures.
const ONE_PICTURE: f64 = 0.95;
const ONE_SCENE: f64 = 0.6;
/// Share of the longest side below which a part may be like another picture by chance, the pixels that it must have to be called
/// a cut by its light alone, and those from which it is worth a look. Among pictures of people and stations parts of 27 by 18 px
/// fitted others' by 0.97, and such of 40 by 25 by 0.92 (`docs/desk.md`).
const SMALL_PART: f64 = 0.6;
const TOLD_PX: usize = 800;
const WORTH_A_LOOK_PX: usize = 600;
/// Correlation of detail and of slopes from which such a part is worth a look.
const MAY_BE_CUT: f64 = 0.9;
/// Correlation of detail from which a cut of a scene is one of another frame of it.
const CUT_OF_ONE_SCENE: f64 = 0.8;
/// Correlation of detail from which stars in their places show a copy.
const ONE_PICTURE_BY_STARS: f64 = 0.85;
/// Spread of the detail, steps of 8 bits, below which a picture is too plain to be told from another.
const LEAST_DETAIL: f64 = 0.6;
/// So many stars make up for it.
const ENOUGH_STARS: usize = 8;
/// Shares of a side that a picture may lack and still be whole: a line of pixels that some programs lose, and our own error.
const WHOLE: f64 = 0.985;

/// Whether two pictures are one.
///
/// Smaller and larger copies, JPEG of any quality, brightness, cuts down to three tenths of the longest side, and mirror
/// images are found; turning by an angle and frames around a picture are not. Pictures without stars whose aurora keeps
/// still are taken for one.
pub fn compare(first: &Fingerprint, second: &Fingerprint) -> Likeness {
    match [first.is_plain(), second.is_plain()] {
        [false, false] => {}
        [of_first, of_second] => return too_plain(of_first, of_second),
    }
    let (a, b) = (first.grey(), second.grey());
    let Some(best) = best_fit(&a, &b) else { return different(0.0) };
    let (larger, smaller) = if best.second_in_first { (&a, &b) } else { (&b, &a) };
    let shown = if best.mirrored { smaller.mirrored() } else { smaller.clone() };
    let shown = as_fine_as(&shown, best.placed);
    let under = larger.part_under(&shown, best.placed);
    // a cut is read between the pixels of the larger picture, which blurs that one alone
    let is_whole = best.placed.width / larger.columns as f64 >= WHOLE;
    let [under, shown] = if is_whole { [under, shown] } else { [under.smooth(), shown.smooth()] };
    let (detail_larger, detail_smaller) = (under.detail(), shown.detail());
    // light that one of them lost by clipping counts against neither
    let detail = correlation(&detail_larger.values, &detail_smaller.values)
        .max(correlation(&under.toned_like(&shown).detail().values, &detail_smaller.values))
        .max(correlation(&detail_larger.values, &shown.toned_like(&under).detail().values));
    if detail < ONE_SCENE {
        return different(detail);
    }
    let (outer, inner) = if best.second_in_first { (first, second) } else { (second, first) };
    let shift = star_shift(outer, inner, &best, larger);
    let found = Found {
        best,
        region: best.region(larger, smaller),
        detail,
        slopes: slope_correlation(&under, &shown),
        pixels: shown.values.len(),
        shift,
        is_plain: detail_larger.spread().min(detail_smaller.spread()) < LEAST_DETAIL,
    };
    found.likeness()
}

impl Fingerprint {
    /// Whether the picture has too little in it to be told from others: an even or evenly graded light, without stars.
    pub fn is_plain(&self) -> bool {
        self.stars().count() < ENOUGH_STARS && self.grey().detail().spread() < LEAST_DETAIL
    }
}

struct Found {
    best: Fit,
    region: [f64; 4],
    detail: f64,
    slopes: f64,
    /// Pixels of the small copies that were laid over each other.
    pixels: usize,
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
        let Some(kind) = self.kind() else { return different(self.detail) };
        let [sentence, other_way] =
            [self.best.second_in_first, !self.best.second_in_first].map(|other_in_this| self.told(kind, other_in_this));
        Likeness {
            kind,
            confidence: self.confidence(kind),
            region: Some(self.region),
            second_in_first: self.best.second_in_first,
            detail_correlation: self.detail,
            sentence,
            other_way,
        }
    }

    fn is_whole(&self) -> bool {
        self.region[2] >= WHOLE && self.region[3] >= WHOLE
    }

    /// How they are alike; `None` where it may be chance.
    fn kind(&self) -> Option<LikenessKind> {
        let share = self.region[2].max(self.region[3]);
        let is_one = match (self.best.mirrored, self.is_whole()) {
            (true, _) => LikenessKind::Mirrored,
            (false, true) => LikenessKind::Same,
            (false, false) => LikenessKind::Crop,
        };
        match self.shift {
            StarShift::Moved { .. } | StarShift::Elsewhere { .. } => return Some(LikenessKind::OtherFrame),
            StarShift::Kept { .. } if self.detail >= ONE_PICTURE_BY_STARS => return Some(is_one),
            StarShift::Kept { .. } => return Some(LikenessKind::OtherFrame),
            StarShift::NotTold => {}
        }
        if share < SMALL_PART {
            let may_be_cut = self.detail.min(self.slopes) >= MAY_BE_CUT && self.pixels >= WORTH_A_LOOK_PX;
            let is_cut = self.detail >= ONE_PICTURE && self.pixels >= TOLD_PX && !self.is_plain;
            return may_be_cut.then_some(if is_cut { is_one } else { LikenessKind::CannotTell });
        }
        if self.is_plain {
            return Some(LikenessKind::CannotTell);
        }
        match self.detail {
            detail if detail >= ONE_PICTURE => Some(is_one),
            detail if self.is_whole() || detail >= CUT_OF_ONE_SCENE => Some(LikenessKind::OtherFrame),
            _ => None,
        }
    }

    /// * `other_in_this`: whether the other picture lies in the one that tells.
    fn told(&self, kind: LikenessKind, other_in_this: bool) -> String {
        let percent = (100.0 * self.region[2] * self.region[3]).round();
        let sure = match self.shift {
            StarShift::Kept { stars } => format!("{stars} stars in the same places"),
            _ => "no stars to tell it from the next frame of a quiet sky".to_owned(),
        };
        let mirror = if self.best.mirrored { ", as in a mirror" } else { "" };
        match (kind, self.shift) {
            (LikenessKind::OtherFrame, StarShift::Moved { stars, px }) => {
                format!("the same scene, but {stars} stars have moved by {px:.1} px: another frame, no copy")
            }
            (LikenessKind::OtherFrame, StarShift::Elsewhere { stars }) => {
                format!("the same scene, but its {stars} brightest stars are elsewhere: another frame, no copy")
            }
            (LikenessKind::OtherFrame, _) => {
                "the same scene, but not the same light in it: another frame, or strongly changed".to_owned()
            }
            (LikenessKind::CannotTell, _) if self.is_plain => {
                "alike, but too plain to say whether they are one".to_owned()
            }
            (LikenessKind::CannotTell, _) if other_in_this => {
                format!("the other may be cut out of this picture, {percent:.0} % of it{mirror}: look at both")
            }
            (LikenessKind::CannotTell, _) => {
                format!("may be cut out of the other picture, {percent:.0} % of it{mirror}: look at both")
            }
            (LikenessKind::Mirrored, _) if self.is_whole() => format!("the same picture as in a mirror; {sure}"),
            (LikenessKind::Mirrored, _) if other_in_this => {
                format!("the other is {percent:.0} % of this picture, as in a mirror; {sure}")
            }
            (LikenessKind::Mirrored, _) => format!("{percent:.0} % of the other picture, as in a mirror; {sure}"),
            (LikenessKind::Crop, _) if other_in_this => {
                format!("the other is cut out of this picture, {percent:.0} % of it; {sure}")
            }
            (LikenessKind::Crop, _) => format!("cut out of the other picture, {percent:.0} % of it; {sure}"),
            (LikenessKind::Same, _) => format!("the same picture; {sure}"),
            (LikenessKind::Different, _) => DIFFERENT.to_owned(),
        }
    }

    /// A judgement: how far the detail is from the limits, and whether stars back it.
    fn confidence(&self, kind: LikenessKind) -> f64 {
        let by_detail = ((self.detail - ONE_PICTURE) / (1.0 - ONE_PICTURE)).clamp(0.0, 1.0);
        match (kind, self.shift) {
            (LikenessKind::CannotTell, _) => 0.0,
            (LikenessKind::OtherFrame, StarShift::Moved { .. }) => 0.95,
            (LikenessKind::OtherFrame, StarShift::Elsewhere { .. }) => 0.85,
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

fn too_plain(of_first: bool, of_second: bool) -> Likeness {
    let [mine, others] =
        ["this picture is too plain to be told from others", "the other is too plain to be told from others"]
            .map(str::to_owned);
    let (sentence, other_way) = match (of_first, of_second) {
        (true, true) => (mine.clone(), mine),
        (true, false) => (mine, others),
        (false, _) => (others, mine),
    };
    Likeness { kind: LikenessKind::CannotTell, confidence: 0.0, sentence, other_way, ..different(0.0) }
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
    /// The same in copies of another size.
    fn scaled(self, factor: f64) -> Self {
        let Placed { left, top, width } = self.placed;
        Self { placed: Placed { left: factor * left, top: factor * top, width: factor * width }, ..self }
    }

    fn region(&self, outer: &Grey, inner: &Grey) -> [f64; 4] {
        let height = self.placed.width * inner.rows as f64 / inner.columns as f64;
        let (columns, rows) = (outer.columns as f64, outer.rows as f64);
        [self.placed.left / columns, self.placed.top / rows, self.placed.width / columns, height / rows]
    }
}

fn best_fit(a: &Grey, b: &Grey) -> Option<Fit> {
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
        .filter(|fit| fit.correlation >= ONE_SCENE)?;
    Some(closer([a, b], best.scaled(2.0), LAST_STEPS, LAST_LIGHT_COUNTS))
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
const LAST_STEPS: [f64; 2] = [0.5, 0.02];
/// What the light itself counts beside its detail, in the first steps and in the last: it leads to a place from further away,
/// and a clipped light leads a little beside it.
const LIGHT_COUNTS: f64 = 0.5;
const LAST_LIGHT_COUNTS: f64 = 0.0;

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
