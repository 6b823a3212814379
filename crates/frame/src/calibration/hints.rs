use optics::{Lens, Sensor};
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use crate::Metadata;

/// A filter in front of a grey camera.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FilterHint {
    /// Middle of its band, nm.
    pub wavelength_nm: f64,
    /// Width of the box that passes as much of an even spectrum, nm, where it is known.
    pub width_nm: Option<f64>,
}

/// Wavelengths a filter may have, nm.
const WAVELENGTHS_NM: std::ops::RangeInclusive<f64> = 350.0..=1100.0;

impl FilterHint {
    /// From the words of a header: "557.7", "0558", "5577 A", "630 nm". `None` for names without a wavelength ("V", "clear").
    ///
    /// ```
    /// use frame::FilterHint;
    /// assert_eq!(FilterHint::from_words("0558").unwrap().wavelength_nm, 558.0);
    /// assert_eq!(FilterHint::from_words("5577").unwrap().wavelength_nm, 557.7);
    /// assert!(FilterHint::from_words("clear").is_none());
    /// ```
    pub fn from_words(words: &str) -> Option<Self> {
        let is_part = |c: char| c.is_ascii_digit() || c == '.';
        let numbers = words.split(|c| !is_part(c)).filter_map(|word| word.parse::<f64>().ok());
        // header words are in nanometres or in ångströms, which are ten times as many
        let mut read = numbers.flat_map(|number| [number, number / 10.0]);
        let wavelength_nm = read.find(|nm| WAVELENGTHS_NM.contains(nm))?;
        Some(Self { wavelength_nm, width_nm: None })
    }
}

/// Sensor and lens of a kit, for a calibration without stars.
#[derive(Debug, Clone, PartialEq)]
pub struct NominalKit {
    /// The sensor.
    pub sensor: Sensor,
    /// The lens.
    pub lens: Lens,
}

/// What is known of a frame besides its pixels. Nothing need be.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CalibrationHints {
    /// Shutter time, s.
    pub exposure_s: Option<f64>,
    /// ISO setting.
    pub iso: Option<f64>,
    /// F-number.
    pub f_number: Option<f64>,
    /// Focal length, mm.
    pub focal_mm: Option<f64>,
    /// Height of the site above the sea, m; the sea is assumed.
    pub site_height_m: Option<f64>,
    /// The filter of a grey camera.
    pub filter: Option<FilterHint>,
    /// Level of no light, in the unit of the frame's planes. Without it the frame is asked: see [`crate::BlackLevel`].
    pub black: Option<f64>,
    /// The kit, for a calibration without stars.
    pub kit: Option<NominalKit>,
}

impl CalibrationHints {
    /// What the file says itself.
    pub fn of(metadata: &Metadata) -> Self {
        Self {
            exposure_s: metadata.exposure_s,
            iso: metadata.iso,
            f_number: metadata.f_number,
            focal_mm: metadata.focal_mm,
            site_height_m: metadata.position.map(GeoPosition::height_m),
            filter: metadata.filter.as_deref().and_then(FilterHint::from_words),
            black: None,
            kit: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wavelengths_are_read_in_both_units() {
        for (words, nm) in
            [("557.7 nm", 557.7), ("0428", 428.0), ("8446", 844.6), ("630.0", 630.0), ("OI 5577 A", 557.7)]
        {
            let found = FilterHint::from_words(words).map(|hint| hint.wavelength_nm);
            assert!(found.is_some_and(|found| (found - nm).abs() < 1e-9), "{words}: {found:?}");
        }
        for words in ["", "V", "Luminance", "BG3", "none", "1", "99999", "..."] {
            assert_eq!(FilterHint::from_words(words), None, "{words}");
        }
    }
}
