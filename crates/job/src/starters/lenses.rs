use super::{LensStarter, NumberBasis, START_ISO, numbers, start_exposure_s};
use crate::{Lens, LensProjection};

/// What differs from class to class.
struct Class {
    id: &'static str,
    title: &'static str,
    focal_mm: f64,
    f_number: f64,
    transmission: f64,
    projection: LensProjection,
    corner_loss_stops: f64,
    built_into: Option<&'static str>,
}

use LensProjection::{Equisolid, Rectilinear};

/// Lenses, the widest first; those of phones last. Fast wide lenses wide open lose 2 to 3 stops in the corner, 1 to 1.5 of
/// them by mount and glass (from memory); glass with many elements passes 0.8 to 0.9.
#[rustfmt::skip]
const CLASSES: [Class; 11] = [
    Class { id: "12-2.0", title: "12 mm f/2, for APS-C and Micro Four Thirds", focal_mm: 12.0, f_number: 2.0, transmission: 0.88, projection: Rectilinear, corner_loss_stops: 1.0, built_into: None },
    Class { id: "14-1.8", title: "14 mm f/1.8", focal_mm: 14.0, f_number: 1.8, transmission: 0.85, projection: Rectilinear, corner_loss_stops: 1.5, built_into: None },
    Class { id: "fisheye-15-2.8", title: "15 mm f/2.8 fisheye, equisolid", focal_mm: 15.0, f_number: 2.8, transmission: 0.88, projection: Equisolid, corner_loss_stops: 0.7, built_into: None },
    Class { id: "kit-18-3.5", title: "kit zoom at 18 mm f/3.5", focal_mm: 18.0, f_number: 3.5, transmission: 0.85, projection: Rectilinear, corner_loss_stops: 1.0, built_into: None },
    Class { id: "20-1.8", title: "20 mm f/1.8", focal_mm: 20.0, f_number: 1.8, transmission: 0.88, projection: Rectilinear, corner_loss_stops: 1.0, built_into: None },
    Class { id: "24-1.4", title: "24 mm f/1.4", focal_mm: 24.0, f_number: 1.4, transmission: 0.86, projection: Rectilinear, corner_loss_stops: 1.5, built_into: None },
    Class { id: "35-1.4", title: "35 mm f/1.4", focal_mm: 35.0, f_number: 1.4, transmission: 0.86, projection: Rectilinear, corner_loss_stops: 1.3, built_into: None },
    Class { id: "50-1.8", title: "50 mm f/1.8", focal_mm: 50.0, f_number: 1.8, transmission: 0.90, projection: Rectilinear, corner_loss_stops: 1.0, built_into: None },
    Class { id: "phone-large-lens", title: "lens of a phone of the 1-inch class, 23 mm equivalent", focal_mm: 8.7, f_number: 1.8, transmission: 0.85, projection: Rectilinear, corner_loss_stops: 1.0, built_into: Some("phone-large") },
    Class { id: "phone-medium-lens", title: "lens of a phone of the 1/1.3-inch class, 24 mm equivalent", focal_mm: 6.8, f_number: 1.8, transmission: 0.85, projection: Rectilinear, corner_loss_stops: 1.0, built_into: Some("phone-medium") },
    Class { id: "phone-small-lens", title: "lens of a phone of the 1/2.55-inch class, 26 mm equivalent", focal_mm: 4.25, f_number: 1.8, transmission: 0.85, projection: Rectilinear, corner_loss_stops: 1.0, built_into: Some("phone-small") },
];

pub(super) fn all() -> Vec<LensStarter> {
    CLASSES.iter().map(starter).collect()
}

fn starter(class: &Class) -> LensStarter {
    use NumberBasis::{Estimate, Published};
    LensStarter {
        id: class.id.to_owned(),
        title: class.title.to_owned(),
        lens: Lens {
            name: class.title.to_owned(),
            focal_mm: class.focal_mm,
            f_number: class.f_number,
            transmission: class.transmission,
            projection: class.projection,
            corner_loss_stops: class.corner_loss_stops,
            profile: None,
            sharpest: None,
        },
        exposure_s: start_exposure_s(class.f_number),
        iso: START_ISO,
        built_into: class.built_into.map(str::to_owned),
        numbers: vec![
            numbers(
                &["focal_mm", "f_number"],
                Published,
                "engraved on lenses of the class; real ones differ by 1 to 5 in 100",
            ),
            numbers(&["transmission", "corner_loss_stops"], Estimate, "fast wide lenses wide open, from memory"),
            numbers(&["projection"], Estimate, "the class's design; real lenses distort"),
        ],
    }
}
