//! Whether two pictures are one: the same, cut, mirrored, another frame of the same scene, or different.

use serde::{Deserialize, Serialize};

use super::agreement::may_be_surroundings;
use super::fingerprint::Fingerprint;
use super::grey::correlation;
use super::placing::{Fit, as_fine_as, best_fit};
use super::slopes::slope_correlation;
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

/// Correlation of detail from which two pictures are one, and below which they are different. Between them they are frames of
/// one scene. Found on rendered bursts and on pictures of people and stations (`docs/desk.md`).
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
/// Correlation of detail from which a larger part is cut from the other: it is read between the other's pixels, which costs some
/// hundredths. Cuts of real pictures had 0.937 and 0.943 at the lowest but one, parts of other pictures 0.921 at the most.
const ONE_CUT: f64 = 0.93;
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
        may_be_surroundings: may_be_surroundings(&under, &shown, is_whole),
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
    may_be_surroundings: bool,
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
        let by_stars = matches!(self.shift, StarShift::Kept { .. });
        match self.by_detail()? {
            one if one.is_copy() && self.may_be_surroundings && !by_stars => Some(LikenessKind::CannotTell),
            kind => Some(kind),
        }
    }

    fn by_detail(&self) -> Option<LikenessKind> {
        let share = self.region[2].max(self.region[3]);
        let is_one = match (self.best.mirrored, self.is_whole()) {
            (true, _) => LikenessKind::Mirrored,
            (false, true) => LikenessKind::Same,
            (false, false) => LikenessKind::Crop,
        };
        match self.shift {
            StarShift::Kept { .. } if self.detail >= ONE_PICTURE_BY_STARS => return Some(is_one),
            StarShift::Kept { .. } | StarShift::Moved { .. } | StarShift::Elsewhere { .. } => {
                return Some(LikenessKind::OtherFrame);
            }
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
        let enough = if self.is_whole() { ONE_PICTURE } else { ONE_CUT };
        match self.detail {
            detail if detail >= enough => Some(is_one),
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
            (LikenessKind::CannotTell, _) if self.may_be_surroundings => {
                format!("alike, but perhaps in what stands about one fixed camera alone{mirror}: look at both")
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
