//! The sensor: photons counted, noise added, converted.

use optics::Sensor;

use crate::picture::Picture;
use crate::random::{Random, even_of, mixed};

/// What the sensor recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbers {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The converter's numbers, row by row, in the pattern RGGB.
    pub values: Vec<u16>,
    /// Number without light.
    pub black: u16,
    /// Number at which pixels clip.
    pub white: u16,
}

/// Greatest number of the converter.
pub(crate) fn white(sensor: &Sensor) -> u16 {
    u16::try_from((1u32 << sensor.adc_bits.min(16)) - 1).unwrap_or(u16::MAX)
}

/// Electrons per step of the converter: the range from black to white holds what the sensor holds at this ISO.
pub(crate) fn electrons_per_step(sensor: &Sensor, iso: f64, black: u16) -> f64 {
    sensor.saturation_e(iso) / f64::from(white(sensor) - black.min(white(sensor) - 1))
}

/// Exposes a picture.
pub(crate) fn read_out(picture: &Picture<'_>, seed: u64) -> Numbers {
    let (kit, exposure) = (&picture.spec.kit, &picture.spec.exposure);
    let sensor = &kit.sensor;
    let (width, height) = (sensor.width_px as usize, sensor.height_px as usize);
    let (black, white) = (kit.black_level, white(sensor));
    let step_e = electrons_per_step(sensor, exposure.iso, black);
    let read_e = sensor.read_noise_e(exposure.iso);
    let dark_e = sensor.dark_current_e_s * exposure.seconds;
    let mut values = Vec::with_capacity(width * height);
    let mut row = vec![0.0f32; width];
    for y in 0..height {
        picture.row(y, &mut row);
        let mut random = Random::new(seed, y as u64);
        for (x, light) in row.iter().enumerate() {
            let hot_e = hot_rate(kit.body_seed, kit.hot_pixel_share, y * width + x) * exposure.seconds;
            let counted = random.poisson(f64::from(*light) + dark_e + hot_e);
            let number = f64::from(black) + (counted + read_e * random.normal()) / step_e;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the converter's range"
            )]
            let number = number.round().clamp(0.0, f64::from(white)) as u16;
            values.push(number);
        }
    }
    Numbers { width, height, values, black, white }
}

/// Dark current of a hot pixel, electrons per second; 0 for a good one.
fn hot_rate(body_seed: u64, share: f64, pixel: usize) -> f64 {
    let bits = mixed(body_seed ^ mixed(pixel as u64));
    if even_of(bits) >= share {
        return 0.0;
    }
    // 20 to 20 000 electrons a second, as many in each tenfold
    20.0 * 1000f64.powf(even_of(mixed(bits)))
}
