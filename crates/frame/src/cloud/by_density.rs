//! Stars per area against the frame's own richest parts, where the lens is not known.

use quantity::{Basis, Estimate};

use super::regions::Regions;
use super::{CloudCover, CloudMethod};
use crate::sky_mask::features::quantile;
use crate::{CellKind, SkyMask, StarField};

/// Place in the order of the regions of the one whose stars are those of a clear sky: the Milky Way makes a few richer.
const CLEAR_PLACE: f64 = 0.7;
/// Regions, and stars in a clear one, below which nothing is said.
const LEAST_REGIONS: usize = 6;
const LEAST_IN_REGION: f64 = 6.0;
/// Stars of a region over those of a clear one at which it is under cloud, and the range that may be meant: stars by
/// themselves thin out to a third away from the Milky Way.
const COVERED_SHARE: f64 = 0.3;
const COVERED_RANGE: [f64; 2] = [0.12, 0.5];
/// Region's sky, of its whole area, from which it is counted.
const LEAST_SKY: f64 = 0.4;
/// Place in the order of the noise of the one that decides which stars are seen everywhere.
const NOISY_PLACE: f64 = 0.85;
/// Part of a fisheye's circle that is compared, of the radius: towards the rim air and lens hide stars by themselves.
const CIRCLE_SHARE: f64 = 0.7;
/// Deviation beyond the range of the shares.
const SIGMA: f64 = 0.06;

pub(super) fn cover(field: &StarField, mask: &SkyMask) -> Result<CloudCover, String> {
    let regions = Regions::of(field.size_px);
    let areas = regions.sky_px2(mask, CIRCLE_SHARE);
    // only stars that even the noisier parts would show
    let noise_at = |x: f64, y: f64| field.noise.at(x, y).max(f64::MIN_POSITIVE);
    let noises: Vec<f64> = mask
        .kinds
        .iter()
        .enumerate()
        .filter(|(_, kind)| **kind == CellKind::Sky)
        .map(|(i, _)| {
            let [x, y] = [i % mask.columns, i / mask.columns].map(|at| (at as f64 + 0.5) * mask.cell_px - 0.5);
            noise_at(x, y)
        })
        .collect();
    let noisy = quantile(&noises, NOISY_PLACE).ok_or("no sky")?;
    let mut counts = vec![0.0; regions.count()];
    let threshold = field.stars.iter().map(|star| star.snr).fold(f64::INFINITY, f64::min);
    for star in field.stars.iter().filter(|star| mask.at([star.x_px, star.y_px]) == CellKind::Sky) {
        let seen_anywhere = star.snr * noise_at(star.x_px, star.y_px) / noisy > threshold;
        if !mask.is_within([star.x_px, star.y_px], CIRCLE_SHARE) {
            continue;
        }
        counts[regions.at([star.x_px, star.y_px])] += f64::from(u8::from(seen_anywhere));
    }
    let whole = regions.side_px * regions.side_px;
    let rates: Vec<(f64, f64, usize)> = (0..regions.count())
        .filter(|i| areas[*i] >= LEAST_SKY * whole)
        .map(|i| (counts[i] / areas[i] * whole, areas[i], i))
        .collect();
    let clear = quantile(&rates.iter().map(|rate| rate.0).collect::<Vec<_>>(), CLEAR_PLACE).unwrap_or(0.0);
    if rates.len() < LEAST_REGIONS || clear < LEAST_IN_REGION {
        return Err("too few stars to compare one part of the sky with another, and the lens is not known".to_owned());
    }
    let sky: f64 = rates.iter().map(|rate| rate.1).sum();
    let below = |share: f64| rates.iter().filter(|rate| rate.0 < share * clear).map(|rate| rate.1).sum::<f64>() / sky;
    let value = below(COVERED_SHARE).max(0.0);
    let [low, high] = COVERED_RANGE.map(below);
    let mut cover = vec![None; regions.count()];
    for (rate, _, i) in &rates {
        cover[*i] = Some((1.0 - rate / clear).clamp(0.0, 1.0));
    }
    Ok(CloudCover {
        fraction: Some(Estimate {
            value,
            low: (low - SIGMA).clamp(0.0, value),
            high: (high + SIGMA).clamp(value, 1.0),
            basis: Basis::Model,
        }),
        method: Some(CloudMethod::StarDensity),
        map: Some(regions.map(cover)),
        counted: field.stars.len(),
        why: "stars per area against the richer parts of the same frame: the lens is not known".to_owned(),
    })
}
