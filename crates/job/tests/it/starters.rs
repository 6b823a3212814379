//! The starters against the sizes of sensor formats, and as kits.

use job::{NumberBasis, starter_kit, starters};

/// Width of the format's picture, mm (makers' sheets; Four Thirds: the standard's 17.3), and how far classes vary.
const WIDTHS_MM: [(&str, f64, f64); 7] = [
    ("full-frame", 35.8, 0.4),
    ("aps-c", 23.5, 0.2),
    ("micro-four-thirds", 17.3, 0.1),
    ("one-inch", 13.2, 0.1),
    ("phone-large", 13.1, 0.2),
    ("phone-medium", 9.8, 0.2),
    ("phone-small", 5.64, 0.1),
];

#[test]
fn every_pair_is_a_kit_that_can_be_used() {
    let starters = starters();
    for sensor in &starters.sensors {
        for lens in &starters.lenses {
            let kit = starter_kit(format!("{}, {}", sensor.title, lens.title), sensor, lens);
            kit.check().unwrap();
            assert!(kit.exposure_s >= 2.0 && kit.exposure_s <= 20.0);
        }
    }
    let plain = starter_kit(
        job::Kit::plain().name,
        starters.sensor("full-frame-24").unwrap(),
        starters.lens("20-1.8").unwrap(),
    );
    // the kit where none is given is the first of these, spelt out
    assert!((plain.camera.pixel_um - job::Kit::plain().camera.pixel_um).abs() < 1e-12);
    assert!((plain.camera.full_well_e / job::Kit::plain().camera.full_well_e - 1.0).abs() < 0.01);
    assert!((plain.exposure_s - job::Kit::plain().exposure_s).abs() < 1e-12);
}

#[test]
fn pitch_times_pixels_is_the_width_of_the_format() {
    for sensor in starters().sensors {
        let width_mm = sensor.camera.pixel_um * f64::from(sensor.camera.width_px) / 1000.0;
        let (_, wanted, tolerance) = *WIDTHS_MM.iter().find(|(class, ..)| sensor.id.starts_with(class)).unwrap();
        assert!((width_mm - wanted).abs() <= tolerance, "{}: {width_mm} mm", sensor.id);
    }
}

#[test]
fn names_are_single_and_every_number_has_a_source() {
    let starters = starters();
    let mut ids: Vec<&str> = starters.sensors.iter().map(|sensor| sensor.id.as_str()).collect();
    ids.extend(starters.lenses.iter().map(|lens| lens.id.as_str()));
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count);
    for sensor in &starters.sensors {
        for field in ["pixel_um", "read_noise_e", "full_well_e", "peak_quantum_efficiency"] {
            assert!(sensor.numbers.iter().any(|group| group.fields.iter().any(|named| named == field)), "{field}");
        }
        let guessed = sensor.numbers.iter().filter(|group| group.basis == NumberBasis::Estimate);
        assert!(guessed.flat_map(|group| &group.fields).any(|field| field == "full_well_e"));
    }
    for lens in &starters.lenses {
        if let Some(camera) = &lens.built_into {
            assert!(starters.sensor(camera).unwrap().limits.fixed_aperture);
        }
    }
}
