//! How much of the light is of which line.

use super::finding::LineShares;
use crate::least_squares::solve;

/// From a camera's white-balanced red, green and blue to sRGB: fitted to the response of [`optics::relative_response`] over
/// 3000 smooth spectra (computed).
const TO_SRGB: [[f64; 3]; 3] = [[1.84, -0.83, -0.01], [-0.12, 1.60, -0.48], [0.14, -0.63, 1.49]];
/// Gains of red and blue over green that cameras use for white, from lamplight to shade (common practice, no source).
const RED_GAINS: [f64; 3] = [1.3, 1.9, 2.5];
/// See [`RED_GAINS`].
const BLUE_GAINS: [f64; 3] = [1.2, 1.6, 2.0];
/// A channel under this share of the brightest may have been cut off at zero by the colour matrix.
const CUT_SHARE: f64 = 0.03;

/// Shares by non-negative least squares; `None` without light.
///
/// Developed pictures: every white balance that cameras use is tried, and low and high are the extremes. A channel that the
/// colour matrix would have made negative, and that holds nothing, says nothing.
pub(super) fn shares(excess: [f64; 3], is_linear: bool, neutral: Option<[f64; 3]>) -> Option<LineShares> {
    let brightest = excess.iter().copied().fold(0.0, f64::max);
    if brightest <= 0.0 || excess.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let native = optics::line_response_matrix();
    if is_linear {
        // each channel's own peak may differ from the others' by what its white gain undoes, in part
        let solved = fitted(&native, excess)?;
        let gains = neutral.map_or([1.0; 3], |neutral| neutral.map(f64::recip));
        let other = fitted(&native, [0, 1, 2].map(|i| excess[i] * gains[i])).unwrap_or(solved);
        let low = [0, 1, 2].map(|i| solved[i].min(other[i]));
        let high = [0, 1, 2].map(|i| solved[i].max(other[i]));
        return Some(LineShares { shares: solved, low, high });
    }
    let (mut low, mut high, mut middle) = ([1.0_f64; 3], [0.0_f64; 3], None);
    for red in RED_GAINS {
        for blue in BLUE_GAINS {
            let gains = [red, 1.0, blue];
            let forward: [[f64; 3]; 3] = TO_SRGB
                .map(|row| [0, 1, 2].map(|line| (0..3).map(|i| row[i] * gains[i] * native[i][line]).sum::<f64>()));
            let Some(shares) = fitted_where_not_cut(&forward, excess, CUT_SHARE * brightest) else { continue };
            for i in 0..3 {
                low[i] = low[i].min(shares[i]);
                high[i] = high[i].max(shares[i]);
            }
            if (red - RED_GAINS[1]).abs() < 1e-9 && (blue - BLUE_GAINS[1]).abs() < 1e-9 {
                middle = Some(shares);
            }
        }
    }
    Some(LineShares { shares: middle?, low, high })
}

/// Drops channels that are cut off until none is left that should be.
fn fitted_where_not_cut(forward: &[[f64; 3]; 3], light: [f64; 3], nothing: f64) -> Option<[f64; 3]> {
    let mut used = [true; 3];
    for _ in 0..3 {
        let amounts = non_negative(forward, light, used)?;
        let mut changed = false;
        for i in 0..3 {
            let model: f64 = (0..3).map(|line| forward[i][line] * amounts[line]).sum();
            if used[i] && light[i] <= nothing && model < nothing {
                used[i] = false;
                changed = true;
            }
        }
        if !changed {
            return normalised(amounts);
        }
    }
    normalised(non_negative(forward, light, used)?)
}

fn fitted(forward: &[[f64; 3]; 3], light: [f64; 3]) -> Option<[f64; 3]> {
    normalised(non_negative(forward, light, [true; 3])?)
}

fn normalised(amounts: [f64; 3]) -> Option<[f64; 3]> {
    let sum: f64 = amounts.iter().sum();
    (sum > 0.0).then(|| amounts.map(|amount| amount / sum))
}

/// Least squares with no amount below zero: of the seven choices of lines, the best that has none.
fn non_negative(forward: &[[f64; 3]; 3], light: [f64; 3], used: [bool; 3]) -> Option<[f64; 3]> {
    let mut best: Option<([f64; 3], f64)> = None;
    for choice in 1..8_usize {
        let taken = [0, 1, 2].map(|line| choice & (1 << line) != 0);
        let mut normal = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        for i in 0..3 {
            if !taken[i] {
                normal[i][i] = 1.0;
                continue;
            }
            for row in (0..3).filter(|row| used[*row]) {
                right[i] += forward[row][i] * light[row];
                for j in (0..3).filter(|j| taken[*j]) {
                    normal[i][j] += forward[row][i] * forward[row][j];
                }
            }
        }
        let Some(amounts) = solve(normal, right) else { continue };
        if amounts.iter().any(|amount| *amount < 0.0) {
            continue;
        }
        let misfit: f64 = (0..3)
            .filter(|row| used[*row])
            .map(|row| (light[row] - (0..3).map(|line| forward[row][line] * amounts[line]).sum::<f64>()).powi(2))
            .sum();
        // one line more must earn its place
        if best.is_none_or(|(_, least)| misfit < least * (1.0 - 1e-9)) {
            best = Some((amounts, misfit));
        }
    }
    best.map(|(amounts, _)| amounts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_come_back_from_a_raw_mix() {
        let native = optics::line_response_matrix();
        let amounts = [0.2, 0.7, 0.1];
        let light = native.map(|row| row.iter().zip(amounts).map(|(a, b)| a * b).sum());
        let found = shares(light, true, None).unwrap().shares;
        for (found, truth) in found.iter().zip(amounts) {
            assert!((found - truth).abs() < 1e-9, "{found} {truth}");
        }
    }

    #[test]
    fn pure_green_stays_green_through_a_matrix_that_clips() {
        let gains = [2.1, 1.0, 1.4];
        let native = optics::line_response_matrix();
        let developed = TO_SRGB.map(|row| (0..3).map(|i| row[i] * gains[i] * native[i][1]).sum::<f64>().max(0.0));
        let found = shares(developed, false, None).unwrap();
        assert!(found.shares[1] > 0.9 && found.low[1] > 0.8, "{found:?}");
    }

    #[test]
    fn nothing_has_no_shares() {
        assert_eq!(shares([0.0, -1.0, 0.0], false, None), None);
        assert_eq!(shares([f64::NAN, 1.0, 0.0], true, None), None);
    }
}
