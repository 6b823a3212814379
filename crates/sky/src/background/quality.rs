use serde::{Deserialize, Serialize};

/// How dark a site is, away from Moon and twilight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SkyQuality {
    /// Zenith brightness as measured on a clear moonless night without aurora, V mag arcsec⁻². Wins over any formula.
    MeasuredMagArcsec2(f64),
    /// Class 1 (darkest) to 9; others are brought inside.
    Bortle(u8),
    /// Nothing known but the towns around: Walker's law.
    FromTowns,
}

/// Faint and bright edge of each class, V mag arcsec⁻² at the zenith. Common practice without a single source; the edges
/// of 8 and 9 are ours.
const BORTLE_EDGES_MAG: [(f64, f64); 9] = [
    (22.00, 21.99),
    (21.99, 21.89),
    (21.89, 21.69),
    (21.69, 20.49),
    (20.49, 19.50),
    (19.50, 18.94),
    (18.94, 18.38),
    (18.38, 17.80),
    (17.80, 17.00),
];
/// Error of a measured zenith value, mag: a broadband meter against V on a quiet night.
const METER_SIGMA_MAG: f64 = 0.15;
/// Least error of a class, mag: two people, two classes.
const BORTLE_SIGMA_MAG: f64 = 0.25;
/// Brightest and faintest zenith value accepted, V mag arcsec⁻²: a city square; darker than any place on Earth.
const MEASURED_RANGE_MAG: (f64, f64) = (14.0, 23.0);

/// Faint and bright edge of a Bortle class, V mag arcsec⁻² at the zenith. Classes below 1 count as 1, above 9 as 9.
pub fn bortle_range_mag(class: u8) -> (f64, f64) {
    BORTLE_EDGES_MAG[usize::from(class.clamp(1, 9)) - 1]
}

impl SkyQuality {
    /// Zenith value and its error in magnitudes; `None` where only the towns tell. A measured NaN counts as nothing known.
    pub fn zenith_mag(self) -> Option<(f64, f64)> {
        match self {
            Self::MeasuredMagArcsec2(mag) if mag.is_nan() => None,
            Self::MeasuredMagArcsec2(mag) => {
                Some((mag.clamp(MEASURED_RANGE_MAG.0, MEASURED_RANGE_MAG.1), METER_SIGMA_MAG))
            }
            Self::Bortle(class) => {
                let (faint, bright) = bortle_range_mag(class);
                Some((0.5 * (faint + bright), BORTLE_SIGMA_MAG.max(0.5 * (faint - bright))))
            }
            Self::FromTowns => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_class_lies_between_its_edges_and_higher_is_brighter() {
        let mut last = 23.0;
        for class in 0..=255 {
            let (faint, bright) = bortle_range_mag(class);
            let (mag, sigma) = SkyQuality::Bortle(class).zenith_mag().unwrap();
            assert!(faint >= mag && mag >= bright && sigma > 0.0);
            assert!(mag <= last);
            last = mag;
        }
    }
}
