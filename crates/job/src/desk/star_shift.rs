//! Whether the stars of two alike pictures are in the same places: a copy keeps them, the next frame of a burst does not.

use super::fingerprint::Fingerprint;
use super::grey::Grey;
use super::placing::Fit;

/// What the stars say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum StarShift {
    /// So many are where they were.
    Kept { stars: usize },
    /// So many have moved together, by so many pixels of the smaller picture.
    Moved { stars: usize, px: f64 },
    /// Both whole pictures have many, and hardly any where the other has one.
    Elsewhere { stars: usize },
    /// Too few, or too uncertain where they should be.
    NotTold,
}

/// Pairs from which stars say something.
const LEAST_PAIRS: usize = 8;
/// So many stars in both of two whole pictures, and no eight in the same places, are of another time: packing loses faint
/// stars, and of sixteen bright ones not more than half (a judgement).
const MANY_STARS: usize = 16;
/// Farthest that a star is looked for, shares of the longest side: some minutes of a wide lens.
const REACH: f64 = 0.02;
/// How far stars that moved alike may be apart, shares of the longest side.
const TOGETHER: f64 = 0.0012;
/// How well a part's place is known by its light, shares of the longest side of the larger picture: a tenth of a pixel of
/// the small copies. A whole picture's place is known.
const PLACE_SIGMA: f64 = 0.001;
/// Error of one star's place, px of the smaller picture: that of a faint star on a packed picture.
const STAR_PX: f64 = 0.35;
/// Least movement that is told, in its deviations.
const SIGNIFICANT: f64 = 4.0;
/// Shares of a side from which a picture is whole.
const WHOLE: f64 = 0.985;

pub(super) fn star_shift(outer: &Fingerprint, inner: &Fingerprint, fit: &Fit, grey: &Grey) -> StarShift {
    // places of both in shares of the outer picture's longest side
    let longest = grey.columns.max(grey.rows) as f64;
    let inner_size = inner.size_px().map(f64::from);
    let inner_longest = inner_size[0].max(inner_size[1]).max(1.0);
    let is_whole = fit.placed.width / grey.columns as f64 >= WHOLE;
    let [left, top] = if is_whole { [0.0, 0.0] } else { [fit.placed.left / longest, fit.placed.top / longest] };
    let width = if is_whole { grey.columns as f64 } else { fit.placed.width } / longest;
    let scale = width / (inner_size[0] / inner_longest);
    let there: Vec<[f64; 2]> = outer.stars().collect();
    let here: Vec<[f64; 2]> = inner
        .stars()
        .map(|[x, y]| {
            let x = if fit.mirrored { inner_size[0] / inner_longest - x } else { x };
            [left + scale * x, top + scale * y]
        })
        .collect();
    let Some((pairs, shift)) = common_shift(&here, &there) else {
        let stars = here.len().min(there.len());
        return if is_whole && stars >= MANY_STARS { StarShift::Elsewhere { stars } } else { StarShift::NotTold };
    };
    // pixels of the smaller picture in shares of the outer picture's longest side
    let outer_size = outer.size_px().map(f64::from);
    let pixel = (scale / inner_longest).max(1.0 / outer_size[0].max(outer_size[1]).max(1.0));
    let of_stars = STAR_PX * pixel * (2.0 / pairs as f64).sqrt();
    let sigma = if is_whole { of_stars } else { of_stars.hypot(PLACE_SIGMA) };
    let px = shift / pixel;
    match shift / sigma {
        moved if moved > SIGNIFICANT => StarShift::Moved { stars: pairs, px },
        _ if is_whole || shift < 2.0 * PLACE_SIGMA => StarShift::Kept { stars: pairs },
        _ => StarShift::NotTold,
    }
}

/// The shift that most stars share, and how many do; `None` where too few have a partner.
fn common_shift(here: &[[f64; 2]], there: &[[f64; 2]]) -> Option<(usize, f64)> {
    let steps: Vec<[f64; 2]> = here
        .iter()
        .flat_map(|[x, y]| there.iter().map(move |[u, v]| [u - x, v - y]))
        .filter(|[dx, dy]| dx.hypot(*dy) <= REACH)
        .collect();
    let near = |[ax, ay]: [f64; 2]| steps.iter().filter(move |[bx, by]| (ax - bx).hypot(ay - by) <= TOGETHER);
    let fullest = steps.iter().copied().max_by_key(|step| near(*step).count())?;
    let count = near(fullest).count();
    // by chance a step has a few others near it
    let by_chance = steps.len() as f64 * (TOGETHER / REACH).powi(2);
    if count < LEAST_PAIRS || (count as f64) < 4.0 * by_chance {
        return None;
    }
    let mean = |axis: usize| near(fullest).map(|step| step[axis]).sum::<f64>() / count as f64;
    Some((count, mean(0).hypot(mean(1))))
}
