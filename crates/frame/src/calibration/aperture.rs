//! Light of a star in a circle, less the sky of a ring around it.

use optics::Channel;

use super::fit::median;
use crate::window::Windows;

/// Radius of the circle over the FWHM of the long axis: four deviations of a Gaussian.
const RADIUS_FWHM: f64 = 1.7;
/// Smallest circle, samples: below, the share of the pixels cut by its edge is too large.
const LEAST_RADIUS_SAMPLES: f64 = 2.0;
/// Gap between circle and ring, in FWHM and at least in samples: the wings of the star.
const GAP_FWHM: f64 = 1.5;
const LEAST_GAP_SAMPLES: f64 = 2.0;
/// Area of the ring over that of the circle: the sky's own error then adds 8 % to the noise.
const RING_AREA: f64 = 6.0;
/// Fewest samples in a ring.
const LEAST_RING_SAMPLES: u32 = 30;
/// Deviations from the middle beyond which a sample of the ring is no sky: stars, dots.
const RING_CLIP_SIGMA: f64 = 2.5;
const RING_ROUNDS: usize = 4;

/// Circle and ring, px of the frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Aperture {
    pub(crate) radius_px: f64,
    ring_px: [f64; 2],
}

impl Aperture {
    /// For stars of a width; `sample_px` pixels make a sample.
    pub(crate) fn of(fwhm_px: f64, sample_px: usize) -> Self {
        let sample_px = sample_px as f64;
        Self::with_radius((RADIUS_FWHM * fwhm_px).max(LEAST_RADIUS_SAMPLES * sample_px), fwhm_px, sample_px)
    }

    fn with_radius(radius_px: f64, fwhm_px: f64, sample_px: f64) -> Self {
        let inner = radius_px + (GAP_FWHM * fwhm_px).max(LEAST_GAP_SAMPLES * sample_px);
        Self { radius_px, ring_px: [inner, (inner * inner + RING_AREA * radius_px * radius_px).sqrt()] }
    }

    /// A circle of twice the radius with its ring, for the light that the first one misses.
    pub(crate) fn twice(&self) -> Self {
        let gap = self.ring_px[0] - self.radius_px;
        let (radius_px, inner) = (2.0 * self.radius_px, 2.0 * self.radius_px + gap);
        let outer = (inner * inner + RING_AREA / 2.0 * radius_px * radius_px).sqrt();
        Self { radius_px, ring_px: [inner, outer] }
    }
}

/// Light of one star in one channel.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Light {
    /// Sum over the circle less the sky, plane units times px of the frame.
    pub(crate) flux: f64,
    /// Its noise, by the scatter of the ring.
    pub(crate) sigma: f64,
    /// Level of the sky.
    pub(crate) sky: f64,
    /// Highest sample.
    pub(crate) top: f64,
    /// Share of the ring's samples that are at the picture's floor.
    pub(crate) at_floor: f64,
}

/// Measures circle and ring around a place in px; `None` where they are not inside the frame or hold gaps.
pub(crate) fn light(
    windows: &Windows<'_>,
    channel: Channel,
    place: [f64; 2],
    aperture: &Aperture,
    buffers: &mut Buffers,
) -> Option<Light> {
    let sample_px = windows.sample_px as f64;
    let to_sample = |px: f64| (px - 0.5 * (sample_px - 1.0)) / sample_px;
    let [x, y] = place.map(to_sample);
    let radius = aperture.radius_px / sample_px;
    let [inner, outer] = aperture.ring_px.map(|px| px / sample_px);
    let inside = |centre: f64, count: usize| centre - radius >= 0.0 && centre + radius <= count as f64 - 1.0;
    if !(inside(x, windows.size[0]) && inside(y, windows.size[1])) {
        return None;
    }
    let corner = [x, y].map(|centre| crate::whole::index((centre - outer).floor().max(0.0)));
    let end = [x, y].map(|centre| crate::whole::index((centre + outer).ceil()) + 1);
    let [columns, rows] = windows.read(channel, corner, [end[0] - corner[0], end[1] - corner[1]], &mut buffers.window);
    buffers.ring.clear();
    let (mut sum, mut area, mut squares) = (0.0, 0.0, 0.0);
    let mut top = f64::NEG_INFINITY;
    for row in 0..rows {
        let dy = (corner[1] + row) as f64 - y;
        for (column, value) in buffers.window[row * columns..][..columns].iter().enumerate() {
            let dx = (corner[0] + column) as f64 - x;
            let distance = (dx * dx + dy * dy).sqrt();
            let value = f64::from(*value);
            let share = (radius + 0.5 - distance).clamp(0.0, 1.0);
            if share > 0.0 {
                if !value.is_finite() {
                    return None;
                }
                sum += share * value;
                area += share;
                squares += share * share;
                top = top.max(value);
            } else if distance >= inner && distance <= outer && value.is_finite() {
                buffers.ring.push(value);
            }
        }
    }
    let ring = Ring::of(&mut buffers.ring)?;
    let flux = (sum - area * ring.level) * sample_px * sample_px;
    let noise = ring.sigma * (squares + area * area / ring.samples).sqrt() * sample_px * sample_px;
    Some(Light { flux, sigma: noise, sky: ring.level, top, at_floor: ring.at_floor })
}

/// Room for one window, used again for the next.
#[derive(Debug, Default)]
pub(crate) struct Buffers {
    window: Vec<f32>,
    ring: Vec<f64>,
}

struct Ring {
    level: f64,
    sigma: f64,
    samples: f64,
    at_floor: f64,
}

impl Ring {
    /// Mean of the ring without stars. A mean, not a median: in 8 bits the median sits on a step of the file.
    fn of(samples: &mut [f64]) -> Option<Self> {
        if samples.len() < LEAST_RING_SAMPLES as usize {
            return None;
        }
        let at_floor = samples.iter().filter(|value| **value <= 0.0).count() as f64 / samples.len() as f64;
        let mut level = median(samples)?;
        let mut distances: Vec<f64> = samples.iter().map(|value| (value - level).abs()).collect();
        let mean = distances.iter().sum::<f64>() / distances.len() as f64;
        let middle = median(&mut distances)?;
        // where more than half of the ring stands on one step of the file, the mean distance tells its noise
        let mut sigma = if middle > 0.0 { 1.4826 * middle } else { 1.2533 * mean };
        let mut kept = 0;
        for _ in 0..RING_ROUNDS {
            let reach = RING_CLIP_SIGMA * sigma;
            // distances from a level that is nearly their mean: their squares lose no digits
            let (mut count, mut sum, mut squares) = (0_u32, 0.0, 0.0);
            for value in samples.iter() {
                let off = value - level;
                let is_kept = off.abs() <= reach;
                let share = f64::from(u8::from(is_kept));
                count += u32::from(is_kept);
                sum += share * off;
                squares += share * off * off;
            }
            if 2 * count < LEAST_RING_SAMPLES {
                return None;
            }
            let samples_kept = f64::from(count);
            let variance = (squares - sum * sum / samples_kept).max(0.0) / (samples_kept - 1.0).max(1.0);
            (level, sigma) = (level + sum / samples_kept, variance.sqrt() * CLIPPED_SIGMA);
            // the same samples again would say the same
            if count == kept {
                break;
            }
            kept = count;
        }
        Some(Self { level, sigma, samples: samples.len() as f64, at_floor })
    }
}

/// Deviation of a Gaussian over that of its part within 2.5 of them: the integral gives 0.9498 for the part.
const CLIPPED_SIGMA: f64 = 1.053;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Limits, open};

    #[test]
    fn a_lone_star_on_an_even_sky_is_summed() {
        let (width, height) = (64usize, 64usize);
        let mut values = vec![0u16; width * height];
        let mut total = 0.0;
        for (index, value) in values.iter_mut().enumerate() {
            let (dx, dy) = ((index % width) as f64 - 31.3, (index / width) as f64 - 30.6);
            let star = (20_000.0 * (-0.5 * (dx * dx + dy * dy) / 1.44).exp()).round();
            // a pattern of steps stands for noise
            let step = (index * 7 % 5) as f64;
            total += star;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below 65 535")]
            {
                *value = (1000.0 + step + star) as u16;
            }
        }
        let bytes: Vec<u8> = values.iter().flat_map(|value| value.to_be_bytes()).collect();
        let frame = open(&[b"P5\n64 64\n65535\n".as_slice(), &bytes].concat(), &Limits::default()).unwrap();
        let windows = Windows::new(&frame);
        let aperture = Aperture::of(2.83, 1);
        let light = light(&windows, Channel::Green, [31.3, 30.6], &aperture, &mut Buffers::default()).unwrap();
        assert!((light.sky * 65_535.0 - 1002.0).abs() < 0.3, "{light:?}");
        assert!((light.flux * 65_535.0 / total - 1.0).abs() < 0.003, "{light:?}");
        assert!(super::light(&windows, Channel::Green, [2.0, 30.0], &aperture, &mut Buffers::default()).is_none());
    }
}
