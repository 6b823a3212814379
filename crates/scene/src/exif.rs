//! What a camera writes about a picture (CIPA DC-008, Exif 2.32).

use jiff::tz::Offset;

use crate::SceneSpec;
use crate::tiff_writer::{Directory, Field};

/// Program named in the file.
const SOFTWARE: &str = "Quietarc scene";
/// Greatest ISO of the old field.
const GREATEST_SHORT_ISO: f64 = 65_535.0;
/// Diagonal of 36 mm by 24 mm, mm.
const FULL_FRAME_DIAGONAL_MM: f64 = 43.266_615;

/// The block as it stands in a JPEG or PNG, without a head of its own.
pub(crate) fn block(spec: &SceneSpec, size: [usize; 2]) -> Vec<u8> {
    let mut first = picture_directory(spec);
    first.add(0x8769, Field::Directory(settings(spec, size)));
    if spec.kit.writes_position {
        first.add(0x8825, Field::Directory(position(spec)));
    }
    first.file()
}

/// Maker, body, time: what stands in the first directory of any file.
pub(crate) fn picture_directory(spec: &SceneSpec) -> Directory {
    let mut directory = Directory::default();
    directory.add(0x010f, Field::Text(spec.kit.make.clone()));
    directory.add(0x0110, Field::Text(spec.kit.model.clone()));
    directory.add(0x0112, Field::Shorts(vec![1]));
    directory.add(0x0131, Field::Text(SOFTWARE.to_owned()));
    directory.add(0x0132, Field::Text(local_time(spec).0));
    directory
}

/// Settings of the exposure.
pub(crate) fn settings(spec: &SceneSpec, [width, height]: [usize; 2]) -> Directory {
    let (kit, exposure) = (&spec.kit, &spec.exposure);
    let (moment, hundredths) = local_time(spec);
    let offset = offset_text(spec.utc_offset_s);
    let mut directory = Directory::default();
    directory.add(0x829a, Field::Rationals(vec![rational(exposure.seconds)]));
    directory.add(0x829d, Field::Rationals(vec![rational(exposure.f_number)]));
    directory.add(0x8822, Field::Shorts(vec![1]));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the field")]
    let (short, long) = (exposure.iso.round().min(GREATEST_SHORT_ISO) as u16, exposure.iso.round() as u32);
    directory.add(0x8827, Field::Shorts(vec![short]));
    directory.add(0x8830, Field::Shorts(vec![2]));
    directory.add(0x8832, Field::Longs(vec![long]));
    directory.add(0x9000, Field::Undefined(b"0232".to_vec()));
    for tag in [0x9003, 0x9004] {
        directory.add(tag, Field::Text(moment.clone()));
    }
    for tag in [0x9010, 0x9011, 0x9012] {
        directory.add(tag, Field::Text(offset.clone()));
    }
    directory.add(0x9291, Field::Text(hundredths));
    directory.add(0x920a, Field::Rationals(vec![rational(kit.lens.focal_mm)]));
    directory.add(0xa001, Field::Shorts(vec![1]));
    let side = |pixels: usize| Field::Longs(vec![u32::try_from(pixels).unwrap_or(u32::MAX)]);
    directory.add(0xa002, side(width));
    directory.add(0xa003, side(height));
    // pixels per centimetre of the sensor
    let resolution = rational(1e4 / kit.sensor.pixel_um);
    directory.add(0xa20e, Field::Rationals(vec![resolution]));
    directory.add(0xa20f, Field::Rationals(vec![resolution]));
    directory.add(0xa210, Field::Shorts(vec![3]));
    let diagonal_mm =
        1e-3 * kit.sensor.pixel_um * f64::from(kit.sensor.width_px).hypot(f64::from(kit.sensor.height_px));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a focal length")]
    let equivalent = (kit.lens.focal_mm * FULL_FRAME_DIAGONAL_MM / diagonal_mm).round().clamp(0.0, 65_535.0) as u16;
    directory.add(0xa405, Field::Shorts(vec![equivalent]));
    directory.add(0xa434, Field::Text(kit.lens_name.clone()));
    directory
}

/// Where, by the receiver in the body.
pub(crate) fn position(spec: &SceneSpec) -> Directory {
    let place = spec.place;
    let mut directory = Directory::default();
    directory.add(0, Field::Bytes(vec![2, 3, 0, 0]));
    let sign = |value: f64, positive: &str, negative: &str| {
        Field::Text(if value < 0.0 { negative } else { positive }.to_owned())
    };
    directory.add(1, sign(place.latitude_deg(), "N", "S"));
    directory.add(2, Field::Rationals(degrees_minutes_seconds(place.latitude_deg())));
    directory.add(3, sign(place.longitude_deg(), "E", "W"));
    directory.add(4, Field::Rationals(degrees_minutes_seconds(place.longitude_deg())));
    directory.add(5, Field::Bytes(vec![u8::from(place.height_m() < 0.0)]));
    directory.add(6, Field::Rationals(vec![rational(place.height_m().abs())]));
    directory
}

/// `YYYY:MM:DD HH:MM:SS` by the camera's clock, and the hundredths of the second.
fn local_time(spec: &SceneSpec) -> (String, String) {
    let local = Offset::from_seconds(spec.utc_offset_s).unwrap_or(Offset::UTC).to_datetime(spec.opens_at);
    let text = format!(
        "{:04}:{:02}:{:02} {:02}:{:02}:{:02}",
        local.year(),
        local.month(),
        local.day(),
        local.hour(),
        local.minute(),
        local.second()
    );
    (text, format!("{:02}", local.subsec_nanosecond() / 10_000_000))
}

fn offset_text(seconds: i32) -> String {
    let minutes = seconds.abs() / 60;
    format!("{}{:02}:{:02}", if seconds < 0 { '-' } else { '+' }, minutes / 60, minutes % 60)
}

/// A fraction as cameras write it: one over a whole number below half a second, else in millionths of fitting fineness.
pub(crate) fn rational(value: f64) -> [u32; 2] {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 32 bits")]
    let whole = |value: f64| value.round().clamp(0.0, f64::from(u32::MAX)) as u32;
    if value > 0.0 && value < 0.5 && ((1.0 / value).round() * value - 1.0).abs() < 1e-9 {
        return [1, whole(1.0 / value)];
    }
    let fineness =
        [1.0, 10.0, 100.0, 1000.0, 1e4, 1e5].into_iter().find(|f| (value * f - (value * f).round()).abs() < 1e-9);
    let fineness = fineness.unwrap_or(if value < 4000.0 { 1e6 } else { 1e3 });
    [whole(value * fineness), whole(fineness)]
}

fn degrees_minutes_seconds(degrees: f64) -> Vec<[u32; 2]> {
    let degrees = degrees.abs();
    let minutes = degrees.fract() * 60.0;
    let seconds = minutes.fract() * 60.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an angle")]
    let whole = |value: f64| value as u32;
    vec![[whole(degrees), 1], [whole(minutes), 1], [whole((seconds * 1e4).round()), 10_000]]
}
