//! Whether a fitted lens is more than chance.

use super::chance::log10_poisson_tail;
use super::fit::numbers_fitted;
use super::grow::{Grown, LEAST_MISS_PX, Stars, matched, shown};
use super::spots::Spots;

/// Chance of the matches above which no lens is given, decimal logarithm. A blind search looks at up to 10^6 patterns.
const LARGEST_LOG10_CHANCE: f64 = -11.0;
/// Fewest stars of an answer: nine numbers of a lens need five, the rest are proof.
const FEWEST_STARS: usize = 8;
/// The same where the lens is known beforehand.
const FEWEST_STARS_OF_KNOWN: usize = 6;
/// Largest deviation along one axis, in diagonals of the picture, and never below this many px.
const LARGEST_SIGMA: f64 = 6e-4;
const LARGEST_SIGMA_PX: f64 = 0.8;
/// Below this number of pairs one wrong star bends the lens: then only this share of that deviation is allowed.
const FEW_PAIRS: usize = 24;
const FEW_SHARE: f64 = 0.5;
/// Brightest catalogue stars of the picture that are counted.
const COUNTED: usize = 100;
/// Ring around each star's place in which the spots that chance puts there are counted, in radii of a match.
const RING: f64 = 5.0;
/// Matches must reach over this share of the picture's starry part, by the root mean square distance from their middle.
const LEAST_SPREAD: f64 = 0.5;
/// Cells along each side in which the matches are compared.
const CELLS: usize = 3;
/// A cell is compared when so many bright stars and spots are in it,
const LEAST_IN_CELL: usize = 5;
/// and is no part of the lens's picture when fewer than this share of its stars are found.
const LEAST_SHARE: f64 = 0.2;

/// Corners that do not fit from which the lens is the wrong one: a foreground hides two.
const WRONG_CORNERS: usize = 3;

/// What the counts say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Verdict {
    Sure {
        /// Decimal logarithm of the chance.
        log10_chance: f64,
    },
    /// More than chance, but not over all of the picture.
    InPart,
    Chance,
}

/// Fewest stars of an answer.
pub(crate) fn fewest_stars(spots: &Spots) -> usize {
    if spots.known.is_some() { FEWEST_STARS_OF_KNOWN } else { FEWEST_STARS }
}

/// Counts the brightest stars that the lens puts into the picture, and what chance would find in their places.
pub(crate) fn judge(grown: &Grown, spots: &Spots, stars: &Stars<'_>) -> Verdict {
    let mut expected_stars = shown(&grown.pose, stars, spots);
    expected_stars.truncate(COUNTED.max(spots.places.len() / 2));
    let miss = (3.0 * grown.sigma_px).max(LEAST_MISS_PX);
    let matches = matched(&expected_stars, spots, miss);
    let ring: usize = expected_stars.iter().map(|(_, place)| spots.near(*place, RING * miss).count()).sum();
    let by_ring = ring.saturating_sub(matches.len()) as f64 / (RING * RING - 1.0);
    let area = spots.size_px[0] * spots.size_px[1];
    let even = spots.places.len() as f64 * std::f64::consts::PI * miss * miss / area;
    let expected = by_ring.max(even * expected_stars.len() as f64);
    // the numbers fitted bring half as many stars to their places by themselves
    let proof = matches.len().saturating_sub(numbers_fitted(grown.pairs.len(), &spots.picture()).div_ceil(2));
    let log10_chance = log10_poisson_tail(proof, expected);
    let share = if grown.pairs.len() < FEW_PAIRS { FEW_SHARE } else { 1.0 };
    let sharp = grown.sigma_px <= share * (LARGEST_SIGMA * spots.diagonal_px()).max(LARGEST_SIGMA_PX);
    if log10_chance > LARGEST_LOG10_CHANCE || matches.len() < fewest_stars(spots) || !sharp {
        return Verdict::Chance;
    }
    let found: Vec<[f64; 2]> = matches.iter().map(|(spot, _)| spots.places[*spot]).collect();
    if spread(&found) < LEAST_SPREAD * spread(&spots.places) || stitched(&expected_stars, &matches, spots) {
        return Verdict::InPart;
    }
    Verdict::Sure { log10_chance }
}

/// Root mean square distance from the mean place.
fn spread(places: &[[f64; 2]]) -> f64 {
    let n = places.len().max(1) as f64;
    let mean = [0, 1].map(|axis: usize| places.iter().map(|p| p[axis]).sum::<f64>() / n);
    (places.iter().map(|p| (p[0] - mean[0]).powi(2) + (p[1] - mean[1]).powi(2)).sum::<f64>() / n).sqrt()
}

/// Whether most of the cells that hold stars and spots, or the corners, do not hold them in the same places.
fn stitched(expected: &[(usize, [f64; 2])], matches: &[(usize, usize)], spots: &Spots) -> bool {
    let cell = |place: [f64; 2]| {
        let [i, j] = [0, 1].map(|axis: usize| {
            crate::whole::index(place[axis].max(0.0) * CELLS as f64 / spots.size_px[axis]).min(CELLS - 1)
        });
        i * CELLS + j
    };
    let mut counts = [[0usize; 3]; CELLS * CELLS];
    for (_, place) in expected {
        counts[cell(*place)][0] += 1;
    }
    for place in &spots.places {
        counts[cell(*place)][1] += 1;
    }
    for (spot, _) in matches {
        counts[cell(spots.places[*spot])][2] += 1;
    }
    let (mut all, mut wrong, mut wrong_corners) = (0, 0, 0);
    for (i, [stars, spots, matched]) in counts.into_iter().enumerate() {
        if stars < LEAST_IN_CELL || spots < LEAST_IN_CELL {
            continue;
        }
        let is_wrong = (matched as f64) < LEAST_SHARE * stars as f64;
        let is_corner = i / CELLS != 1 && i % CELLS != 1;
        all += 1;
        wrong += usize::from(is_wrong);
        wrong_corners += usize::from(is_wrong && is_corner);
    }
    2 * wrong > all || wrong_corners >= WRONG_CORNERS
}
