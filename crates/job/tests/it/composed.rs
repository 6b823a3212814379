//! Frames drawn for the tests: stars of a known width and trail over a known sky, written as TIFF with settings.

use std::f64::consts::PI;

/// Columns and rows of every drawn frame.
pub(crate) const SIZE: [usize; 2] = [720, 480];

/// What is drawn. Levels are shares of full scale, as light.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn {
    pub(crate) sky: f64,
    /// Gaussian sigma of a star, px.
    pub(crate) sigma_px: f64,
    /// Radius of an even disc instead, px; 0 for a point.
    pub(crate) disc_px: f64,
    /// Length of the trail, px, and its direction, degrees.
    pub(crate) trail: (f64, f64),
    /// Share of the frame, from the left, that is full.
    pub(crate) burnt: f64,
    /// Lamps along the lower edge: full, 6 px wide.
    pub(crate) lamps: usize,
    pub(crate) exposure_s: f64,
    pub(crate) iso: u16,
    /// How the picture is to be shown, EXIF 1 to 8.
    pub(crate) orientation: u16,
}

impl Drawn {
    /// Sharp stars on a sky 1.5 stops under mid-grey.
    pub(crate) fn good() -> Self {
        Self {
            sky: 0.18 * 2f64.powf(-1.5),
            sigma_px: 1.0,
            disc_px: 0.0,
            trail: (0.0, 0.0),
            burnt: 0.0,
            lamps: 0,
            exposure_s: 4.0,
            iso: 1600,
            orientation: 1,
        }
    }

    /// The frame as the bytes of a file.
    pub(crate) fn tiff(&self) -> Vec<u8> {
        let mut light = vec![self.sky; SIZE[0] * SIZE[1]];
        let mut chance = Chance(0x5eed);
        for _ in 0..90 {
            let at = [20.0 + 680.0 * chance.even(), 20.0 + 440.0 * chance.even()];
            self.star(&mut light, at, 3.0 + 9.0 * chance.even().powi(2));
        }
        for (index, value) in light.iter_mut().enumerate() {
            if (index % SIZE[0]) as f64 / (SIZE[0] as f64) < self.burnt {
                *value = 2.0;
            }
        }
        for lamp in 0..self.lamps {
            for (dx, dy) in (0..36).map(|i| (i % 6, i / 6)) {
                light[(460 + dy) * SIZE[0] + 30 + 60 * lamp + dx] = 2.0;
            }
        }
        let noise = 0.004;
        let mut samples = Vec::with_capacity(light.len() * 3);
        for value in light {
            for share in [0.8, 1.0, 0.7] {
                // what is full is full in every channel
                let share = if value > 1.0 { 1.0 } else { share };
                samples.push(encoded(value * share + noise * chance.bell()));
            }
        }
        tiff(&samples, self)
    }

    fn star(&self, light: &mut [f64], [x, y]: [f64; 2], flux: f64) {
        let steps = 1.0 + (4.0 * self.trail.0).ceil();
        let (sin, cos) = self.trail.1.to_radians().sin_cos();
        let mut step = 0.0;
        while step < steps {
            let along = if steps > 1.0 { (step / (steps - 1.0) - 0.5) * self.trail.0 } else { 0.0 };
            self.spot(light, [x + along * cos, y + along * sin], flux / steps);
            step += 1.0;
        }
    }

    fn spot(&self, light: &mut [f64], [cx, cy]: [f64; 2], flux: f64) {
        let reach = 4.0 * self.sigma_px + self.disc_px;
        let area = if self.disc_px > 0.0 { PI * self.disc_px.powi(2) } else { 2.0 * PI * self.sigma_px.powi(2) };
        for (index, value) in light.iter_mut().enumerate() {
            let (dx, dy) = ((index % SIZE[0]) as f64 - cx, (index / SIZE[0]) as f64 - cy);
            if dx.abs() > reach || dy.abs() > reach {
                continue;
            }
            let r = dx.hypot(dy);
            let shape = if self.disc_px > 0.0 {
                (self.disc_px + 0.5 - r).clamp(0.0, 1.0)
            } else {
                (-0.5 * (r / self.sigma_px).powi(2)).exp()
            };
            *value += flux * shape / area * if self.disc_px > 0.0 { 4.0 } else { 0.3 };
        }
    }
}

/// The sRGB curve (IEC 61966-2-1), 16 bits.
fn encoded(light: f64) -> u16 {
    let light = light.clamp(0.0, 1.0);
    let value = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535")]
    let number = (value * 65_535.0).round() as u16;
    number
}

/// One strip of RGB with exposure, f-number, ISO and focal length (TIFF 6.0, Exif 2.32).
fn tiff(samples: &[u16], drawn: &Drawn) -> Vec<u8> {
    const HEAD: u32 = 8;
    #[expect(clippy::cast_possible_truncation, reason = "small")]
    let count = (samples.len() * 2) as u32;
    let rationals = HEAD + count;
    let bits = rationals + 24;
    let model = bits + 6;
    let exif = model + 16;
    let first = exif + 2 + 4 * 12 + 4;
    let mut out = b"II\x2a\0".to_vec();
    out.extend(first.to_le_bytes());
    out.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "milliseconds of a short time")]
    let milliseconds = (drawn.exposure_s * 1000.0) as u32;
    for number in [milliseconds, 1000, 18, 10, 20, 1] {
        out.extend(number.to_le_bytes());
    }
    out.extend([16u16; 3].iter().flat_map(|bits| bits.to_le_bytes()));
    out.extend(b"Drawn camera\0\0\0\0");
    let entry = |tag: u16, kind: u16, number: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &number.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let directory = |entries: &[Vec<u8>]| {
        #[expect(clippy::cast_possible_truncation, reason = "a handful")]
        let head = (entries.len() as u16).to_le_bytes().to_vec();
        [head, entries.concat(), vec![0; 4]].concat()
    };
    #[expect(clippy::cast_possible_truncation, reason = "small")]
    let [width, height] = SIZE.map(|side| side as u32);
    out.extend(directory(&[
        entry(33434, 5, 1, rationals),
        entry(33437, 5, 1, rationals + 8),
        entry(34855, 3, 1, u32::from(drawn.iso)),
        entry(37386, 5, 1, rationals + 16),
    ]));
    out.extend(directory(&[
        entry(256, 4, 1, width),
        entry(257, 4, 1, height),
        entry(258, 3, 3, bits),
        entry(259, 3, 1, 1),
        entry(262, 3, 1, 2),
        entry(272, 2, 13, model),
        entry(273, 4, 1, HEAD),
        entry(274, 3, 1, u32::from(drawn.orientation)),
        entry(277, 3, 1, 3),
        entry(278, 4, 1, height),
        entry(279, 4, 1, count),
        entry(34665, 4, 1, exif),
    ]));
    out
}

/// xorshift (Marsaglia 2003, J. Stat. Softw. 8, 14): the same frame every time.
struct Chance(u64);

impl Chance {
    fn even(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}
