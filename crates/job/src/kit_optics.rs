//! The kit as the optics know it.

use optics::{InfraredFilter, Lens, ReadNoise, Sensor};

use crate::Kit;

/// Converter of a camera whose bits are not known.
const ADC_BITS: u8 = 14;
/// Dark current of a present-day sensor at 20 degrees Celsius, e/s, and what halves it (textbook values, no one camera).
const DARK_CURRENT_20C_E_S: f64 = 0.05;
const DARK_HALVES_PER_C: f64 = 6.5;

/// Temperature for a kit's dark current where nobody tells it, degrees Celsius: a night in the field.
pub(crate) const NIGHT_C: f64 = -5.0;

/// The sensor at a temperature.
pub(crate) fn sensor(kit: &Kit, temperature_c: f64) -> Sensor {
    let camera = &kit.camera;
    Sensor {
        pixel_um: camera.pixel_um,
        width_px: camera.width_px,
        height_px: camera.height_px,
        peak_qe: camera.peak_quantum_efficiency,
        // one value is kept of a camera: that at night's ISO
        read_noise: ReadNoise {
            low_iso_e: camera.read_noise_e,
            high_iso_e: camera.read_noise_e,
            crossover_iso: camera.base_iso,
        },
        full_well_e: camera.full_well_e,
        base_iso: camera.base_iso,
        dark_current_e_s: DARK_CURRENT_20C_E_S * 2f64.powf((temperature_c - 20.0) / DARK_HALVES_PER_C),
        adc_bits: ADC_BITS,
        infrared_filter: InfraredFilter::Stock,
    }
}

/// The lens.
pub(crate) fn lens(kit: &Kit) -> Lens {
    Lens {
        f_number: kit.lens.f_number,
        focal_mm: kit.lens.focal_mm,
        transmission: kit.lens.transmission,
        projection: kit.lens.projection.into(),
        corner_loss_stops: kit.lens.corner_loss_stops,
    }
}
