use optics::pixel_scale_arcsec;
use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use crate::Metadata;

/// Diagonal of 36 mm by 24 mm, mm: the equivalent focal length keeps the field along the diagonal (CIPA DCG-001).
const FULL_FRAME_DIAGONAL_MM: f64 = 43.266_615_305_567_87;
/// Share of the diagonal that 36 mm are: some makers keep the field along the long side instead.
const FULL_FRAME_WIDTH_SHARE: f64 = 36.0 / FULL_FRAME_DIAGONAL_MM;
/// Equivalents are whole millimetres: the deviation of an even spread over one, 1/√12.
const EQUIVALENT_ROUNDING_MM: f64 = 0.288_675;
/// How well the focal length that a lens reports is true, relative: makers may be off by several per cent (from memory,
/// ISO 517), zooms report steps.
const FOCAL_SIGMA: f64 = 0.02;
/// Resolutions are given of the sensor with or without its margins, relative.
const RESOLUTION_SIGMA: f64 = 0.01;
/// Sensors are between these widths, mm; otherwise the resolution and the size do not belong together.
const SENSOR_WIDTHS_MM: [f64; 2] = [2.0, 70.0];
/// Sides of a file and of the exposure in the same proportion within this: scaled, not cut.
const SAME_SHAPE: f64 = 0.02;
/// Two ways further apart than this contradict each other.
const CONTRADICTION: f64 = 0.10;

/// Which of the metadata a pixel scale was worked out from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleSource {
    /// Focal length and the sensor's pixels per millimetre, or its pixel pitch.
    FocalPlane,
    /// The equivalent focal length on 36 mm by 24 mm.
    Equivalent,
    /// Both, and they agree.
    Both,
}

/// How much of the sky a pixel in the middle of the picture sees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PixelScale {
    /// Seconds of arc a pixel, in the middle of a rectilinear picture.
    pub arcsec_per_px: Estimate,
    /// Pitch of the file's pixels on the sensor, µm, where the focal length is known too.
    pub pixel_um: Option<Estimate>,
    /// Size of 36 mm by 24 mm over the sensor's, by diagonal, where it is known.
    pub crop_factor: Option<f64>,
    /// What it comes from.
    pub source: ScaleSource,
}

/// Works the pixel scale out from metadata; `None` where they do not suffice or contradict each other.
///
/// * `stored_size`: width and height of the file, px. A file that was made smaller keeps its field; one that was cut is
///   told by its other proportion, and gives `None`. A cut that keeps the proportion cannot be told.
///
/// The error holds the rounding of the equivalent, the choice of diagonal or long side, and how well lenses report
/// their focal length.
pub fn pixel_scale(metadata: &Metadata, stored_size: [usize; 2]) -> Option<PixelScale> {
    let plane = by_focal_plane(metadata, stored_size);
    let equivalent = by_equivalent(metadata, stored_size);
    let (arcsec, sigma, source) = match (&plane, &equivalent) {
        (Some(plane), Some(equivalent)) => {
            if (plane.arcsec / equivalent.arcsec - 1.0).abs() > CONTRADICTION {
                return None;
            }
            let better = if plane.sigma <= equivalent.sigma { plane } else { equivalent };
            (better.arcsec, better.sigma, ScaleSource::Both)
        }
        (Some(plane), None) => (plane.arcsec, plane.sigma, ScaleSource::FocalPlane),
        (None, Some(equivalent)) => (equivalent.arcsec, equivalent.sigma, ScaleSource::Equivalent),
        (None, None) => return None,
    };
    let pixel_um = metadata.focal_mm.map(|focal_mm| {
        // the small-angle inverse of the pixel scale; the focal length cancels where the pitch came first
        let um = arcsec / pixel_scale_arcsec(1.0, focal_mm);
        Estimate::symmetric(um, um * sigma, Basis::Model)
    });
    let crop_factor = metadata.focal_35mm_equivalent_mm.zip(metadata.focal_mm).map(|(long, focal)| long / focal);
    Some(PixelScale {
        arcsec_per_px: Estimate::symmetric(arcsec, arcsec * sigma, Basis::Model),
        pixel_um,
        crop_factor,
        source,
    })
}

struct Way {
    arcsec: f64,
    /// Relative.
    sigma: f64,
}

fn by_focal_plane(metadata: &Metadata, stored_size: [usize; 2]) -> Option<Way> {
    let focal_mm = metadata.focal_mm?;
    let sigma = FOCAL_SIGMA.hypot(RESOLUTION_SIGMA);
    if let Some(pixel_um) = metadata.pixel_um {
        return Some(Way { arcsec: pixel_scale_arcsec(pixel_um, focal_mm), sigma });
    }
    let per_mm = metadata.focal_plane_px_per_mm?[0];
    let shrunk = shrinking(metadata, stored_size)?;
    // the size the camera gives is that of the exposure, or of the file after a program made it smaller and forgot the
    // resolution: then the sensor comes out too small, and nothing can be said
    let width_mm = f64::from(metadata.said_size?[0]) / per_mm;
    if !(SENSOR_WIDTHS_MM[0]..=SENSOR_WIDTHS_MM[1]).contains(&width_mm) {
        return None;
    }
    Some(Way { arcsec: pixel_scale_arcsec(1_000.0 / per_mm * shrunk, focal_mm), sigma })
}

fn by_equivalent(metadata: &Metadata, stored_size: [usize; 2]) -> Option<Way> {
    let equivalent_mm = metadata.focal_35mm_equivalent_mm?;
    if metadata.said_size.is_some() {
        shrinking(metadata, stored_size)?;
    }
    let [width, height] = stored_size.map(|side| side as f64);
    let diagonal = width.hypot(height);
    // the pixel pitch that would put this diagonal on 36 mm by 24 mm
    let pitch_um = 1_000.0 * FULL_FRAME_DIAGONAL_MM / diagonal;
    let shape = (width.max(height) / diagonal / FULL_FRAME_WIDTH_SHARE - 1.0).abs();
    let zoom = metadata.digital_zoom.unwrap_or(1.0);
    // whether the equivalent holds the digital zoom already differs between makers
    let sigma = (EQUIVALENT_ROUNDING_MM / equivalent_mm).hypot(shape).hypot(FOCAL_SIGMA).hypot((zoom - 1.0) / 2.0);
    Some(Way { arcsec: pixel_scale_arcsec(pitch_um, equivalent_mm), sigma })
}

/// Pixels of the exposure for one of the file; `None` where the file was cut or has no more in common with it.
fn shrinking(metadata: &Metadata, [width, height]: [usize; 2]) -> Option<f64> {
    let Some([said_width, said_height]) = metadata.said_size else { return Some(1.0) };
    let (said_width, said_height) = (f64::from(said_width), f64::from(said_height));
    let (across, down) = (said_width / width as f64, said_height / height as f64);
    if (across / down - 1.0).abs() < SAME_SHAPE {
        return Some(across);
    }
    // turned by a program that left the numbers as they were
    let (across, down) = (said_width / height as f64, said_height / width as f64);
    ((across / down - 1.0).abs() < SAME_SHAPE).then_some(across)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn phone() -> Metadata {
        Metadata {
            focal_mm: Some(4.25),
            focal_35mm_equivalent_mm: Some(26.0),
            said_size: Some([4032, 3024]),
            ..Metadata::default()
        }
    }

    /// A sensor of 7.01 mm diagonal (1.4 µm pixels, 4032 by 3024) behind 4.25 mm: 67.9 seconds of arc.
    #[test]
    fn a_phone_by_its_equivalent() {
        let scale = pixel_scale(&phone(), [4032, 3024]).unwrap();
        let Estimate { value, low, high, .. } = scale.arcsec_per_px;
        assert!(low < 67.9 && 67.9 < high, "{low} {value} {high}");
        assert!((high - low) / value < 0.12, "{low} {value} {high}");
        assert!((scale.crop_factor.unwrap() - 6.118).abs() < 0.001);
        let pixel_um = scale.pixel_um.unwrap();
        assert!(pixel_um.low < 1.4 && 1.4 < pixel_um.high, "{pixel_um:?}");
    }

    /// Half the pixels across see twice as much each; a cut picture has no scale.
    #[test]
    fn a_smaller_copy_keeps_its_field_and_a_cut_one_has_none() {
        let full = pixel_scale(&phone(), [4032, 3024]).unwrap().arcsec_per_px.value;
        let half = pixel_scale(&phone(), [2016, 1512]).unwrap().arcsec_per_px.value;
        assert!((half / full - 2.0).abs() < 1e-9);
        assert!((pixel_scale(&phone(), [3024, 4032]).unwrap().arcsec_per_px.value / full - 1.0).abs() < 1e-9);
        assert_eq!(pixel_scale(&phone(), [4032, 2012]), None);
        assert_eq!(pixel_scale(&Metadata::default(), [4032, 3024]), None);
    }

    /// EOS R6: 5472 by 3648 px on 35.9 mm by 23.9 mm by its maker's data, so 6.56 µm; 100 mm lens: 13.53 seconds of arc.
    #[test]
    fn a_body_by_its_focal_plane() {
        let metadata = Metadata {
            focal_mm: Some(100.0),
            focal_plane_px_per_mm: Some([5_472_000.0 / 1_413.0 / 25.4, 3_648_000.0 / 942.0 / 25.4]),
            said_size: Some([5472, 3648]),
            ..Metadata::default()
        };
        let scale = pixel_scale(&metadata, [5472, 3648]).unwrap();
        assert_eq!(scale.source, ScaleSource::FocalPlane);
        assert!(scale.arcsec_per_px.low < 13.53 && 13.53 < scale.arcsec_per_px.high, "{scale:?}");
        let contradicting = Metadata { focal_35mm_equivalent_mm: Some(160.0), ..metadata };
        assert_eq!(pixel_scale(&contradicting, [5472, 3648]), None);
    }

    /// A program made the picture smaller, wrote its own size and left the sensor's resolution.
    #[test]
    fn a_resolution_that_does_not_belong_to_the_size_is_left_out() {
        let metadata = Metadata {
            focal_mm: Some(135.0),
            focal_plane_px_per_mm: Some([174.7, 175.0]),
            said_size: Some([100, 68]),
            ..Metadata::default()
        };
        assert_eq!(pixel_scale(&metadata, [100, 68]), None);
    }
}
