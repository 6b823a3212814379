//! Star fields of known truth, drawn here: any spread of light, photon and read noise, the same every time.

use frame::Plane;

/// Light of a star per px² at a step from its centre; sums to 1.
pub(crate) type Spread<'a> = dyn Fn(f64, f64) -> f64 + 'a;

/// Points per side of a pixel: the light is summed over the pixel, as a sensor does.
const POINTS: i32 = 5;

/// Whole numbers in, random ones out: the multiplier and increment of Knuth's MMIX generator.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// Even between 0 and 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal with mean 0 and deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.even().max(1e-300).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// A plane being drawn, in electrons.
pub(crate) struct Canvas {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) electrons: Vec<f64>,
}

impl Canvas {
    /// An even sky.
    pub(crate) fn sky(width: usize, height: usize, electrons: f64) -> Self {
        Self { width, height, electrons: vec![electrons; width * height] }
    }

    /// Adds a star out to `reach` px.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded by the plane's sides")]
    pub(crate) fn star(&mut self, [x, y]: [f64; 2], flux: f64, reach: f64, spread: &Spread) {
        let range = |c: f64, n: usize| (c - reach).max(0.0) as usize..((c + reach + 1.0).max(0.0) as usize).min(n);
        let place = |i: i32| (f64::from(i) + 0.5) / f64::from(POINTS) - 0.5;
        for row in range(y, self.height) {
            for column in range(x, self.width) {
                let (dx, dy) = (column as f64 - x, row as f64 - y);
                let points = (0..POINTS).flat_map(|j| (0..POINTS).map(move |i| (i, j)));
                let sum: f64 = points.map(|(i, j)| spread(dx + place(i), dy + place(j))).sum();
                self.electrons[row * self.width + column] += flux * sum / f64::from(POINTS * POINTS);
            }
        }
    }

    /// The plane with photon noise and `read_noise_e`, clipped at `full_e`.
    #[expect(clippy::cast_possible_truncation, reason = "samples are single precision")]
    pub(crate) fn expose(&self, dice: &mut Dice, read_noise_e: f64, full_e: f64) -> Plane {
        let noisy = self.electrons.iter().map(|e| {
            let sigma = (e.max(0.0) + read_noise_e * read_noise_e).sqrt();
            (e + sigma * dice.normal()).min(full_e) as f32
        });
        Plane::new(self.width, self.height, noisy.collect()).unwrap()
    }
}

/// A Gaussian.
pub(crate) fn gaussian(sigma: f64) -> impl Fn(f64, f64) -> f64 {
    move |x, y| (-0.5 * (x * x + y * y) / (sigma * sigma)).exp() / (std::f64::consts::TAU * sigma * sigma)
}

/// A Moffat with exponent `beta`.
pub(crate) fn moffat(fwhm: f64, beta: f64) -> impl Fn(f64, f64) -> f64 {
    let alpha2 = (0.5 * fwhm).powi(2) / (2f64.powf(1.0 / beta) - 1.0);
    move |x, y| (beta - 1.0) / (std::f64::consts::PI * alpha2) * (1.0 + (x * x + y * y) / alpha2).powf(-beta)
}

/// A defocused disc with a hole, its edges softened over a pixel or so.
pub(crate) fn disc(diameter: f64, hole: f64) -> impl Fn(f64, f64) -> f64 {
    let area = 0.25 * std::f64::consts::PI * (diameter * diameter - hole * hole);
    let step = |r: f64| 1.0 / (1.0 + (-r / 0.3).exp());
    move |x, y| {
        let r = x.hypot(y);
        step(0.5 * diameter - r) * (if hole > 0.0 { step(r - 0.5 * hole) } else { 1.0 }) / area
    }
}

/// An even trail of a Gaussian: `[dx, dy]` from end to end.
pub(crate) fn trail([dx, dy]: [f64; 2], sigma: f64) -> impl Fn(f64, f64) -> f64 {
    let steps = (4.0 * dx.hypot(dy) / sigma).ceil().max(1.0);
    let dot = gaussian(sigma);
    move |x, y| {
        let mut sum = 0.0;
        let mut t = 0.5;
        while t < steps {
            let share = t / steps - 0.5;
            sum += dot(x - share * dx, y - share * dy);
            t += 1.0;
        }
        sum / steps
    }
}

/// The same for a trail much longer than it is wide, with square ends: a satellite's.
pub(crate) fn streak([dx, dy]: [f64; 2], sigma: f64) -> impl Fn(f64, f64) -> f64 {
    let length = dx.hypot(dy);
    let (ux, uy) = (dx / length, dy / length);
    move |x, y| {
        let (along, across) = (x * ux + y * uy, y * ux - x * uy);
        let inside = if along.abs() < 0.5 * length { 1.0 / length } else { 0.0 };
        inside * (-0.5 * (across / sigma).powi(2)).exp() / (std::f64::consts::TAU.sqrt() * sigma)
    }
}

/// Places of stars, no two closer than `apart` px, none closer than that to an edge, with fluxes of a natural mix.
pub(crate) fn places(dice: &mut Dice, [width, height]: [usize; 2], count: usize, apart: f64) -> Vec<[f64; 3]> {
    let mut stars: Vec<[f64; 3]> = Vec::new();
    for _ in 0..100 * count {
        if stars.len() == count {
            break;
        }
        let x = apart + dice.even() * (width as f64 - 1.0 - 2.0 * apart);
        let y = apart + dice.even() * (height as f64 - 1.0 - 2.0 * apart);
        if stars.iter().all(|s| (s[0] - x).hypot(s[1] - y) > apart) {
            // one star in three is twice as bright as another: about the count of stars by brightness in the sky
            stars.push([x, y, dice.even().max(0.02).powf(-0.9)]);
        }
    }
    stars
}
