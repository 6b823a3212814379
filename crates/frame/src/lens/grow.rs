//! From a pattern outward: stars matched in growing circles, and the lens fitted to them each time.

use super::fit::{Pair, Pose, fit};
use super::search::Candidate;
use super::sky_index::SkyIndex;
use super::spots::Spots;
use super::vector::{Vector, dot, length, turn};

/// First circle, in sizes of the pattern, and how it grows.
const FIRST_REACH: f64 = 1.6;
const GROWTH: f64 = 1.4;
/// A star beyond the fitted circle may be off by this share of its radius, the lens's bending not being known there,
const REACH_MISS: f64 = 0.014;
/// but by no more than this share of the distance between spots, or chance matches take over.
const SPACING_SHARE: f64 = 0.22;
/// Share of the pairs, the ones next to the axis, from which another projection is begun, per cent.
const INNER_PERCENT: usize = 25;
/// Fewest pairs to go on with: two more than the four of the pattern.
const FEWEST_PAIRS: usize = 6;
/// Pairs that a fit on the way outward rests on at most: nine numbers by more than ten pairs each. The last ones take all.
const ENOUGH_PAIRS: usize = 120;
/// Rounds over the whole picture at the end.
const LAST_ROUNDS: usize = 4;
/// A star belongs to the fit within this many deviations.
const PAIR_SIGMAS: f64 = 3.5;
/// Closest that places are compared, px.
pub(crate) const LEAST_MISS_PX: f64 = 1.2;

/// Catalogue stars that may be in the picture, for one depth.
pub(crate) struct Stars<'a> {
    pub(crate) index: &'a SkyIndex,
    pub(crate) depth: usize,
}

/// A lens fitted to the whole picture.
#[derive(Debug, Clone)]
pub(crate) struct Grown {
    pub(crate) pose: Pose,
    /// (spot, rank in the catalogue).
    pub(crate) pairs: Vec<(usize, usize)>,
    /// Deviation along one axis, px.
    pub(crate) sigma_px: f64,
}

/// Catalogue stars inside the picture, brightest first: rank and pixel.
pub(crate) fn shown(pose: &Pose, stars: &Stars<'_>, spots: &Spots) -> Vec<(usize, [f64; 2])> {
    let ready = pose.model.ready();
    let cone = (pose.attitude[2], least_z(&ready, spots.size_px));
    shown_in(pose, &ready, stars, cone).filter(|(_, place)| spots.inside(*place)).collect()
}

/// The same inside a circle of the picture alone.
fn shown_within(
    pose: &Pose,
    stars: &Stars<'_>,
    spots: &Spots,
    middle_px: [f64; 2],
    reach_px: f64,
) -> Vec<(usize, [f64; 2])> {
    let ready = pose.model.ready();
    let Some(cone) = cone(pose, &ready, middle_px, reach_px) else {
        let mut all = shown(pose, stars, spots);
        all.retain(|(_, place)| distance(*place, middle_px) < reach_px);
        return all;
    };
    shown_in(pose, &ready, stars, cone)
        .filter(|(_, place)| spots.inside(*place) && distance(*place, middle_px) < reach_px)
        .collect()
}

/// Stars within a cone about a direction of the sky, given by the cosine of its half angle.
fn shown_in<'a>(
    pose: &'a Pose,
    ready: &'a super::model::Ready,
    stars: &'a Stars<'_>,
    (axis, least_cosine): (Vector, f64),
) -> impl Iterator<Item = (usize, [f64; 2])> + 'a {
    let directions = stars.index.directions.iter().take(stars.depth).enumerate();
    directions
        .filter(move |(_, v)| dot(axis, **v) >= least_cosine)
        .filter_map(|(rank, v)| Some((rank, ready.pixel_of(turn(&pose.attitude, *v))?)))
}

/// The cone that holds a circle of the picture; `None` where the lens makes no image of all of it.
fn cone(pose: &Pose, ready: &super::model::Ready, [x, y]: [f64; 2], reach_px: f64) -> Option<(Vector, f64)> {
    /// Places on the circle that are asked, and what the cone is opened more for those between them.
    const AROUND: u8 = 8;
    const ROOM: f64 = 1.3;
    let middle = ready.direction_of([x, y])?;
    let mut least = 1.0f64;
    for step in 0..AROUND {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(step) / f64::from(AROUND)).sin_cos();
        least = least.min(dot(middle, ready.direction_of([x + reach_px * cos, y + reach_px * sin])?));
    }
    Some((super::turn_back(&pose.attitude, middle), 1.0 - ROOM * (1.0 - least)))
}

fn distance([x, y]: [f64; 2], [cx, cy]: [f64; 2]) -> f64 {
    length([x - cx, y - cy])
}

/// Pairs evenly out of all, as many as a fit on the way needs.
fn some(mut pairs: Vec<Pair>) -> Vec<Pair> {
    let step = pairs.len().div_ceil(ENOUGH_PAIRS).max(1);
    let mut place = 0;
    pairs.retain(|_| {
        place += 1;
        (place - 1) % step == 0
    });
    pairs
}

/// Cosine of the angle from the optical axis beyond which nothing is in the picture, with room for its rim: the farthest
/// pixel from the axis is a corner. -1 where a corner sees nothing, as beyond a fisheye's circle.
fn least_z(ready: &super::model::Ready, [width, height]: [f64; 2]) -> f64 {
    /// A degree beside a wide lens's corner, far more beside a long one's.
    const RIM: f64 = 0.02;
    let corners = [[0.0, 0.0], [width - 1.0, 0.0], [0.0, height - 1.0], [width - 1.0, height - 1.0]];
    corners.into_iter().map(|corner| ready.direction_of(corner).map_or(-1.0, |[_, _, z]| z - RIM)).fold(1.0, f64::min)
}

/// Each star with its nearest spot within `miss_px`, each spot once (its nearest star keeps it).
pub(crate) fn matched(shown: &[(usize, [f64; 2])], spots: &Spots, miss_px: f64) -> Vec<(usize, usize)> {
    let mut close: Vec<(f64, usize, usize)> = Vec::new();
    for (rank, place) in shown {
        let nearest = spots.near(*place, miss_px).min_by(|a, b| a.1.total_cmp(&b.1));
        close.extend(nearest.map(|(spot, distance)| (distance, spot, *rank)));
    }
    close.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut taken = vec![false; spots.places.len()];
    close.retain(|(_, spot, _)| !std::mem::replace(&mut taken[*spot], true));
    close.into_iter().map(|(_, spot, rank)| (spot, rank)).collect()
}

pub(crate) fn pairs_of(matches: &[(usize, usize)], index: &SkyIndex, spots: &Spots) -> Vec<Pair> {
    matches.iter().map(|(spot, rank)| Pair { sky: index.directions[*rank], place: spots.places[*spot] }).collect()
}

/// Grows a candidate over the picture; `None` where it dies on the way.
pub(crate) fn grow(candidate: &Candidate, spots: &Spots, stars: &Stars<'_>) -> Option<Grown> {
    let picture = spots.picture();
    let spacing = (spots.size_px[0] * spots.size_px[1] / spots.places.len().max(1) as f64).sqrt();
    let mut pose = candidate.pose;
    let mut sigma: f64 = 1.0;
    let mut reach = FIRST_REACH * candidate.size_px;
    loop {
        let miss = (REACH_MISS * reach).min(SPACING_SHARE * spacing).max(LEAST_MISS_PX);
        for miss in [miss, (0.6 * miss).max(PAIR_SIGMAS * sigma).min(miss)] {
            let shown = shown_within(&pose, stars, spots, candidate.middle_px, reach);
            let matches = matched(&shown, spots, miss);
            if matches.len() < FEWEST_PAIRS {
                return None;
            }
            (pose, sigma) = fit(&pose, &some(pairs_of(&matches, stars.index, spots)), &picture)?;
        }
        if reach > picture.diagonal_px {
            break;
        }
        reach *= GROWTH;
    }
    settle(&pose, sigma, spots, stars)
}

/// The same picture by another projection, from the part around the optical axis that all projections map alike.
pub(crate) fn again(grown: &Grown, projection: optics::Projection, spots: &Spots, stars: &Stars<'_>) -> Option<Grown> {
    let mut pose = grown.pose;
    pose.model.projection = projection;
    (pose.model.k1, pose.model.k2) = (0.0, 0.0);
    let [x, y] = pose.model.centre_px;
    let mut radii: Vec<f64> =
        grown.pairs.iter().map(|(spot, _)| (spots.places[*spot][0] - x).hypot(spots.places[*spot][1] - y)).collect();
    radii.sort_by(f64::total_cmp);
    let inner = radii.get(radii.len() * INNER_PERCENT / 100)?;
    let candidate = Candidate { pose, middle_px: [x, y], size_px: inner / FIRST_REACH, log10_chance: 0.0 };
    grow(&candidate, spots, stars).or_else(|| {
        // too few stars in the middle: all of them at once
        let (pose, sigma_px) = fit(&pose, &pairs_of(&grown.pairs, stars.index, spots), &spots.picture())?;
        settle(&pose, sigma_px, spots, stars)
    })
}

/// Matches over the whole picture and fits until the pairs stay the same.
pub(crate) fn settle(start: &Pose, sigma_px: f64, spots: &Spots, stars: &Stars<'_>) -> Option<Grown> {
    let picture = spots.picture();
    let (mut pose, mut sigma) = (*start, sigma_px);
    let mut pairs = Vec::new();
    for _ in 0..LAST_ROUNDS {
        let miss = (PAIR_SIGMAS * sigma).max(LEAST_MISS_PX);
        let found = matched(&shown(&pose, stars, spots), spots, miss);
        if found.len() < FEWEST_PAIRS {
            return None;
        }
        let same = found == pairs;
        pairs = found;
        if same {
            break;
        }
        (pose, sigma) = fit(&pose, &pairs_of(&pairs, stars.index, spots), &picture)?;
    }
    Some(Grown { pose, pairs, sigma_px: sigma })
}
