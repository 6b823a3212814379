//! From the stars found on a picture to the direction of every pixel.

mod align;
mod chance;
mod circle;
mod failure;
mod fit;
mod ground;
mod grow;
mod guess;
mod hints;
mod judge;
mod model;
mod patterns;
mod prior;
mod quad;
mod search;
mod sky_index;
mod solution;
mod spots;
mod starry;
mod vector;
mod zenith;

pub use align::StarAlignment;
pub use circle::{ImageCircle, image_circle};
pub use failure::LensFailure;
pub use hints::LensHints;
pub use model::LensModel;
pub(crate) use sky_index::direction;
pub use solution::{LensPair, LensSolution};
pub(crate) use vector::{angle_rad, turn};

pub(crate) use ground::Ground;
pub(crate) use model::Ready;
pub(crate) use sky_index::direction as direction_of_star;
pub(crate) use vector::{Rotation, Vector, cross, dot, transpose};

use optics::Projection;

use crate::{Plane, StarField};
use fit::Pose;
use grow::{Grown, Stars};
use judge::Verdict;
use patterns::Patterns;
use sky_index::SkyIndex;
use spots::Spots;

/// Numbers of the brightest spots whose patterns are looked up, one after the other: the brightest are the surest stars, but
/// in a wide picture their patterns are large and bent by the lens.
const SETS: [usize; 6] = [20, 35, 60, 110, 200, 360];
/// Candidates of one guess and set that are grown, the best ones.
const MOST_GROWN: usize = 6;
/// What one more star explained is worth in squared deviations: a match within 3.5 of them costs up to 12.
const PAIR_WORTH: f64 = 13.0;
/// A field known no better than this share (one deviation) is not given: the width is asked for to 3 %.
const MOST_LOOSE: f64 = 0.01;
/// Stars from which a wide picture tells its own projection: as many as the optical centre is fitted from.
const FEWEST_FOR_KIND: usize = 14;
/// Fields narrower than this look the same by every projection, degrees.
const NARROW_FIELD_DEG: f64 = 50.0;

/// Finds which stars these are, and from that lens and direction of the picture.
///
/// The picture may be mirrored and cut, its lens rectilinear or a fisheye, with distortion. An answer is given only when
/// chance would not make it: see [`LensSolution::log10_chance`]. Hints save time; without any the answer is the same. Time
/// and place add refraction and the directions on the ground. The patterns of the catalogue are made on first use.
/// Method and measured results: `docs/measuring.md`.
///
/// # Errors
///
/// [`LensFailure`] says why there is no answer.
pub fn solve_lens(field: &StarField, hints: &LensHints) -> Result<LensSolution, LensFailure> {
    if let Some(lens) = hints.lens
        && let Ok(solution) = solved(field, &LensHints { projection: Some(lens.projection), ..*hints })
    {
        return Ok(solution);
    }
    let hints = LensHints { lens: None, ..*hints };
    match solved(field, &hints) {
        // what a file says of its scale is wrong for a picture that was cut
        Err(failure) if hints.focal_px.is_some() && !matches!(failure, LensFailure::TooFewStars { .. }) => {
            solved(field, &LensHints { focal_px: None, ..hints }).map_err(|_without| failure)
        }
        answer => answer,
    }
}

fn solved(field: &StarField, hints: &LensHints) -> Result<LensSolution, LensFailure> {
    let spots = Spots::new(field, hints);
    let (found, needed) = (spots.places.len(), judge::fewest_stars(&spots));
    if found < needed {
        return Err(LensFailure::TooFewStars { found, needed });
    }
    let patterns = Patterns::shared();
    let over_ground = Ground::new(hints, &patterns.index);
    let by_zenith = over_ground.as_ref().and_then(|ground| zenith::search(&spots, hints, ground));
    let (grown, log10_chance) = match by_zenith {
        Some(found) => found,
        None => search(&spots, hints, patterns)?,
    };
    let solution = solution(&grown, log10_chance, &spots, over_ground, hints, patterns)
        .ok_or(LensFailure::NothingFits { found })?;
    if is_loose(&solution, hints) { Err(LensFailure::Loose { matched: solution.matched }) } else { Ok(solution) }
}

/// [`solve_lens`] with the picture at hand: the edge of a fisheye's picture is looked for where the hints do not say it, and
/// where the stars with a shape give no answer, a small picture is tried by its points of light of any sharpness (pictures made
/// small, coarse cameras). The proof asked for is the same.
///
/// * `plane`: the plane that the field was found on.
///
/// # Errors
///
/// As [`solve_lens`].
pub fn solve_lens_on(plane: &Plane, field: &StarField, hints: &LensHints) -> Result<LensSolution, LensFailure> {
    let hints = LensHints { image_circle: hints.image_circle.or_else(|| image_circle(plane)), ..*hints };
    let failure = match solve_lens(field, &hints) {
        Ok(solution) => return Ok(solution),
        Err(failure) => failure,
    };
    let by_points = || {
        let inside = |pixel| hints.image_circle.is_none_or(|circle| circle.holds(pixel));
        let points = crate::stars::points(plane, field, inside)?;
        solve_lens(&points, &hints).ok()
    };
    by_points().ok_or(failure)
}

fn is_loose(solution: &LensSolution, hints: &LensHints) -> bool {
    let [width, height] = solution.field_deg;
    let any_kind = hints.projection.is_none() && width.hypot(height) > NARROW_FIELD_DEG;
    any_kind && solution.matched < FEWEST_FOR_KIND
        || solution.field_sigma_deg.iter().zip(solution.field_deg).any(|(error, field)| *error > MOST_LOOSE * field)
}

/// A direction in the camera's axes back to the sky's.
pub(crate) fn turn_back(attitude: &Rotation, direction: Vector) -> Vector {
    turn(&transpose(attitude), direction)
}

fn search(spots: &Spots, hints: &LensHints, patterns: &Patterns) -> Result<(Grown, f64), LensFailure> {
    let guesses = guess::guesses(hints, spots);
    let mut in_part = 0;
    let mut before = 0;
    for count in SETS.map(|count| count.min(spots.places.len())) {
        if count == before {
            break;
        }
        before = count;
        for guess in &guesses {
            for candidate in search::candidates(spots, count, guess, patterns).iter().take(MOST_GROWN) {
                let stars = stars(spots, &candidate.pose, &patterns.index);
                let Some(grown) = grow::grow(candidate, spots, &stars) else { continue };
                match judge::judge(&grown, spots, &stars) {
                    Verdict::Sure { .. } => {
                        // a lens of the wrong kind, bent until it fits the middle, must not pass: judged again by its best kind
                        let best = by_projection(&grown, spots, hints, &stars);
                        let verdict = best.as_ref().map(|grown| judge::judge(grown, spots, &stars));
                        if let (Some(best), Some(Verdict::Sure { log10_chance })) = (best, verdict) {
                            return Ok((best, log10_chance));
                        }
                    }
                    Verdict::InPart => in_part = in_part.max(grown.pairs.len()),
                    Verdict::Chance => {}
                }
            }
        }
    }
    Err(if in_part > 0 {
        LensFailure::OnlyInPart { matched: in_part }
    } else {
        LensFailure::NothingFits { found: spots.places.len() }
    })
}

/// Stars of the catalogue as deep as the picture shows them.
fn stars<'a>(spots: &Spots, pose: &Pose, index: &'a SkyIndex) -> Stars<'a> {
    let sky_sr = starry::solid_angle(spots, &pose.model).max(1e-6);
    let depth = 4.0 * std::f64::consts::PI * spots.places.len() as f64 / sky_sr;
    Stars { index, depth: crate::whole::index(depth).clamp(SETS[0], index.directions.len()) }
}

/// What is said of the lens, with the air where time and place are known.
fn solution(
    grown: &Grown,
    log10_chance: f64,
    spots: &Spots,
    over_ground: Option<(Ground, SkyIndex)>,
    hints: &LensHints,
    patterns: &Patterns,
) -> Option<LensSolution> {
    let depth = stars(spots, &grown.pose, &patterns.index).depth;
    let over_ground = over_ground.filter(|(ground, _)| {
        let matched: Vec<_> = grown.pairs.iter().map(|(_, rank)| patterns.index.directions[*rank]).collect();
        ground.agrees(&matched)
    });
    let contradicts_time = over_ground.is_none() && hints.taken_at.is_some() && hints.place.is_some();
    let seen = over_ground.as_ref().map_or(&patterns.index, |(_, index)| index);
    let ground = over_ground.as_ref().map(|(ground, _)| *ground);
    let stars = Stars { index: seen, depth };
    let settled = with_air(grown, spots, &stars)?;
    let pose = settled.pose;
    let middle = spots.middle();
    let [ra_deg, dec_deg, roll_deg] = solution::middle_deg(&pose.model, &pose.attitude, ground.as_ref(), middle)?;
    let mut square = 0.0;
    let pairs: Vec<LensPair> = settled
        .pairs
        .iter()
        .filter_map(|(spot, rank)| {
            let fitted_px = pose.pixel_of(seen.directions[*rank])?;
            let found_px = spots.places[*spot];
            square += (found_px[0] - fitted_px[0]).powi(2) + (found_px[1] - fitted_px[1]).powi(2);
            Some(LensPair {
                hip: seen.hip[*rank],
                found_px: spots.stored(found_px),
                fitted_px: spots.stored(fitted_px),
            })
        })
        .collect();
    let found: Vec<fit::Pair> = grow::pairs_of(&settled.pairs, seen, spots);
    let field = |model: &LensModel| solution::field_deg(model, spots.size_px);
    let field_sigma_deg = fit::errors_of(field, &pose, &found, &spots.picture())?;
    let model = LensModel {
        centre_px: spots.stored(pose.model.centre_px),
        pixel_aspect: pose.model.pixel_aspect * spots.aspect,
        ..pose.model
    };
    let mut solution = LensSolution {
        model,
        attitude: pose.attitude,
        ra_deg,
        dec_deg,
        roll_deg,
        mirrored: pose.model.mirrored,
        field_deg: field(&pose.model),
        field_sigma_deg,
        residual_px: (square / pairs.len().max(1) as f64).sqrt(),
        matched: pairs.len(),
        log10_chance,
        pairs,
        alt_deg: None,
        az_deg: None,
        contradicts_time,
        ground,
    };
    let middle = solution.horizontal_of(spots.stored(middle));
    solution.alt_deg = middle.map(|direction| direction.altitude_deg);
    solution.az_deg = middle.map(|direction| direction.azimuth_deg);
    Some(solution)
}

/// The same lens by stars that the air has moved, or by the same ones.
fn with_air(grown: &Grown, spots: &Spots, stars: &Stars<'_>) -> Option<Grown> {
    let pairs = grow::pairs_of(&grown.pairs, stars.index, spots);
    let (pose, sigma_px) = fit::fit(&grown.pose, &pairs, &spots.picture())?;
    grow::settle(&pose, sigma_px, spots, stars)
}

/// The same stars by the projections that may be: the one that explains most stars, most closely, with least distortion.
fn by_projection(grown: &Grown, spots: &Spots, hints: &LensHints, stars: &Stars<'_>) -> Option<Grown> {
    let picture = spots.picture();
    let [width, height] = solution::field_deg(&grown.pose.model, spots.size_px);
    let projections: &[Projection] = match hints.projection {
        Some(ref known) => std::slice::from_ref(known),
        None if width.hypot(height) < NARROW_FIELD_DEG => &[Projection::Rectilinear],
        None => &[Projection::Rectilinear, Projection::Equidistant, Projection::Equisolid, Projection::Stereographic],
    };
    let mut best: Option<(f64, Grown)> = None;
    for projection in projections {
        let settled = if *projection == grown.pose.model.projection {
            Some(grown.clone())
        } else {
            grow::again(grown, *projection, spots, stars)
        };
        let Some(settled) = settled.filter(|settled| {
            settled.pose.model.is_likely(spots.size_px) && prior::is_likely(&settled.pose.model, &picture)
        }) else {
            continue;
        };
        let own = grow::pairs_of(&settled.pairs, stars.index, spots);
        let cost = fit::cost(&settled.pose, &own, settled.sigma_px.min(grown.sigma_px), &picture);
        let score = PAIR_WORTH * own.len() as f64 - cost;
        if best.as_ref().is_none_or(|(most, _)| score > *most) {
            best = Some((score, settled));
        }
    }
    best.map(|(_, grown)| grown)
}
