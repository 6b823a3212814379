//! Directions that somebody gives, where the stars do not.

use frame::{ImageCircle, LensModel};
use optics::Projection;
use quantity::{GeoPosition, Horizontal, Timestamp};
use sequence::FixedView;
use serde::{Deserialize, Serialize};

use super::report::AssumedDirections;
use crate::check::FrameSeen;
use crate::{BodyInFrame, JobError, LensProfile};

/// How far altitudes may be off in an all-sky picture taken as a circle with the horizon at its edge, degrees, one standard
/// deviation: fisheyes differ by up to 4 from even scale, circles end some degrees above or below the horizon, and cameras lean
/// (judgement; against the calibrated frames of one all-sky camera see `docs/read.md`).
const ALL_SKY_ALTITUDE_SIGMA_DEG: f64 = 6.0;
/// How far an azimuth that a person gives may be off, degrees.
const GIVEN_AZIMUTH_SIGMA_DEG: f64 = 5.0;
/// How far a direction may be off that a person gives for a level camera, degrees.
const GIVEN_DIRECTION_SIGMA_DEG: f64 = 5.0;
/// How far the moon may stand from its altitude in the picture to turn it by, degrees: three of the altitude's deviations.
const MOST_MOON_OFF_DEG: f64 = 18.0;
/// Zenith angle under which the moon tells no azimuth, degrees.
const LEAST_MOON_ZENITH_ANGLE_DEG: f64 = 15.0;

/// Where the camera looked, as somebody says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AssumedView {
    /// Straight up through a fisheye; the circle of its picture is found.
    AllSky {
        /// Azimuth that the top of the picture shows, degrees from true north through east; without it the moon is asked.
        top_azimuth_deg: Option<f64>,
        /// East is on the right of north, as on a map.
        mirrored: bool,
        /// The pixel of the zenith; without it the middle of the circle.
        zenith_px: Option<[f64; 2]>,
        /// Distance of the horizon from it, px; without it the circle's radius.
        radius_px: Option<f64>,
    },
    /// A level camera with a lens that is known.
    Pointed {
        /// Azimuth of the middle, degrees.
        azimuth_deg: f64,
        /// Altitude of the middle, degrees.
        altitude_deg: f64,
    },
}

impl AssumedView {
    pub(super) fn check(&self) -> Result<(), JobError> {
        match *self {
            Self::AllSky { top_azimuth_deg, zenith_px, radius_px, .. } => {
                if let Some(azimuth_deg) = top_azimuth_deg {
                    JobError::check("top_azimuth_deg", azimuth_deg, -360.0, 360.0, "degrees")?;
                }
                for place in zenith_px.into_iter().flatten() {
                    JobError::check("zenith_px", place, -1e5, 1e5, "pixels")?;
                }
                if let Some(radius) = radius_px {
                    JobError::check("radius_px", radius, 8.0, 1e5, "pixels")?;
                }
                Ok(())
            }
            Self::Pointed { azimuth_deg, altitude_deg } => {
                JobError::check("azimuth_deg", azimuth_deg, -360.0, 360.0, "degrees")?;
                JobError::check("altitude_deg", altitude_deg, -90.0, 90.0, "degrees").map(|_| ())
            }
        }
    }

    /// Directions of a frame, and what they rest on; or why there are none.
    pub(super) fn of(
        &self,
        seen: &FrameSeen,
        profile: Option<&LensProfile>,
        moment: Option<(Timestamp, GeoPosition)>,
    ) -> Result<(FixedView, AssumedDirections), String> {
        match *self {
            Self::AllSky { top_azimuth_deg, mirrored, zenith_px, radius_px } => {
                let circle = circle(seen.circle, zenith_px, radius_px)?;
                let model = fisheye(&circle, mirrored);
                let (top_azimuth_deg, azimuth_sigma_deg, by) = match top_azimuth_deg {
                    Some(azimuth_deg) => (azimuth_deg, GIVEN_AZIMUTH_SIGMA_DEG, "the azimuth given".to_owned()),
                    None => by_moon(seen, &model, moment)?,
                };
                let words = format!(
                    "a fisheye that looks straight up, its circle {:.0} px from ({:.0}, {:.0}) to the horizon; azimuths by {by}",
                    circle.radii_px[1], circle.centre_px[0], circle.centre_px[1]
                );
                let directions = AssumedDirections {
                    words,
                    altitude_sigma_deg: ALL_SKY_ALTITUDE_SIGMA_DEG,
                    azimuth_sigma_deg,
                    top_azimuth_deg: Some(top_azimuth_deg),
                };
                Ok((FixedView::upward(model, top_azimuth_deg), directions))
            }
            Self::Pointed { azimuth_deg, altitude_deg } => {
                let model = profile.and_then(|profile| profile.model_for(seen.frame.stored_size));
                let model =
                    model.ok_or("no lens is known for the direction given: give --kit with a lens found by check")?;
                let directions = AssumedDirections {
                    words: format!(
                        "the kit's lens, level, toward {azimuth_deg:.0} degrees and {altitude_deg:.0} up, as given"
                    ),
                    altitude_sigma_deg: GIVEN_DIRECTION_SIGMA_DEG,
                    azimuth_sigma_deg: GIVEN_DIRECTION_SIGMA_DEG,
                    top_azimuth_deg: None,
                };
                Ok((FixedView::pointed(model, Horizontal::new(altitude_deg, azimuth_deg)), directions))
            }
        }
    }
}

fn circle(
    found: Option<ImageCircle>,
    zenith_px: Option<[f64; 2]>,
    radius_px: Option<f64>,
) -> Result<ImageCircle, String> {
    let missing = "no circle of sky was found in the picture: give --zenith X,Y and --radius";
    let centre_px = zenith_px.or(found.map(|circle| circle.centre_px)).ok_or(missing)?;
    let radii_px = match (radius_px, found) {
        (Some(radius), Some(found)) => {
            let shape = found.radii_px[0] / found.radii_px[1];
            [radius * shape, radius]
        }
        (Some(radius), None) => [radius; 2],
        (None, Some(found)) => found.radii_px,
        (None, None) => return Err(missing.to_owned()),
    };
    Ok(ImageCircle { centre_px, radii_px })
}

/// Angles grow evenly with the distance from the middle, the horizon is at the edge.
fn fisheye(circle: &ImageCircle, mirrored: bool) -> LensModel {
    let [across, down] = circle.radii_px;
    LensModel {
        projection: Projection::Equidistant,
        focal_px: down / std::f64::consts::FRAC_PI_2,
        centre_px: circle.centre_px,
        k1: 0.0,
        k2: 0.0,
        mirrored,
        pixel_aspect: down / across,
    }
}

/// The azimuth of the picture's top by the moon in it, with its deviation and the words for it.
fn by_moon(
    seen: &FrameSeen,
    model: &LensModel,
    moment: Option<(Timestamp, GeoPosition)>,
) -> Result<(f64, f64, String), String> {
    let missing = |why: &str| format!("{why}: give --top-azimuth, the azimuth that the top of the picture shows");
    let body = seen.report.body.as_ref().filter(|body| body.body != BodyInFrame::Sun);
    let body = body.ok_or_else(|| missing("no moon is in the picture to turn it by"))?;
    let (at, place) = moment.ok_or_else(|| missing("time or place are not known, so that the moon tells nothing"))?;
    let moon = sky::sun_moon(at, place).map_err(|error| missing(&error.to_string()))?.moon.horizontal;
    let untouched = FixedView::upward(*model, 0.0);
    let shown = sequence::SkyView::direction_of(&untouched, body.position_px);
    let shown = shown.ok_or_else(|| missing("the moon stands outside the circle"))?;
    let off_deg = shown.altitude_deg - moon.altitude_deg;
    let zenith_angle_deg = 90.0 - moon.altitude_deg;
    if off_deg.abs() > MOST_MOON_OFF_DEG {
        return Err(missing(&format!("what looks like the moon stands {off_deg:.0} degrees from its altitude")));
    }
    if zenith_angle_deg < LEAST_MOON_ZENITH_ANGLE_DEG {
        return Err(missing("the moon is too near the zenith to tell azimuths"));
    }
    // what puts the moon at the wrong altitude may as well lie across
    let sigma_deg = off_deg.abs().max(2.0) / zenith_angle_deg.to_radians().sin();
    let top_deg = quantity::wrap_degrees_360(moon.azimuth_deg - shown.azimuth_deg);
    Ok((top_deg, sigma_deg, format!("the moon, which stands {off_deg:.0} degrees from its altitude")))
}
