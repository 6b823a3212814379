use super::{NumberBasis, SensorStarter, StarterNumbers, numbers};
use crate::{CameraBody, KitLimits};

/// Size of a losslessly packed raw frame, MB a megapixel: 1.1 to 2 by scene and camera (from memory).
const RAW_MB_PER_MEGAPIXEL: f64 = 1.4;

/// Bayer filter in front of silicon lit from the front and from the back: peak of red, green, blue, 0..1. The sheets of
/// scientific cameras give 0.6 and 0.8 to 0.9 without the filter; the filter passes 0.6 to 0.85 of it (from memory).
const FRONT_LIT: [f64; 3] = [0.40, 0.50, 0.43];
const BACK_LIT: [f64; 3] = [0.45, 0.58, 0.50];

/// What differs from class to class.
struct Class {
    id: &'static str,
    title: &'static str,
    pixel_um: f64,
    width_px: u32,
    height_px: u32,
    peak_quantum_efficiency: [f64; 3],
    read_noise_e: f64,
    full_well_e: f64,
    base_iso: f64,
    phone: bool,
}

/// Cameras, the largest sensor first.
#[rustfmt::skip]
const CLASSES: [Class; 11] = [
    Class { id: "full-frame-24", title: "full frame, 24 MP", pixel_um: 5.95, width_px: 6048, height_px: 4024, peak_quantum_efficiency: FRONT_LIT, read_noise_e: 1.8, full_well_e: 60_000.0, base_iso: 100.0, phone: false },
    Class { id: "full-frame-33", title: "full frame, 33 MP", pixel_um: 5.12, width_px: 7008, height_px: 4672, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.7, full_well_e: 55_000.0, base_iso: 100.0, phone: false },
    Class { id: "full-frame-45", title: "full frame, 45 MP", pixel_um: 4.39, width_px: 8192, height_px: 5464, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.7, full_well_e: 45_000.0, base_iso: 100.0, phone: false },
    Class { id: "full-frame-61", title: "full frame, 61 MP", pixel_um: 3.76, width_px: 9504, height_px: 6336, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.5, full_well_e: 48_000.0, base_iso: 100.0, phone: false },
    Class { id: "aps-c-24", title: "APS-C, 24 MP", pixel_um: 3.92, width_px: 6000, height_px: 4000, peak_quantum_efficiency: FRONT_LIT, read_noise_e: 1.9, full_well_e: 30_000.0, base_iso: 100.0, phone: false },
    Class { id: "aps-c-26", title: "APS-C, 26 MP", pixel_um: 3.76, width_px: 6240, height_px: 4160, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.5, full_well_e: 45_000.0, base_iso: 160.0, phone: false },
    Class { id: "micro-four-thirds-20", title: "Micro Four Thirds, 20 MP", pixel_um: 3.34, width_px: 5184, height_px: 3888, peak_quantum_efficiency: FRONT_LIT, read_noise_e: 1.8, full_well_e: 26_000.0, base_iso: 200.0, phone: false },
    Class { id: "one-inch-20", title: "1-inch, 20 MP", pixel_um: 2.41, width_px: 5472, height_px: 3648, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.7, full_well_e: 15_000.0, base_iso: 125.0, phone: false },
    Class { id: "phone-large", title: "phone, main camera of the 1-inch class, 12 MP binned", pixel_um: 3.2, width_px: 4096, height_px: 3072, peak_quantum_efficiency: BACK_LIT, read_noise_e: 2.0, full_well_e: 20_000.0, base_iso: 50.0, phone: true },
    Class { id: "phone-medium", title: "phone, main camera of the 1/1.3-inch class, 12 MP binned", pixel_um: 2.4, width_px: 4080, height_px: 3072, peak_quantum_efficiency: BACK_LIT, read_noise_e: 2.0, full_well_e: 14_000.0, base_iso: 50.0, phone: true },
    Class { id: "phone-small", title: "phone, main camera of the 1/2.55-inch class, 12 MP", pixel_um: 1.4, width_px: 4032, height_px: 3024, peak_quantum_efficiency: BACK_LIT, read_noise_e: 1.8, full_well_e: 6000.0, base_iso: 50.0, phone: true },
];

/// What a phone's own program lets one set (common values, from memory).
const PHONE_LONGEST_EXPOSURE_S: f64 = 30.0;
const PHONE_HIGHEST_ISO: f64 = 3200.0;

pub(super) fn all() -> Vec<SensorStarter> {
    CLASSES.iter().map(starter).collect()
}

fn starter(class: &Class) -> SensorStarter {
    let megapixels = f64::from(class.width_px) * f64::from(class.height_px) / 1e6;
    SensorStarter {
        id: class.id.to_owned(),
        title: class.title.to_owned(),
        camera: CameraBody {
            name: class.title.to_owned(),
            pixel_um: class.pixel_um,
            width_px: class.width_px,
            height_px: class.height_px,
            peak_quantum_efficiency: class.peak_quantum_efficiency,
            read_noise_e: class.read_noise_e,
            full_well_e: class.full_well_e,
            base_iso: class.base_iso,
        },
        limits: KitLimits {
            frame_mb: Some((RAW_MB_PER_MEGAPIXEL * megapixels).round()),
            longest_exposure_s: class.phone.then_some(PHONE_LONGEST_EXPOSURE_S),
            highest_iso: class.phone.then_some(PHONE_HIGHEST_ISO),
            fixed_aperture: class.phone,
            ..KitLimits::default()
        },
        numbers: sources(class.phone),
    }
}

fn sources(phone: bool) -> Vec<StarterNumbers> {
    use NumberBasis::{Estimate, Published};
    let mut sources = vec![
        numbers(
            &["pixel_um", "width_px", "height_px", "base_iso"],
            Published,
            "manufacturers' specification sheets, class value, from memory",
        ),
        numbers(
            &["peak_quantum_efficiency"],
            Estimate,
            "front- or back-lit silicon behind a Bayer filter: 0.3 to 0.45 red, 0.45 to 0.6 green, 0.35 to 0.5 blue, from memory",
        ),
        numbers(
            &["read_noise_e"],
            Estimate,
            "1.2 to 3 electrons at ISO 800 and above in present-day sensors, from memory",
        ),
        numbers(
            &["full_well_e"],
            Estimate,
            "sheets of scientific cameras with such pixels (51 000 at 3.76 µm, 15 000 at 2.4 µm) and the area between, 30 per cent about it, from memory",
        ),
        numbers(&["frame_mb"], Estimate, "1.4 MB a megapixel, losslessly packed raw, from memory"),
    ];
    if phone {
        sources.push(numbers(
            &["longest_exposure_s", "highest_iso"],
            Estimate,
            "what phones' own programs commonly let one set, from memory",
        ));
    }
    sources
}
