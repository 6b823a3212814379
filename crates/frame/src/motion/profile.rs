use serde::{Deserialize, Serialize};

use super::trail::profile as even_profile;
use crate::focus::{median, usable};
use crate::whole::index;
use crate::{Plane, Star, StarField};

/// Step along the trail, px.
const STEP_PX: f64 = 0.5;
/// Reach from the middle along the trail: twice its length (an uneven one is longer than its moments say) and three
/// standard deviations of the star; and across it.
const BEYOND_LENGTH: f64 = 2.0;
const BEYOND_SIGMA: f64 = 3.0;
const ACROSS_SIGMA: f64 = 1.5;
/// Steps across the trail.
const ACROSS_STEPS: i32 = 5;
/// Significance of the stars used, how many of them make a profile, and how many are enough.
const LEAST_SNR: f64 = 25.0;
const LEAST_STARS: usize = 5;
const MOST_STARS: usize = 60;
/// Light between two maxima over the lower of them below which the star stood in two places.
const DIP: f64 = 0.75;
/// Light that is elsewhere than in an even trail, as a share, from which the trail is uneven. Drawn even trails with wings
/// of a Moffat star reach 0.1.
const UNEVEN_SHARE: f64 = 0.2;

/// How the light lies along a trail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TrailKind {
    /// Evenly: the movement was steady, as the sky's is.
    Even,
    /// In two places: a knock between two rests.
    TwoPlaces,
    /// More at one end or in the middle: a knock near the start or end, a swing, a gust. The sky does not do that.
    Uneven,
}

/// Mean light of the stars along their common trail.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrailProfile {
    /// Step, px; the middle value is the middle of the star.
    pub step_px: f64,
    /// Light at each step; sums to 1.
    pub light: Vec<f64>,
    /// Stars it is the median of.
    pub stars: usize,
    /// What it looks like.
    pub kind: TrailKind,
}

impl TrailProfile {
    /// Of stars that are all drawn out the same way.
    ///
    /// * `angle_deg`: direction of the trail; `length_px`: its length if it is even; `sigma_px`: the star's own width.
    pub(crate) fn of(plane: &Plane, field: &StarField, angle_deg: f64, length_px: f64, sigma_px: f64) -> Option<Self> {
        let half = ((BEYOND_LENGTH * length_px + BEYOND_SIGMA * sigma_px) / STEP_PX).ceil();
        let reach = half * STEP_PX + 2.0 * sigma_px;
        let [width, height] = field.size_px.map(|n| n as f64);
        let inside = |s: &Star| {
            s.x_px > reach && s.y_px > reach && s.x_px < width - 1.0 - reach && s.y_px < height - 1.0 - reach
        };
        let alone = |s: &Star| {
            let near = |o: &Star| {
                let apart_px2 = o.apart_px2(s);
                apart_px2 > 0.0 && apart_px2 < (2.0 * reach).powi(2) && o.flux > 0.05 * s.flux
            };
            !field.stars.iter().any(near)
        };
        let stars: Vec<&Star> = usable(field)
            .filter(|star| star.snr >= LEAST_SNR && inside(star) && alone(star))
            .take(MOST_STARS)
            .collect();
        if stars.len() < LEAST_STARS {
            return None;
        }
        let count = 2 * index(half) + 1;
        let along: Vec<Vec<f64>> = stars
            .iter()
            .filter_map(|star| {
                normalised(
                    (0..count).map(|i| slice(plane, star, angle_deg, (i as f64 - half) * STEP_PX, sigma_px)).collect(),
                )
            })
            .collect();
        let middle =
            (0..count).map(|i| median(&mut along.iter().map(|light| light[i]).collect::<Vec<f64>>())).collect();
        let light = normalised(middle)?;
        let even = normalised(
            (0..count).map(|i| even_profile((i as f64 - half) * STEP_PX / sigma_px, length_px / sigma_px)).collect(),
        )?;
        let kind = kind(&light, &even);
        Some(Self { step_px: STEP_PX, light, stars: along.len(), kind })
    }
}

fn kind(light: &[f64], even: &[f64]) -> TrailKind {
    // half of the distance between two distributions is the light that is elsewhere
    let elsewhere = 0.5 * light.iter().zip(even).map(|(a, b)| (a - b).abs()).sum::<f64>();
    if dip(light) < DIP {
        TrailKind::TwoPlaces
    } else if elsewhere > UNEVEN_SHARE {
        TrailKind::Uneven
    } else {
        TrailKind::Even
    }
}

/// Lowest light between two maxima over the lower of the two, for the pair where that is least; 1 for a single maximum.
fn dip(light: &[f64]) -> f64 {
    let highest = |part: &[f64]| part.iter().copied().fold(0.0, f64::max);
    let top = highest(light);
    (1..light.len().saturating_sub(1))
        .filter_map(|i| {
            let lower = highest(&light[..i]).min(highest(&light[i + 1..]));
            // a second place that held less than a quarter of the light at once is a tail
            (lower > 0.25 * top).then(|| (light[i] / lower).max(0.0))
        })
        .fold(1.0, f64::min)
}

fn normalised(mut light: Vec<f64>) -> Option<Vec<f64>> {
    let sum: f64 = light.iter().sum();
    if !sum.is_finite() || sum <= 0.0 {
        return None;
    }
    for value in &mut light {
        *value /= sum;
    }
    Some(light)
}

/// Light across the trail at a step along it, less the sky.
fn slice(plane: &Plane, star: &Star, angle_deg: f64, along_px: f64, sigma_px: f64) -> f64 {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let half = f64::from(ACROSS_STEPS - 1) / 2.0;
    (0..ACROSS_STEPS)
        .map(|i| (f64::from(i) - half) / half * ACROSS_SIGMA * sigma_px)
        .map(|across| [star.x_px + along_px * cos - across * sin, star.y_px + along_px * sin + across * cos])
        .map(|place| between(plane, place) - star.background)
        .sum()
}

/// Sample between pixels, by straight lines.
fn between(plane: &Plane, [x, y]: [f64; 2]) -> f64 {
    let (column, row) = (index(x), index(y));
    let (u, v) = (x.fract(), y.fract());
    let at = |c: usize, r: usize| f64::from(plane.row(r).at(c));
    let upper = at(column, row) * (1.0 - u) + at(column + 1, row) * u;
    let lower = at(column, row + 1) * (1.0 - u) + at(column + 1, row + 1) * u;
    upper * (1.0 - v) + lower * v
}
