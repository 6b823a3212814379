use aurora::variability::arc_factor_median;
use aurora::{BORDER_SIGMA_DEG, Oval, SkyMoment, diffuse_border_deg};
use quantity::{Basis, Estimate, Horizontal, InputNote, LineBrightness, Timestamp};
use serde::{Deserialize, Serialize};

use crate::site_sky::SiteSky;
use crate::wording::{bearing, clock, kilorayleighs, lit_words};
use crate::{JobError, Site};

/// Whole sky of a site at one instant for one activity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SkymapRequest {
    /// The site.
    pub site: Site,
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// Kp, 0 to 9.
    pub kp: f64,
    /// Solar radio flux at 10.7 cm, solar flux units; it moves the red line most.
    pub f107: f64,
    /// Spacing of the grid in altitude and azimuth, degrees, 0.5 to 15.
    pub step_deg: f64,
}

/// Brightness over the sky.
///
/// The grid is `altitudes_deg` x `azimuths_deg`, row by row: value `i * azimuths_deg.len() + j` is at altitude `i`,
/// azimuth `j`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SkymapReport {
    /// The request it answers.
    pub request: SkymapRequest,
    /// Rows: altitudes, degrees, from the horizon up.
    pub altitudes_deg: Vec<f64>,
    /// Columns: azimuths, degrees, north through east.
    pub azimuths_deg: Vec<f64>,
    /// 557.7 nm as it reaches the observer (after extinction), kR, mean oval.
    pub green_5577_kr: Vec<f64>,
    /// 630.0 nm, kR.
    pub red_6300_kr: Vec<f64>,
    /// 427.8 nm, kR.
    pub blue_4278_kr: Vec<f64>,
    /// Brightness of the sky without aurora, mag/arcsec², on the same grid.
    pub background_mag_arcsec2: Vec<f64>,
    /// The brightest direction.
    pub brightest: Horizontal,
    /// All three lines there, mean oval, kR.
    pub brightest_mean_kr: LineBrightness,
    /// Green light of the brightest arc to be expected there, kR: mean times the spread of bright forms.
    pub brightest_arc_kr: Estimate,
    /// Where rays converge.
    pub magnetic_zenith: Horizontal,
    /// The sun; below the horizon at night.
    pub sun: Horizontal,
    /// The moon, where it stands above the horizon.
    pub moon: Option<Horizontal>,
    /// Share of the moon that is lit.
    pub moon_lit_fraction: f64,
    /// Magnetic latitude the models are fed with, degrees.
    pub model_lat_deg: f64,
    /// Magnetic local time of the site, hours.
    pub mlt_h: f64,
    /// Equatorward border of diffuse light at this magnetic local time, degrees of magnetic latitude.
    pub equatorward_border_deg: Estimate,
    /// The picture in words, for those who cannot see it.
    pub text: String,
    /// What it rests on.
    pub inputs: Vec<InputNote>,
    /// Where the models stop being good.
    pub limits: Vec<String>,
}

/// Altitude above which a direction is called overhead, degrees.
const NAMED_DIRECTION_ALTITUDE_DEG: f64 = 70.0;
/// Green light below which the picture in words says there is none, kR.
const NOTHING_KR: f64 = 0.05;

/// Brightness of the aurora and of the sky behind it, over the whole sky.
///
/// The aurora is the mean oval as it reaches the observer; what one sees scatters about it (see `aurora::variability`).
///
/// # Errors
///
/// A request with a number out of range, a date outside the models' span, or a site near the magnetic equator.
pub fn skymap(request: SkymapRequest) -> Result<SkymapReport, JobError> {
    request.site.check()?;
    JobError::check("kp", request.kp, 0.0, 9.0, "for Kp")?;
    JobError::check("step_deg", request.step_deg, 0.5, 15.0, "degrees")?;
    let altitudes_deg = steps(90.0, request.step_deg, true);
    let azimuths_deg = steps(360.0, request.step_deg, false);
    let directions = altitudes_deg
        .iter()
        .flat_map(|&altitude| azimuths_deg.iter().map(move |&azimuth| Horizontal::new(altitude, azimuth)))
        .collect();
    let sky = SiteSky::new(&request.site, request.at, request.f107, directions)?;
    let now = sky.at(request.at)?;
    let oval = Oval::new(request.kp);
    let light = sky.sampler.brightness(&SkyMoment::new(&oval, &sky.emission, &now.clock));
    let best = (0..light.len()).max_by(|&a, &b| light[a].green_5577_kr.total_cmp(&light[b].green_5577_kr)).unwrap_or(0);
    let brightest = sky.sampler.directions()[best];
    let mean_kr = light[best];
    let mlt_h = now.clock.mlt_h(sky.place.apex_lon_deg);
    let line = |pick: fn(&LineBrightness) -> f64| light.iter().map(|l| rounded(pick(l))).collect::<Vec<_>>();
    let moon = (now.moon.altitude_deg > 0.0).then_some(now.moon);
    let text = text(&request, brightest, mean_kr.green_5577_kr, moon, now.moon_lit_fraction, sky.magnetic_zenith);
    Ok(SkymapReport {
        green_5577_kr: line(|l| l.green_5577_kr),
        red_6300_kr: line(|l| l.red_6300_kr),
        blue_4278_kr: line(|l| l.blue_4278_kr),
        background_mag_arcsec2: sky
            .sampler
            .directions()
            .iter()
            .map(|&direction| rounded(now.background.at(direction).mag_arcsec2()))
            .collect(),
        brightest,
        brightest_mean_kr: mean_kr,
        brightest_arc_kr: Estimate::logarithmic(
            mean_kr.green_5577_kr * arc_factor_median(brightest.altitude_deg),
            crate::outlook::arc_spread_dex(),
            Basis::Model,
        ),
        magnetic_zenith: sky.magnetic_zenith,
        sun: now.sun,
        moon,
        moon_lit_fraction: now.moon_lit_fraction,
        model_lat_deg: sky.place.model_lat_deg,
        mlt_h,
        equatorward_border_deg: Estimate::symmetric(
            diffuse_border_deg(request.kp, mlt_h),
            BORDER_SIGMA_DEG,
            Basis::Model,
        ),
        text,
        inputs: crate::outlook::inputs::site_inputs(&request.site),
        limits: crate::outlook::inputs::limits(request.kp, request.kp, sky.place.model_lat_deg),
        altitudes_deg,
        azimuths_deg,
        request,
    })
}

/// 0, step, 2 step, ... up to the end, which is a value of its own where `closed`.
fn steps(end_deg: f64, step_deg: f64, closed: bool) -> Vec<f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 720 steps")]
    let count = (end_deg / step_deg - 1e-9).ceil() as usize;
    let mut values: Vec<f64> = (0..count).map(|i| i as f64 * step_deg).collect();
    if closed {
        values.push(end_deg);
    }
    values
}

/// Four decimals: a tenth of a rayleigh in kR, far below any model.
fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

fn text(
    request: &SkymapRequest,
    brightest: Horizontal,
    green_kr: f64,
    moon: Option<Horizontal>,
    lit: f64,
    zenith: Horizontal,
) -> String {
    let at = request.site.zone().map_or_else(|_| request.at.to_string(), |zone| clock(request.at, &zone));
    let aurora = if green_kr < NOTHING_KR {
        "no aurora above 0.05 kR anywhere".to_owned()
    } else if brightest.altitude_deg > NAMED_DIRECTION_ALTITUDE_DEG {
        format!("brightest {} overhead", kilorayleighs(green_kr))
    } else {
        format!(
            "brightest {} at {:.0} degrees above the {}ern horizon",
            kilorayleighs(green_kr),
            brightest.altitude_deg,
            bearing(brightest.azimuth_deg)
        )
    };
    let moon = moon.map_or_else(
        || "moon down".to_owned(),
        |m| format!("moon {:.0} degrees up in the {}, {}", m.altitude_deg, bearing(m.azimuth_deg), lit_words(lit)),
    );
    format!(
        "At {at}, mean oval at Kp {}: {aurora}; {moon}; magnetic zenith {:.0} degrees up, bearing {:.0}.",
        crate::wording::kp(request.kp),
        zenith.altitude_deg,
        zenith.azimuth_deg
    )
}
