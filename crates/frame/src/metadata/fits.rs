use super::position::believe;
use super::time::{TakenAt, parse, unset};
use super::{Metadata, Subject, words};
use crate::fits::Header;

/// Headers looked at before the picture's own: the first often holds nothing but a few words.
const EXPOSURE_S: [&str; 4] = ["EXPTIME", "EXPOSURE", "EXP_TIME", "TEXPTIME"];
const LATITUDE: [&str; 5] = ["SITELAT", "LAT-OBS", "OBSGEO-B", "GLAT", "LATITUDE"];
const LONGITUDE: [&str; 6] = ["SITELONG", "LONG-OBS", "OBSGEO-L", "GLON", "LONGITUD", "SITELON"];
const HEIGHT_M: [&str; 5] = ["SITEELEV", "ALT-OBS", "OBSGEO-H", "ELEVATIO", "SITEALT"];
const LONGEST_EXPOSURE_S: f64 = 86_400.0;
/// No pixel is longer than this many of its widths (from memory).
const MOST_ASPECT: f64 = 4.0;

/// What the first header says. Times of FITS are UTC (FITS Standard 4.0, 9.2.1).
pub(super) fn read(bytes: &[u8]) -> Metadata {
    let mut metadata = Metadata::default();
    let Some(header) = Header::read(bytes) else { return metadata };
    exposure(&header, &mut metadata);
    metadata.taken = taken(&header, &mut metadata);
    metadata.model = header.text("INSTRUME").or_else(|| header.text("HEAD")).and_then(words::name);
    metadata.lens = header.text("TELESCOP").and_then(words::name);
    metadata.software = header
        .text("SWCREATE")
        .or_else(|| header.text("CREATOR"))
        .or_else(|| header.text("PROGRAM"))
        .and_then(words::name);
    metadata.filter = header.text("FILTER").or_else(|| header.text("FILTWAV")).and_then(words::name);
    metadata.gain_setting = header.number("GAIN");
    metadata.sensor_celsius = header
        .first_number(&["CCD-TEMP", "CCDTEMP"])
        .map(|(_, celsius)| celsius)
        .filter(|c| (-200.0..100.0).contains(c));
    optics(&header, &mut metadata);
    place(&header, &mut metadata);
    metadata
}

fn exposure(header: &Header, metadata: &mut Metadata) {
    let Some((keyword, seconds)) = header.first_number(&EXPOSURE_S) else { return };
    if seconds > 0.0 && seconds <= LONGEST_EXPOSURE_S {
        metadata.exposure_s = Some(seconds);
    } else {
        metadata.doubt(Subject::Exposure, format!("{keyword} {seconds}"), "no camera exposes so");
    }
}

/// The date with its time, or the two in two keywords.
fn taken(header: &Header, metadata: &mut Metadata) -> Option<TakenAt> {
    let date = header.text("DATE-OBS").or_else(|| header.text("OBSDATE")).or_else(|| header.text("DATE-BEG"))?;
    let clock = ["TIME-OBS", "OBSSTART", "UT", "UTC", "UTSTART", "TIME-BEG"].iter().find_map(|k| header.text(k));
    let whole = if date.len() > 10 { Some(date.to_owned()) } else { clock.map(|clock| format!("{date}T{clock}")) };
    let Some((local, _)) = whole.as_deref().and_then(parse) else {
        metadata.doubt(Subject::Time, date, "there is no time of the day with it");
        return None;
    };
    if let Some(reason) = unset(local) {
        metadata.doubt(Subject::Time, local, reason);
        return None;
    }
    Some(TakenAt { local, utc_offset_s: Some(0) })
}

fn optics(header: &Header, metadata: &mut Metadata) {
    if let Some(focal_mm) = header.number("FOCALLEN") {
        if focal_mm > 0.0 && focal_mm < 1e6 {
            metadata.focal_mm = Some(focal_mm);
        } else {
            metadata.doubt(Subject::FocalLength, format!("{focal_mm} mm"), "the recorder did not know its lens");
        }
    }
    metadata.f_number = header.number("FOCRATIO").filter(|number| *number > 0.0 && *number < 1_000.0);
    // micrometres by custom; one recorder in use writes millimetres to a keyword of its own
    let pitch_um = header
        .first_number(&["XPIXSZ", "PIXSIZE1", "PIXSIZE"])
        .map(|(_, pitch)| pitch)
        .or_else(|| header.number("PIXWIDTH").map(|pitch| if pitch < 0.1 { pitch * 1_000.0 } else { pitch }));
    metadata.pixel_aspect = header
        .number("XPIXSZ")
        .zip(header.number("YPIXSZ"))
        .map(|(across, along)| across / along)
        .filter(|aspect| (1.0 / MOST_ASPECT..=MOST_ASPECT).contains(aspect));
    metadata.pixel_um = pitch_um.filter(|pitch| (0.4..=200.0).contains(pitch));
}

fn place(header: &Header, metadata: &mut Metadata) {
    let find = |keywords: &[&'static str]| keywords.iter().find_map(|keyword| degrees(header.text(keyword)?));
    let (Some(latitude_deg), Some(longitude_deg)) = (find(&LATITUDE), find(&LONGITUDE)) else { return };
    let height_m = header.first_number(&HEIGHT_M).map(|(_, height)| height);
    believe(metadata, latitude_deg, longitude_deg, height_m);
}

/// Degrees as one number, or degrees, minutes and seconds parted by blanks or colons.
fn degrees(text: &str) -> Option<f64> {
    let text = text.trim();
    if let Ok(number) = text.parse::<f64>() {
        return number.is_finite().then_some(number);
    }
    let parts: Vec<f64> = text
        .split([' ', ':'])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse::<f64>().ok().filter(|number| number.is_finite()))
        .collect::<Option<_>>()?;
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let [degrees, minutes, seconds] = match *parts.as_slice() {
        [degrees, minutes] => [degrees, minutes, 0.0],
        [degrees, minutes, seconds] => [degrees, minutes, seconds],
        _ => return None,
    };
    Some(sign * (degrees.abs() + minutes / 60.0 + seconds / 3_600.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_read_in_both_shapes() {
        assert_eq!(degrees("-147.479"), Some(-147.479));
        assert!((degrees("-00 30 36").unwrap() + 0.51).abs() < 1e-12);
        assert!((degrees("+65:07:30").unwrap() - 65.125).abs() < 1e-12);
        assert_eq!(degrees("north"), None);
    }
}
