//! Red, green and blue of an excess over the sky into the three lines of the aurora.

use quantity::{EmissionLine, Estimate};

use super::brightness::brightness;
use super::result::{Calibration, CalibrationBasis, ChannelCalibration};
use crate::LightChannel;
use crate::least_squares::solve;

/// Excess over the sky of red, green and blue, in the unit of [`crate::Frame::plane`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineExcess {
    /// Levels less those of the sky.
    pub level: [f64; 3],
    /// Their errors.
    pub sigma: [f64; 3],
}

/// The lines behind an excess, in the order of [`EmissionLine::ALL`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitLines {
    /// Brightness above the air, kR.
    pub kr: [Estimate; 3],
    /// Covariance, kR².
    pub covariance_kr2: [[f64; 3]; 3],
    /// Lines that the excess would make negative and that were set to 0.
    pub at_zero: [bool; 3],
}

/// How cameras differ in their response to a line, relative: 10 % of green at 557.7 nm, a factor of 2 of red at 630.0 nm
/// (the infrared-cut filter), a third of blue at 427.8 nm on the edge of its band (judgement).
fn response_share(channel: LightChannel, line: EmissionLine) -> f64 {
    match (channel, line) {
        (LightChannel::Green, EmissionLine::Green5577) => 0.1,
        (LightChannel::Red, EmissionLine::Red6300) => 0.6,
        (LightChannel::Blue, EmissionLine::Blue4278) => 0.33,
        // the feet of the curves, where dyes differ by half and more
        _ => 0.5,
    }
}

/// The same in a developed picture: its colours are mixed anew by the camera.
const DEVELOPED_SHARE: f64 = 0.5;
/// What a colour matrix mixes from one channel into another, of the response of the channel that has most of the line.
const DEVELOPED_MIXING: f64 = 0.2;
/// A factor of 2 in magnitudes: the range of 630.0 nm is not even to both sides.
const RED_SIGMA_MAG: f64 = 0.75;

type Matrix = [[f64; 3]; 3];

impl Calibration {
    /// Splits an excess over the sky at a pixel into 427.8, 557.7 and 630.0 nm, none below 0 (non-negative least squares).
    ///
    /// The response of one measured camera stands for all (see [`optics::line_response_matrix`]): the covariance holds how
    /// cameras differ, so that 630.0 nm is known to a factor of 2 only. Other light than these lines (blue-green N2, clouds
    /// lit by lamps) is put on them all the same. In a developed picture the colours were mixed anew, and this is a hint.
    ///
    /// `None` for a grey camera, by settings, without all three channels, beyond the lens's image and below the horizon.
    pub fn split(&self, excess: &LineExcess, pixel: [f64; 2]) -> Option<SplitLines> {
        let sight = self.geometry()?.sight(pixel)?;
        let fitted = [LightChannel::Red, LightChannel::Green, LightChannel::Blue]
            .map(|channel| self.channels.iter().find(|fitted| fitted.channel == channel));
        let [Some(red), Some(green), Some(blue)] = fitted else { return None };
        let fitted: [&ChannelCalibration; 3] = [red, green, blue];
        let developed = self.basis == CalibrationBasis::StarsDeveloped;

        let mut matrix = [[0.0; 3]; 3];
        let mut scale_mag = [0.0f64; 3];
        for (row, fitted) in matrix.iter_mut().zip(fitted) {
            for (j, line) in EmissionLine::ALL.into_iter().enumerate() {
                let (level, sigma_mag) = self.level_per_kr(fitted, line, &sight)?;
                row[j] = level;
                scale_mag[j] = scale_mag[j].max(sigma_mag);
            }
        }
        let most = |j: usize| matrix.iter().map(|row: &[f64; 3]| row[j]).fold(0.0, f64::max);
        let largest: [f64; 3] = std::array::from_fn(most);
        let error = |i: usize, j: usize| {
            let own = matrix[i][j] * response_share(fitted[i].channel, EmissionLine::ALL[j]);
            if developed { own.max(DEVELOPED_SHARE * matrix[i][j]).hypot(DEVELOPED_MIXING * largest[j]) } else { own }
        };
        let noise = |lines: [f64; 3]| -> [f64; 3] {
            std::array::from_fn(|i| {
                let response: f64 = (0..3).map(|j| (lines[j] * error(i, j)).powi(2)).sum();
                let tone = 0.921 * self.tone_sigma_mag(fitted[i], excess.level[i]) * excess.level[i];
                excess.sigma[i].powi(2) + response + tone * tone
            })
        };
        // the response's errors depend on the lines: solved once evenly, then with them
        let scale: f64 = excess.level.iter().map(|level| level * level).sum::<f64>().max(f64::MIN_POSITIVE);
        let even: [f64; 3] = std::array::from_fn(|i| excess.sigma[i].powi(2).max(1e-4 * scale));
        let (first, _) = non_negative(&matrix, &excess.level, &even)?;
        let floor = noise(first).map(|variance| variance.max(1e-6 * scale));
        let (lines, at_zero) = non_negative(&matrix, &excess.level, &floor)?;
        let variance = noise(lines).map(|variance| variance.max(1e-12 * scale));
        let covariance_kr2 = inverse(&normal(&matrix, &variance))?;
        let kr = std::array::from_fn(|j| {
            let sigma = covariance_kr2[j][j].max(0.0).sqrt();
            let scale_mag = if EmissionLine::ALL[j] == EmissionLine::Red6300 {
                scale_mag[j].hypot(RED_SIGMA_MAG)
            } else {
                scale_mag[j]
            };
            brightness(lines[j], sigma, scale_mag, self.estimate_basis())
        });
        Some(SplitLines { kr, covariance_kr2, at_zero })
    }
}

fn normal(matrix: &Matrix, variance: &[f64; 3]) -> Matrix {
    std::array::from_fn(|j| {
        std::array::from_fn(|k| (0..3).map(|i| matrix[i][j] * matrix[i][k] / variance[i]).sum::<f64>())
    })
}

fn inverse(matrix: &Matrix) -> Option<Matrix> {
    let mut found = [[0.0; 3]; 3];
    for (i, row) in found.iter_mut().enumerate() {
        let mut unit = [0.0; 3];
        unit[i] = 1.0;
        *row = solve(*matrix, unit)?;
    }
    Some(found)
}

/// Least squares with no number below 0: of all eight choices of numbers held at 0, the best that is allowed.
fn non_negative(matrix: &Matrix, right: &[f64; 3], variance: &[f64; 3]) -> Option<([f64; 3], [bool; 3])> {
    let normal = normal(matrix, variance);
    let target: [f64; 3] = std::array::from_fn(|j| (0..3).map(|i| matrix[i][j] * right[i] / variance[i]).sum());
    let mut best: Option<(f64, [f64; 3], [bool; 3])> = None;
    for choice in 0..8u8 {
        let at_zero: [bool; 3] = std::array::from_fn(|j| choice >> j & 1 == 1);
        let (mut part, mut wanted) = (normal, target);
        for j in (0..3).filter(|j| at_zero[*j]) {
            part[j] = [0.0; 3];
            for row in &mut part {
                row[j] = 0.0;
            }
            (part[j][j], wanted[j]) = (normal[j][j], 0.0);
        }
        let Some(found) = solve(part, wanted) else { continue };
        if found.iter().any(|value| *value < 0.0) {
            continue;
        }
        let cost: f64 = (0..3)
            .map(|i| {
                let made: f64 = (0..3).map(|j| matrix[i][j] * found[j]).sum();
                (made - right[i]).powi(2) / variance[i]
            })
            .sum();
        if best.is_none_or(|(least, _, _)| cost < least) {
            best = Some((cost, found, at_zero));
        }
    }
    best.map(|(_, found, at_zero)| (found, at_zero))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_exact_mixture_is_taken_apart() {
        let matrix = optics::line_response_matrix();
        let lines = [1.0, 10.0, 3.0];
        let right = matrix.map(|row| row.iter().zip(lines).map(|(a, b)| a * b).sum());
        let (found, at_zero) = non_negative(&matrix, &right, &[1.0; 3]).unwrap();
        assert!(found.iter().zip(lines).all(|(found, line)| (found - line).abs() < 1e-9), "{found:?}");
        assert_eq!(at_zero, [false; 3]);
    }

    #[test]
    fn no_line_is_negative_and_nothing_allowed_fits_better() {
        let matrix = optics::line_response_matrix();
        let right = [-0.2, 1.0, 0.01];
        let (found, _) = non_negative(&matrix, &right, &[1.0; 3]).unwrap();
        let cost = |lines: [f64; 3]| -> f64 {
            matrix
                .iter()
                .zip(right)
                .map(|(row, right)| (row.iter().zip(lines).map(|(a, b)| a * b).sum::<f64>() - right).powi(2))
                .sum()
        };
        assert!(found.iter().all(|value| *value >= 0.0));
        for i in 0..20 {
            for j in 0..20 {
                for k in 0..20 {
                    let lines = [i, j, k].map(|n| 0.1 * f64::from(n));
                    assert!(cost(found) <= cost(lines) + 1e-12, "{lines:?} beats {found:?}");
                }
            }
        }
    }
}
