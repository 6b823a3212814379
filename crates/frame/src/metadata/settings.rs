use super::tags::{Tags, names};
use super::{Metadata, Subject};
use crate::Orientation;
use crate::metadata::words;

/// Longest exposure believed, s: a day. Longer than any battery; common practice, no source.
const LONGEST_EXPOSURE_S: f64 = 86_400.0;
/// Shortest exposure believed, s: electronic shutters reach 1/180 000 s.
const SHORTEST_EXPOSURE_S: f64 = 1e-6;
/// F-numbers of pinholes reach some hundreds, of the fastest lenses 0.7.
const F_NUMBERS: [f64; 2] = [0.5, 1_000.0];
/// Focal lengths from a phone's to a telescope's, mm.
const FOCAL_LENGTHS_MM: [f64; 2] = [0.5, 20_000.0];
/// ISO settings sold: up to 4 million.
const ISO: [f64; 2] = [1.0, 10_000_000.0];
/// Exif 2.32, tag 34855: a camera whose ISO is beyond the field's 16 bits writes this.
const ISO_BEYOND_FIELD: u32 = 65_535;
/// Crop factors from larger than 36 mm by 24 mm (0.3: large format) to the smallest of phones (about 11).
const CROP_FACTORS: [f64; 2] = [0.2, 15.0];

/// Body, lens, exposure and how the picture is turned.
pub(super) fn read(tags: &Tags, metadata: &mut Metadata) {
    metadata.make = tags.text(names::MAKE).and_then(words::name);
    metadata.model = tags.text(names::MODEL).and_then(words::name);
    // bodies that hide their number write zeros
    let serial = tags.text(names::BODY_SERIAL).and_then(words::name);
    metadata.serial = serial.filter(|serial| serial.chars().any(|letter| letter.is_alphanumeric() && letter != '0'));
    metadata.software = tags.text(names::SOFTWARE).and_then(words::name);
    lens_name(tags, metadata);
    exposure(tags, metadata);
    f_number(tags, metadata);
    iso(tags, metadata);
    focal_lengths(tags, metadata);
    focal_plane(tags, metadata);
    orientation(tags, metadata);
    metadata.digital_zoom = tags.number(names::DIGITAL_ZOOM).filter(|zoom| (1.0..100.0).contains(zoom));
    let side = |tag| tags.number(tag).filter(|side| (1.0..1e6).contains(side)).map(whole);
    metadata.said_size = side(names::WIDTH).zip(side(names::HEIGHT)).map(|(width, height)| [width, height]);
    // DCF 2.0: "uncalibrated" with the interoperability mark R03 is Adobe RGB; some programs write 2 instead
    let colours = tags.number(names::COLOUR_SPACE);
    let is_marked = tags.text(names::INTEROPERABILITY).is_some_and(|mark| mark.starts_with("R03"));
    metadata.is_adobe_rgb = colours == Some(2.0) || (colours == Some(65_535.0) && is_marked);
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to a million")]
fn whole(number: f64) -> u32 {
    number as u32
}

fn lens_name(tags: &Tags, metadata: &mut Metadata) {
    let Some(text) = tags.text(names::LENS) else { return };
    metadata.lens = words::name(text);
    if metadata.lens.is_none() {
        metadata.doubt(Subject::Lens, text, "the camera did not know its lens: it has no contacts");
    }
}

fn is_within(number: f64, [low, high]: [f64; 2]) -> bool {
    (low..=high).contains(&number)
}

fn exposure(tags: &Tags, metadata: &mut Metadata) {
    let limits = [SHORTEST_EXPOSURE_S, LONGEST_EXPOSURE_S];
    let stored = tags.number(names::EXPOSURE);
    if let Some(stored) = stored {
        if is_within(stored, limits) {
            metadata.exposure_s = Some(stored);
            return;
        }
        let reason = if stored == 0.0 { "an exposure of nothing gives no picture" } else { "no camera exposes so" };
        metadata.doubt(Subject::Exposure, format!("{stored} s"), reason);
    }
    // APEX: Tv = -log2 t. A few writers give nothing else; it is rounded, so it comes second
    metadata.exposure_s =
        tags.number(names::SHUTTER_APEX).map(|apex| 2f64.powf(-apex)).filter(|seconds| is_within(*seconds, limits));
}

fn f_number(tags: &Tags, metadata: &mut Metadata) {
    if let Some(stored) = tags.number(names::F_NUMBER) {
        if is_within(stored, F_NUMBERS) {
            metadata.f_number = Some(stored);
            return;
        }
        let reason = if stored == 0.0 {
            "the camera did not know its lens: give the f-number by hand"
        } else {
            "no lens has it"
        };
        metadata.doubt(Subject::FNumber, stored, reason);
    }
    // APEX: Av = 2 log2 N; 0 would be f/1, and is what a lens without contacts gives
    metadata.f_number = tags
        .number(names::APERTURE_APEX)
        .filter(|apex| *apex > 0.0)
        .map(|apex| 2f64.powf(apex / 2.0))
        .filter(|number| is_within(*number, F_NUMBERS));
}

/// Exif 2.32, tags 34855 and 34864 to 34867: the old field has 16 bits; a camera beyond them fills it and writes the
/// setting to one of three others. Some old writers put a list there; its first number counts.
fn iso(tags: &Tags, metadata: &mut Metadata) {
    let plain = tags.number(names::SENSITIVITY).or_else(|| tags.number(names::PANASONIC_ISO));
    let longer = [names::RECOMMENDED_INDEX, names::STANDARD_OUTPUT, names::ISO_SPEED]
        .into_iter()
        .find_map(|tag| tags.number(tag).filter(|iso| is_within(*iso, ISO)));
    match plain {
        Some(iso) if is_within(iso, ISO) && whole(iso) != ISO_BEYOND_FIELD => metadata.iso = Some(iso),
        Some(iso) => {
            metadata.iso = longer;
            if longer.is_none() {
                let reason = if is_within(iso, ISO) {
                    "the field is full: the setting was 65535 or more"
                } else {
                    "no camera has it"
                };
                metadata.doubt(Subject::Iso, iso, reason);
            }
        }
        None => metadata.iso = longer,
    }
}

fn focal_lengths(tags: &Tags, metadata: &mut Metadata) {
    if let Some(stored) = tags.number(names::FOCAL_LENGTH) {
        if is_within(stored, FOCAL_LENGTHS_MM) {
            metadata.focal_mm = Some(stored);
        } else {
            let reason = if stored == 0.0 {
                "the camera did not know its lens: give the focal length by hand"
            } else {
                "no lens has it"
            };
            metadata.doubt(Subject::FocalLength, format!("{stored} mm"), reason);
        }
    }
    // Exif 2.32, tag 41989: 0 means that it is not known
    let Some(equivalent) = tags.number(names::FOCAL_35MM).filter(|equivalent| *equivalent != 0.0) else { return };
    let crop = metadata.focal_mm.map_or(1.0, |focal_mm| equivalent / focal_mm);
    if is_within(equivalent, FOCAL_LENGTHS_MM) && is_within(crop, CROP_FACTORS) {
        metadata.focal_35mm_equivalent_mm = Some(equivalent);
    } else {
        let reason = "no sensor makes such an equivalent of the focal length";
        metadata.doubt(Subject::EquivalentFocalLength, format!("{equivalent} mm"), reason);
    }
}

/// Pixel pitches from 0.4 to 100 µm: phones have 0.6, cooled cameras with binning up to 50.
const PX_PER_MM: [f64; 2] = [10.0, 2_500.0];

fn focal_plane(tags: &Tags, metadata: &mut Metadata) {
    let (Some(x), Some(y)) = (tags.number(names::FOCAL_PLANE_X), tags.number(names::FOCAL_PLANE_Y)) else { return };
    // Exif 2.32, tag 41488: 2 inch (also when missing), 3 centimetre; 4 and 5 are in use beyond it
    let unit_mm = match tags.number(names::FOCAL_PLANE_UNIT).map(whole) {
        Some(3) => 10.0,
        Some(4) => 1.0,
        Some(5) => 0.001,
        _ => 25.4,
    };
    let per_mm = [x / unit_mm, y / unit_mm];
    if per_mm.iter().all(|number| is_within(*number, PX_PER_MM)) {
        metadata.focal_plane_px_per_mm = Some(per_mm);
    } else {
        let found = format!("{:.3} pixels per mm", per_mm[0]);
        metadata.doubt(Subject::FocalPlane, found, "no sensor has such pixels");
    }
}

fn orientation(tags: &Tags, metadata: &mut Metadata) {
    let Some(stored) = tags.number(names::ORIENTATION) else { return };
    metadata.orientation = if is_within(stored, [1.0, 8.0]) { Orientation::from_exif(whole(stored)) } else { None };
    if metadata.orientation.is_none() {
        metadata.doubt(Subject::Orientation, stored, "only 1 to 8 have a meaning: shown as stored");
    }
}
