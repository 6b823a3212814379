//! Night scenes drawn as light: a spectrum in every place, a camera that counts photons, a picture developed and packed.

use std::sync::LazyLock;

use frame::{Frame, Limits, TransferCurve, open};
use optics::{Channel, relative_response};

use crate::drawn_sky::Dice;

/// Size of the pictures.
pub(crate) const SIZE: [usize; 2] = [864, 576];
/// Nodes at which a scene is worked out; between them it is interpolated.
const NODE_PX: usize = 6;

/// Light by channel as the camera sees it, R of light at the channel's peak.
pub(crate) type Light = [f64; 3];

/// A black body of one rayleigh per angstrom in green.
pub(crate) fn continuum(kelvin: f64) -> Light {
    let photons = |nm: f64| nm.powi(-4) / ((1.438_777e7 / (nm * kelvin)).exp() - 1.0);
    let of = |channel: Channel| {
        (380..=760)
            .step_by(10)
            .map(|nm| relative_response(channel, f64::from(nm)) * photons(f64::from(nm)))
            .sum::<f64>()
    };
    let all = Channel::ALL.map(of);
    let width = 10.0 * optics::equivalent_width_nm(Channel::Green);
    all.map(|value| value / all[1] * width)
}

/// A line of one kilorayleigh.
pub(crate) fn line(nm: f64) -> Light {
    Channel::ALL.map(|channel| 1000.0 * relative_response(channel, nm))
}

/// Grass or leaves under daylight of one rayleigh per angstrom in green (reflectance 0.05 at 450, 0.12 at 550, 0.05 at
/// 650 nm; from memory).
pub(crate) fn leaves() -> Light {
    let reflects = |nm: f64| 0.05 + 0.07 * (-((nm - 550.0) / 45.0).powi(2)).exp();
    let of = |channel: Channel| {
        (400..=700)
            .step_by(10)
            .map(|nm| relative_response(channel, f64::from(nm)) * reflects(f64::from(nm)))
            .sum::<f64>()
    };
    let all = Channel::ALL.map(of);
    all.map(|value| value / all[1] * 10.0 * optics::equivalent_width_nm(Channel::Green))
}

/// Rayleighs per angstrom of a sky: 22.0 is 0.853, a magnitude a factor of 2.512.
pub(crate) fn sky_r_per_a(magnitude: f64) -> f64 {
    0.853 * 10f64.powf(0.4 * (22.0 - magnitude))
}

pub(crate) fn times(light: Light, factor: f64) -> Light {
    light.map(|value| value * factor)
}

pub(crate) fn plus(a: Light, b: Light) -> Light {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// Smooth noise between 0 and 1 of so many waves across, as clouds have: four octaves.
pub(crate) struct Clouds {
    waves: Vec<[f64; 4]>,
}

impl Clouds {
    pub(crate) fn new(dice: &mut Dice, across: f64) -> Self {
        let mut waves = Vec::new();
        for octave in 0..4 {
            let fine = across * 2f64.powi(octave);
            for _ in 0..4 {
                let angle = dice.even(0.0, 6.3);
                let size = 0.6f64.powi(octave);
                waves.push([fine * angle.cos() * 6.3, fine * angle.sin() * 6.3, dice.even(0.0, 6.3), size]);
            }
        }
        Self { waves }
    }

    pub(crate) fn at(&self, x: f64, y: f64) -> f64 {
        let sum: f64 = self.waves.iter().map(|[fx, fy, phase, size]| size * (fx * x + fy * y + phase).sin()).sum();
        (0.5 + 0.14 * sum).clamp(0.0, 1.0)
    }
}

/// How a picture is taken and kept.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Taking {
    /// Electrons of a green pixel for each rayleigh at its peak.
    pub(crate) electrons_per_r: f64,
    /// Share of full scale at which the median of green lands.
    pub(crate) middle: f64,
    /// Errors of the white balance of red and blue.
    pub(crate) white: [f64; 2],
    /// Quality of the packing, 1 to 100; `None` for 16 linear bits as counted.
    pub(crate) quality: Option<f64>,
}

impl Taking {
    pub(crate) fn any(dice: &mut Dice) -> Self {
        Self {
            electrons_per_r: 10f64.powf(dice.even(-1.5, -0.5)),
            middle: dice.even(0.04, 0.14),
            white: [dice.even(-0.18, 0.18).exp(), dice.even(-0.18, 0.18).exp()],
            quality: Some(dice.even(60.0, 95.0)),
        }
    }

    pub(crate) fn raw(dice: &mut Dice) -> Self {
        Self { quality: None, ..Self::any(dice) }
    }
}

/// From white-balanced camera channels to sRGB; see the crate's own fit, moved a little as cameras differ.
const TO_SRGB: [[f64; 3]; 3] = [[1.84, -0.83, -0.01], [-0.12, 1.60, -0.48], [0.14, -0.63, 1.49]];
/// Electrons of reading noise.
const READ_NOISE: f64 = 3.0;

/// Takes a picture of a scene given by place (0..1 across, 0..1 down; light and how rough the surface is from pixel to
/// pixel, 0 for sky).
pub(crate) fn taken(scene: &dyn Fn(f64, f64) -> (Light, f64), taking: Taking, dice: &mut Dice) -> Frame {
    let [width, height] = SIZE;
    let (columns, rows) = (width / NODE_PX + 2, height / NODE_PX + 2);
    let nodes: Vec<(Light, f64)> = (0..columns * rows)
        .map(|node| {
            let [x, y] = [node % columns, node / columns].map(|at| (at * NODE_PX) as f64);
            scene(x / width as f64, y / height as f64)
        })
        .collect();
    // the camera's own white: daylight
    let white = continuum(5500.0);
    let gains = [white[1] / white[0] * taking.white[0], 1.0, white[1] / white[2] * taking.white[1]];
    let mut greens: Vec<f64> = nodes.iter().map(|node| node.0[1]).collect();
    greens.sort_by(f64::total_cmp);
    let scale = taking.middle / (greens[greens.len() / 2] * taking.electrons_per_r);
    let mut numbers = vec![[0.0f64; 3]; width * height];
    for y in 0..height {
        for x in 0..width {
            let (nx, ny) = (x / NODE_PX, y / NODE_PX);
            let (fx, fy) = ((x % NODE_PX) as f64 / NODE_PX as f64, (y % NODE_PX) as f64 / NODE_PX as f64);
            let node = |dx: usize, dy: usize| &nodes[(ny + dy) * columns + nx + dx];
            let between = |of: &dyn Fn(&(Light, f64)) -> f64| {
                let (top, bottom) = (
                    of(node(0, 0)) * (1.0 - fx) + of(node(1, 0)) * fx,
                    of(node(0, 1)) * (1.0 - fx) + of(node(1, 1)) * fx,
                );
                top * (1.0 - fy) + bottom * fy
            };
            let rough = between(&|node| node.1);
            let uneven = if rough > 0.0 { (rough * dice.gauss()).exp() } else { 1.0 };
            numbers[y * width + x] = [0, 1, 2].map(|channel: usize| {
                let electrons = (between(&|node| node.0[channel]) * taking.electrons_per_r * uneven).max(0.0);
                electrons + (electrons + READ_NOISE * READ_NOISE).sqrt() * dice.gauss()
            });
        }
    }
    match taking.quality {
        None => counted(&numbers, scale),
        Some(quality) => developed(&numbers, scale, gains, quality),
    }
}

fn counted(numbers: &[[f64; 3]], scale: f64) -> Frame {
    let mut bytes = format!("P6\n{} {}\n65535\n", SIZE[0], SIZE[1]).into_bytes();
    for value in numbers.iter().flatten() {
        bytes.extend(sixteen_bits((value * scale).clamp(0.0, 1.0)));
    }
    open(&bytes, &Limits::default()).unwrap().with_curve(TransferCurve::Linear)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1")]
fn sixteen_bits(share: f64) -> [u8; 2] {
    ((share * 65535.0).round() as u16).to_be_bytes()
}

fn developed(numbers: &[[f64; 3]], scale: f64, gains: [f64; 3], quality: f64) -> Frame {
    let curve = |light: f64| {
        let light = light.clamp(0.0, 1.0);
        255.0 * if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
    };
    let mut planes = [0, 1, 2].map(|_| vec![0.0; numbers.len()]);
    for (pixel, value) in numbers.iter().enumerate() {
        let white = [0, 1, 2].map(|i| (value[i] * scale * gains[i]).min(1.0));
        let [r, g, b] = TO_SRGB.map(|row| curve((0..3).map(|i| row[i] * white[i]).sum::<f64>()));
        planes[0][pixel] = 0.299 * r + 0.587 * g + 0.114 * b;
        planes[1][pixel] = 0.564 * (b - planes[0][pixel]);
        planes[2][pixel] = 0.713 * (r - planes[0][pixel]);
    }
    let [light, blue, red] = planes;
    let light = packed(&light, SIZE, &LUMINANCE_STEPS, quality);
    let half = |plane: &[f64]| unhalved(&packed(&halved(plane), [SIZE[0] / 2, SIZE[1] / 2], &COLOUR_STEPS, quality));
    let (blue, red) = (half(&blue), half(&red));
    let mut bytes = format!("P6\n{} {}\n255\n", SIZE[0], SIZE[1]).into_bytes();
    for pixel in 0..light.len() {
        let (y, cb, cr) = (light[pixel], blue[pixel], red[pixel]);
        for value in [y + 1.402 * cr, y - 0.344 * cb - 0.714 * cr, y + 1.772 * cb] {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            bytes.push(value.round().clamp(0.0, 255.0) as u8);
        }
    }
    open(&bytes, &Limits::default()).unwrap()
}

/// ISO/IEC 10918-1, tables K.1 and K.2.
const LUMINANCE_STEPS: [u8; 64] = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51,
    87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101,
    72, 92, 95, 98, 112, 100, 103, 99,
];
/// See [`LUMINANCE_STEPS`].
const COLOUR_STEPS: [u8; 64] = [
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99,
];

/// Cosines of the transform of eight.
static COSINES: LazyLock<[[f64; 8]; 8]> = LazyLock::new(|| {
    [0, 1, 2, 3, 4, 5, 6, 7].map(|wave: u8| {
        [0, 1, 2, 3, 4, 5, 6, 7].map(|at: u8| {
            let size = if wave == 0 { (1.0f64 / 8.0).sqrt() } else { 0.5 };
            size * (std::f64::consts::PI * f64::from(wave) * (f64::from(at) + 0.5) / 8.0).cos()
        })
    })
});

/// What JPEG leaves of a plane: blocks of eight, their waves rounded to steps (the scale of quality of the Independent
/// JPEG Group).
fn packed(plane: &[f64], [width, height]: [usize; 2], steps: &[u8; 64], quality: f64) -> Vec<f64> {
    let percent = if quality < 50.0 { 5000.0 / quality } else { 200.0 - 2.0 * quality };
    let steps = steps.map(|step| ((f64::from(step) * percent + 50.0) / 100.0).floor().clamp(1.0, 255.0));
    let turned = |block: &[f64; 64], back: bool| {
        let mut half = [0.0; 64];
        let mut whole = [0.0; 64];
        let weight = |a: usize, b: usize| if back { COSINES[b][a] } else { COSINES[a][b] };
        for row in 0..8 {
            for out in 0..8 {
                half[row * 8 + out] = (0..8).map(|i| weight(out, i) * block[row * 8 + i]).sum();
            }
        }
        for column in 0..8 {
            for out in 0..8 {
                whole[out * 8 + column] = (0..8).map(|i| weight(out, i) * half[i * 8 + column]).sum();
            }
        }
        whole
    };
    let mut kept = plane.to_vec();
    for top in (0..height).step_by(8) {
        for left in (0..width).step_by(8) {
            let at = |i: usize| (top + i / 8).min(height - 1) * width + (left + i % 8).min(width - 1);
            let block = std::array::from_fn(|i| plane[at(i)]);
            let mut waves = turned(&block, false);
            waves.iter_mut().zip(steps).for_each(|(wave, step)| *wave = (*wave / step).round() * step);
            for (i, value) in turned(&waves, true).into_iter().enumerate() {
                kept[at(i)] = value;
            }
        }
    }
    kept
}

fn halved(plane: &[f64]) -> Vec<f64> {
    let [width, height] = SIZE;
    let at = |x: usize, y: usize| plane[y * width + x];
    (0..height / 2)
        .flat_map(|y| (0..width / 2).map(move |x| (2 * x, 2 * y)))
        .map(|(x, y)| 0.25 * (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1)))
        .collect()
}

fn unhalved(plane: &[f64]) -> Vec<f64> {
    let [width, height] = SIZE;
    (0..height).flat_map(|y| (0..width).map(move |x| plane[y / 2 * (width / 2) + x / 2])).collect()
}
