use quantity::GeoPosition;

use super::tags::{Tag, Tags, names};
use super::{Metadata, Subject};

/// Closer to 0° N 0° E than this, degrees, and it is a receiver that knew nothing: there is only sea.
const NOWHERE_DEG: f64 = 0.01;

/// Latitude, longitude and height.
pub(super) fn read(tags: &Tags, metadata: &mut Metadata) {
    let latitude = angle(tags, names::LATITUDE);
    let longitude = angle(tags, names::LONGITUDE);
    let (Some(latitude), Some(longitude)) = (latitude, longitude) else { return };
    let signs = sign(tags, names::LATITUDE_REF, b'N', b'S').zip(sign(tags, names::LONGITUDE_REF, b'E', b'W'));
    let found = format!("{latitude:.5}, {longitude:.5}");
    let Some((north, east)) = signs else {
        metadata.doubt(Subject::Position, found, "it does not say north or south, east or west");
        return;
    };
    believe(metadata, north * latitude, east * longitude, height_m(tags));
}

/// Takes a position over where it can be one.
pub(super) fn believe(metadata: &mut Metadata, latitude_deg: f64, longitude_deg: f64, height_m: Option<f64>) {
    let found = format!("{latitude_deg:.5}, {longitude_deg:.5}");
    if latitude_deg.abs() < NOWHERE_DEG && longitude_deg.abs() < NOWHERE_DEG {
        metadata.doubt(Subject::Position, found, "a receiver without a fix writes 0, 0");
        return;
    }
    match GeoPosition::new(latitude_deg, longitude_deg, 0.0) {
        Err(_cause) => metadata.doubt(Subject::Position, found, "it is no place on Earth"),
        Ok(at_sea_level) => {
            let height_m = height_m.unwrap_or(0.0);
            let position = GeoPosition::new(latitude_deg, longitude_deg, height_m);
            if position.is_err() {
                let found = format!("height {height_m} m");
                metadata.doubt(Subject::Position, found, "nobody stands so high: taken at sea level");
            }
            metadata.position = Some(position.unwrap_or(at_sea_level));
        }
    }
}

/// Degrees, minutes and seconds, as far as they are there.
fn angle(tags: &Tags, tag: Tag) -> Option<f64> {
    let parts = tags.numbers(tag)?;
    let part = |index: usize| parts.get(index).copied().unwrap_or(0.0);
    // writers of whole degrees give 0/0 for the rest
    let lesser = |index: usize| Some(part(index)).filter(|value| value.is_finite()).unwrap_or(0.0);
    let angle = part(0) + lesser(1) / 60.0 + lesser(2) / 3_600.0;
    angle.is_finite().then_some(angle)
}

fn sign(tags: &Tags, tag: Tag, positive: u8, negative: u8) -> Option<f64> {
    match tags.text(tag)?.bytes().next()?.to_ascii_uppercase() {
        letter if letter == positive => Some(1.0),
        letter if letter == negative => Some(-1.0),
        _ => None,
    }
}

fn height_m(tags: &Tags) -> Option<f64> {
    let height_m = tags.number(names::ALTITUDE).filter(|height| height.is_finite())?;
    // 1 below sea level; some writers give the number as a text
    let is_below = match tags.number(names::ALTITUDE_REF) {
        Some(number) => number > 0.5,
        None => tags.text(names::ALTITUDE_REF).is_some_and(|text| text.starts_with('\u{1}')),
    };
    Some(if is_below { -height_m } else { height_m })
}
