//! Patterns of the picture looked up among those of the catalogue, and the first look at each answer.

use super::chance::log10_poisson_tail;
use super::fit::Pose;
use super::guess::Guess;
use super::patterns::{Alike, Patterns};
use super::quad::{NEIGHBOURS, Quad, quads_around};
use super::spots::Spots;
use super::vector::{Vector, angle_rad, dot, rotation_between, transpose, turn, unit};

/// The four stars must fit a turn of the sky within this share of their size: what the code's tolerance lets through and a
/// plain turn does not is no match.
const QUAD_MISS: f64 = 0.025;
/// Stars around the four are looked for up to this many of their sizes away,
const LOOK_AROUND: f64 = 1.6;
/// within this share of the size and of the distance, for the lens is not yet known.
const AROUND_MISS: f64 = 0.012;
/// but never closer than so many pixels.
const LEAST_MISS_PX: f64 = 1.5;
/// Stars looked at around the four, the brightest.
const MOST_AROUND: usize = 24;
/// Chance below which a candidate is worth a fit, decimal logarithm.
const WORTH_A_FIT: f64 = -2.8;
/// Catalogue stars for one of the picture's set: its faintest may be the catalogue's somewhat brighter ones.
const DEPTH_RATIO: f64 = 1.8;

/// A pose that fits four stars and some around them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Candidate {
    pub(crate) pose: Pose,
    /// Middle of the four stars, pixels, and the size of the pattern, pixels.
    pub(crate) middle_px: [f64; 2],
    pub(crate) size_px: f64,
    /// Chance of the stars around, decimal logarithm.
    pub(crate) log10_chance: f64,
}

/// Candidates of one guess and one number of the brightest spots, the unlikeliest by chance first.
pub(crate) fn candidates(spots: &Spots, count: usize, guess: &Guess, patterns: &Patterns) -> Vec<Candidate> {
    let ready = guess.model.ready();
    let sky_sr = super::starry::solid_angle(spots, &guess.model);
    if sky_sr <= 0.0 {
        return Vec::new();
    }
    let (mut directions, mut places) = (Vec::new(), Vec::new());
    for place in spots.places.iter().take(count) {
        if let Some(direction) = ready.direction_of(*place) {
            directions.push(direction);
            places.push(*place);
        }
    }
    let neighbours: Vec<Vec<u16>> = (0..directions.len()).map(|star| nearest(&directions, star)).collect();
    let mut fours = Vec::new();
    quads_around(&directions, &neighbours, &mut fours);
    fours.sort_unstable();
    fours.dedup();
    let mut found = Vec::new();
    for quad in fours.into_iter().filter_map(|four| Quad::new(four, &directions)) {
        // a longer focal length makes the same pixels a smaller angle
        let sizes = [1, 0].map(|end: usize| quad.size_rad * guess.model.focal_px / guess.focal_px[end]);
        for order in quad.orders() {
            patterns.alike(&order, sizes, |alike| {
                found.extend(look(&order, alike, guess, &places, sky_sr, patterns));
            });
        }
    }
    found.sort_by(|a, b| a.log10_chance.total_cmp(&b.log10_chance));
    found
}

fn nearest(directions: &[Vector], star: usize) -> Vec<u16> {
    let at = directions[star];
    let mut near: Vec<(f64, usize)> =
        directions.iter().enumerate().filter(|(i, _)| *i != star).map(|(i, v)| (dot(*v, at), i)).collect();
    let wanted = NEIGHBOURS.min(near.len());
    if wanted < near.len() {
        near.select_nth_unstable_by(wanted, |a, b| b.0.total_cmp(&a.0));
    }
    near.iter().take(wanted).filter_map(|(_, i)| u16::try_from(*i).ok()).collect()
}

/// The first look: do the four fit a turn, and do the stars around them have stars of the catalogue?
fn look(
    quad: &Quad,
    alike: Alike,
    guess: &Guess,
    places: &[[f64; 2]],
    sky_sr: f64,
    patterns: &Patterns,
) -> Option<Candidate> {
    let mut model = guess.model;
    model.focal_px *= quad.size_rad / alike.size_rad;
    let ready = model.ready();
    let four = quad.stars.map(|star| places[star as usize]);
    let mut seen = [[0.0; 3]; 4];
    for (direction, place) in seen.iter_mut().zip(four) {
        *direction = ready.direction_of(place)?;
    }
    let there = alike.stars.map(|rank| patterns.index.directions[rank as usize]);
    let attitude = rotation_between(&there, &seen)?;
    let worst = there.iter().zip(&seen).map(|(v, s)| angle_rad(turn(&attitude, *v), *s)).fold(0.0, f64::max);
    if worst > QUAD_MISS * alike.size_rad {
        return None;
    }
    let to_sky = transpose(&attitude);
    let middle = unit(std::array::from_fn(|i| seen.iter().map(|v| v[i]).sum()))?;
    // as dense in the sky as the set is in the picture: the five nearest of a star fill a cap of about the pattern's size
    let shrunk = (guess.model.focal_px / model.focal_px).powi(2);
    let depth = 4.0 * std::f64::consts::PI * places.len() as f64 / (sky_sr * shrunk) * DEPTH_RATIO;
    let density = depth.min(patterns.index.directions.len() as f64) / (4.0 * std::f64::consts::PI);
    let depth = crate::whole::index(depth);
    let least_miss = LEAST_MISS_PX / model.focal_px;
    let (mut looked, mut hits, mut expected) = (0, 0, 0.0);
    for (i, place) in places.iter().enumerate() {
        if quad.stars.iter().any(|star| usize::from(*star) == i) {
            continue;
        }
        let Some(direction) = ready.direction_of(*place) else { continue };
        let distance = angle_rad(direction, middle);
        if distance > LOOK_AROUND * alike.size_rad {
            continue;
        }
        let miss = (AROUND_MISS * (alike.size_rad + distance)).max(least_miss);
        let mut hit = false;
        patterns.index.near(turn(&to_sky, direction), miss, depth, |_, _| hit = true);
        hits += usize::from(hit);
        expected += density * std::f64::consts::PI * miss * miss;
        looked += 1;
        if looked == MOST_AROUND {
            break;
        }
    }
    let log10_chance = log10_poisson_tail(hits, expected);
    let middle_px = [0, 1].map(|axis: usize| four.iter().map(|place| 0.25 * place[axis]).sum());
    let size_px = (four[0][0] - four[1][0]).hypot(four[0][1] - four[1][1]);
    (log10_chance < WORTH_A_FIT).then_some(Candidate {
        pose: Pose { model, attitude },
        middle_px,
        size_px,
        log10_chance,
    })
}
