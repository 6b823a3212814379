//! What the frame looks at: the sky behind the aurora, the stars in it, the distance to the aurora.

use optics::EyeBackground;
use quantity::{Basis, Estimate, GeoPosition, Horizontal, InputNote, InputState};
use sky::background::BackgroundLight;

use super::request::{AskedSky, ExposeRequest};
use crate::framing::Framing;
use crate::site_sky::{EMISSION_HEIGHT_KM, SiteSky};
use crate::{FramePointing, JobError, Kit};

/// Sky taken where nobody gave any: dark country, moonless, V mag arcsec⁻² (airglow and stars alone are 21.6 to 22.0).
const ASSUMED_SKY_MAG: (f64, f64) = (21.6, 0.4);
/// Error of a sky brightness that somebody gives, mag: a meter at the zenith, a frame elsewhere (judgement).
const GIVEN_SKY_SIGMA_MAG: f64 = 0.3;
/// Altitude at which most aurora is photographed, degrees (common practice).
const USUAL_ALTITUDE_DEG: f64 = 30.0;
/// Solar radio flux does not matter to the sky without aurora; the models ask for one.
const ANY_F107: f64 = 120.0;
/// Points looked at along each side of the frame.
const GRID: u32 = 33;

/// The sky behind the aurora.
pub(super) struct Behind {
    /// V mag/arcsec².
    pub(super) mag_arcsec2: Estimate,
    /// What a green, red and blue pixel are fed with, R/Å.
    pub(super) rayleighs_per_angstrom: f64,
    pub(super) eye: EyeBackground,
    pub(super) notes: Vec<InputNote>,
}

/// Stars and distance.
pub(super) struct InFrame {
    /// Nearest to the equator, degrees without sign.
    pub(super) least_declination_deg: f64,
    pub(super) range_km: f64,
    pub(super) note: InputNote,
}

/// The sky in the middle of the frame.
pub(super) fn behind(request: &ExposeRequest) -> Result<Behind, JobError> {
    match &request.sky {
        AskedSky::Unknown => {
            let (mag, sigma) = ASSUMED_SKY_MAG;
            let source = format!("not given: a dark moonless country sky of {mag} mag/arcsec2 is assumed");
            Ok(of_magnitude(Estimate::symmetric(mag, sigma, Basis::Assumed), source, InputState::Assumed))
        }
        AskedSky::Given { mag_arcsec2 } => {
            let source = format!("{mag_arcsec2} mag/arcsec2, as given");
            let mag = Estimate::symmetric(*mag_arcsec2, GIVEN_SKY_SIGMA_MAG, Basis::Assumed);
            Ok(of_magnitude(mag, source, InputState::Given))
        }
        AskedSky::AtSite { site, at } => {
            let prepared = SiteSky::new(site, *at, ANY_F107, Vec::new())?;
            let light: BackgroundLight = prepared.at(*at)?.background.at(middle(request.pointing));
            let mut notes: Vec<InputNote> = crate::outlook::inputs::site_inputs(site);
            notes.retain(|note| note.name == "Sky quality");
            notes.push(note(
                "Sky",
                format!("{}, at {at}: airglow, moon, twilight and towns", site.name),
                InputState::Given,
            ));
            Ok(Behind {
                mag_arcsec2: Estimate::symmetric(light.mag_arcsec2(), light.sigma_mag(), Basis::Model),
                rayleighs_per_angstrom: light.rayleigh_per_angstrom(),
                eye: EyeBackground { photopic_cd_m2: light.total_cd_m2(), scotopic_cd_m2: light.scotopic_cd_m2() },
                notes,
            })
        }
    }
}

fn of_magnitude(mag_arcsec2: Estimate, source: String, state: InputState) -> Behind {
    Behind {
        rayleighs_per_angstrom: sky::photometry::rayleighs_per_angstrom_from_mag(mag_arcsec2.value),
        eye: EyeBackground::from_sky_magnitude(mag_arcsec2.value),
        notes: vec![note("Sky", source, state)],
        mag_arcsec2,
    }
}

/// Stars and distance of the frame.
pub(super) fn framing(request: &ExposeRequest) -> InFrame {
    let site = match &request.sky {
        AskedSky::AtSite { site, .. } => Some(site.position),
        AskedSky::Unknown | AskedSky::Given { .. } => None,
    };
    let (least_declination_deg, source, state) = match (request.least_declination_deg, site, request.pointing) {
        (Some(given), _, _) => (given.abs(), "stars: declination as given".to_owned(), InputState::Given),
        (None, Some(place), Some(pointing)) => {
            let least = least_declination_deg(&request.kit, place, pointing);
            (
                least,
                format!("stars down to declination {least:.0} degrees, from pointing and latitude"),
                InputState::Given,
            )
        }
        (None, _, _) => {
            (0.0, "stars: the fastest, on the celestial equator, are counted with".to_owned(), InputState::Assumed)
        }
    };
    let altitude_deg = middle(request.pointing).altitude_deg;
    InFrame {
        least_declination_deg,
        range_km: optics::slant_range_km(altitude_deg, EMISSION_HEIGHT_KM),
        note: note("Frame", format!("{altitude_deg:.0} degrees up; {source}"), state),
    }
}

fn middle(pointing: Option<FramePointing>) -> Horizontal {
    pointing.map_or(Horizontal::new(USUAL_ALTITUDE_DEG, 0.0), |p| Horizontal::new(p.altitude_deg, p.azimuth_deg))
}

/// Declination nearest to the equator of the sky in the frame, degrees without sign; 0 where the equator crosses it.
fn least_declination_deg(kit: &Kit, place: GeoPosition, pointing: FramePointing) -> f64 {
    let frame = Framing::new(kit, &pointing);
    let [width, height] = frame.size_px();
    let at = |step: u32, size: u32| f64::from(step) / f64::from(GRID - 1) * (f64::from(size) - 1.0);
    let declinations = (0..GRID * GRID)
        .filter_map(|index| frame.direction_of([at(index % GRID, width), at(index / GRID, height)]))
        .filter(|direction| direction.altitude_deg >= 0.0)
        .map(|direction| declination_deg(direction, place.latitude_deg()));
    let (low, high) = declinations.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), d| (low.min(d), high.max(d)));
    if low > high || (low <= 0.0 && high >= 0.0) { 0.0 } else { low.abs().min(high.abs()) }
}

/// Declination of a direction, degrees: the third row of the turn from horizon to equator.
fn declination_deg(direction: Horizontal, latitude_deg: f64) -> f64 {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let [_, north, up] = direction.east_north_up();
    (sin_lat * up + cos_lat * north).clamp(-1.0, 1.0).asin().to_degrees()
}

pub(super) fn note(name: &str, source: String, state: InputState) -> InputNote {
    InputNote { name: name.into(), source, observed_at: None, age_minutes: None, state }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn least(latitude_deg: f64, altitude_deg: f64, azimuth_deg: f64, focal_mm: f64) -> f64 {
        let mut kit = Kit::plain();
        kit.lens.focal_mm = focal_mm;
        let place = GeoPosition::new(latitude_deg, 0.0, 0.0).unwrap();
        least_declination_deg(&kit, place, FramePointing::level(azimuth_deg, altitude_deg))
    }

    #[test]
    fn a_long_lens_on_the_pole_sees_slow_stars_only() {
        // 200 mm on 36 x 24 mm: 6.2 degrees from the middle to the corner
        let found = least(65.0, 65.0, 0.0, 200.0);
        assert!((found - (90.0 - 6.17)).abs() < 0.1, "{found}");
        // the same pole in the south
        assert!((least(-65.0, 65.0, 180.0, 200.0) - found).abs() < 0.05);
    }

    #[test]
    fn the_equator_in_the_frame_is_declination_nought() {
        // due south at latitude 50 the equator stands 40 degrees high
        assert!(least(50.0, 40.0, 180.0, 20.0).abs() < 1e-9);
        // due north low at latitude 69 with 85 mm: the foot of the frame stands just above 90 - 69 = 21
        let north = least(69.0, 10.0, 0.0, 85.0);
        assert!((19.0..24.0).contains(&north), "{north}");
    }
}
