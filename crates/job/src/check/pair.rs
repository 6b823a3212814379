//! Where two frames show the same star, so that they can be compared side by side.

use std::collections::HashMap;

use frame::Star;
use serde::Serialize;

/// Stars around the place that vote on how far the sky moved, and stars of the other frame that they may be.
const VOTERS: usize = 60;
const ELECTORATE: usize = 600;
/// Side of a bin of displacement, px: wider than a star, for the sky also turns between two frames.
const BIN_PX: f64 = 8.0;
/// How often unrelated stars may be taken for the same sky, and the fewest votes that are believed at all.
const WRONG_SHARE: f64 = 1e-3;
const LEAST_VOTES: usize = 3;

/// One place of the sky on two frames.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SamePlace {
    /// Place on the first frame as shown, px from the middle of its first pixel.
    pub first_px: [f64; 2],
    /// The same on the second.
    pub second_px: [f64; 2],
    /// Whether both are one star; if not, they are one place of the frame.
    pub on_star: bool,
    /// How the two are held together, in words.
    pub words: String,
}

/// Finds a star near a place of the first frame, and the same star on the second, by how the stars around it moved together.
///
/// * `size_px`: columns and rows of the frames, which are taken to be alike.
/// * `near_px`: place on the first frame as shown.
///
/// Where the stars do not agree, both places are `near_px`, and the words say so.
pub fn same_place(first: &[Star], second: &[Star], size_px: [usize; 2], near_px: [f64; 2]) -> SamePlace {
    let none = |words: &str| SamePlace {
        first_px: near_px,
        second_px: near_px,
        on_star: false,
        words: format!("{words}: both show the same place of the frame"),
    };
    if first.len() < 3 || second.len() < 3 {
        return none("too few stars");
    }
    let mut near: Vec<&Star> = first.iter().collect();
    near.sort_by(|a, b| distance(a, near_px).total_cmp(&distance(b, near_px)));
    near.truncate(VOTERS);
    let others: Vec<&Star> = second.iter().take(ELECTORATE).collect();
    let Some(shift) = common_shift(&near, &others, size_px) else {
        return none("the stars do not agree on how the sky moved");
    };
    // of the nearest voters the plainest star that both frames show
    let partner = |star: &Star| {
        let there = [star.x_px + shift[0], star.y_px + shift[1]];
        let nearest = others.iter().min_by(|a, b| distance(a, there).total_cmp(&distance(b, there)));
        nearest.filter(|found| distance(found, there) <= BIN_PX).map(|found| [found.x_px, found.y_px])
    };
    let pairs = near.iter().filter_map(|star| Some((*star, partner(star)?)));
    let best = pairs.max_by(|a, b| worth(a.0, near_px).total_cmp(&worth(b.0, near_px)));
    let Some((star, second_px)) = best else { return none("no star is on both") };
    let moved = (second_px[0] - star.x_px).hypot(second_px[1] - star.y_px);
    SamePlace {
        first_px: [star.x_px, star.y_px],
        second_px,
        on_star: true,
        words: format!("locked on one star, which moved by {moved:.1} px between the two"),
    }
}

/// A plain star near by is better than a plainer one far off; one that is full shows no focus.
fn worth(star: &Star, near_px: [f64; 2]) -> f64 {
    let full = if star.saturated { 0.2 } else { 1.0 };
    full * star.snr / (100.0 + distance(star, near_px))
}

fn distance(star: &Star, place: [f64; 2]) -> f64 {
    (star.x_px - place[0]).hypot(star.y_px - place[1])
}

/// The displacement that most pairs share, if that is no chance.
fn common_shift(near: &[&Star], others: &[&Star], size_px: [usize; 2]) -> Option<[f64; 2]> {
    let mut bins: HashMap<(i64, i64), Vec<[f64; 2]>> = HashMap::new();
    for star in near {
        for other in others {
            let shift = [other.x_px - star.x_px, other.y_px - star.y_px];
            // every displacement lies in four bins, half overlapping: no agreement is cut apart by an edge
            let [x, y] = shift.map(|part| place(part / (0.5 * BIN_PX)));
            for bin in [(x, y), (x - 1, y), (x, y - 1), (x - 1, y - 1)] {
                bins.entry(bin).or_default().push(shift);
            }
        }
    }
    let votes = bins.into_iter().max_by(|a, b| a.1.len().cmp(&b.1.len()).then_with(|| b.0.cmp(&a.0)))?.1;
    let area = (size_px[0] as f64 * size_px[1] as f64).max(1.0);
    let by_chance = near.len() as f64 * others.len() as f64 * BIN_PX * BIN_PX / area;
    // displacements reach from one corner to the other, in four overlapping sets of bins
    let bins = 4.0 * 4.0 * area / (BIN_PX * BIN_PX);
    let needed = votes_beyond_chance(by_chance, WRONG_SHARE / bins);
    (votes.len() >= needed.max(LEAST_VOTES)).then(|| [0, 1].map(|axis| median(votes.iter().map(|shift| shift[axis]))))
}

/// The least number that a Poisson count of this mean reaches with less than this probability.
fn votes_beyond_chance(mean: f64, probability: f64) -> usize {
    let mut term = (-mean).exp();
    let mut below = 0.0;
    for number in 0..VOTERS * 4 {
        // the tail by its first term once it is small: the sum of the others is then less than it
        if number as f64 > mean && 2.0 * term < probability && below > 0.5 {
            return number;
        }
        below += term;
        term *= mean / (number as f64 + 1.0);
    }
    usize::MAX
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}

#[expect(clippy::cast_possible_truncation, reason = "a displacement within a frame; saturates")]
fn place(value: f64) -> i64 {
    value.floor() as i64
}
