//! What a person takes along from an outlook: the sky, the framing and the settings of its best moment, and when to leave.

use geomag::FieldModel;
use jiff::SignedDuration;
use quantity::{GeoPosition, Timestamp};

use crate::{
    AskedBrightness, AskedSky, ColourShares, ExposeReport, ExposeRequest, JobError, OutlookReport, OutlookStep,
    ShootingPurpose, Site, SkymapReport, SkymapRequest, StandReport, StandRequest, WatchWindow, best_step, expose,
    skymap, stand,
};

/// Minutes between arriving and the window: tripod up, focus on a star, eyes half adapted (common practice, no source).
pub const SETTING_UP_MINUTES: i64 = 30;
/// Minutes on the road counted where nobody said how long it takes: the project's judgement, and the words say so.
pub const UNKNOWN_DRIVE_MINUTES: f64 = 30.0;
/// Spacing of the bowl's grid, degrees.
const GRID_STEP_DEG: f64 = 3.0;
/// Faintest green light that settings are worked out for, kR: fainter arcs are not photographed for their own sake.
const FAINTEST_KR: f64 = 0.2;
/// Brightest, kR: ten times IBC IV.
const BRIGHTEST_KR: f64 = 10_000.0;

/// Sky, framing and settings of an outlook's best moment; each is none where the outlook has no light to draw or expose for.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldPlan {
    /// The moment: the best of the best window, else the best step of the night.
    pub at: Timestamp,
    /// Declination of the main field at the site (IGRF-14), degrees: a compass needle points this far east of true north.
    pub declination_deg: f64,
    /// The whole sky.
    pub sky: Option<SkymapReport>,
    /// What stands where, with the pointing suggested.
    pub stand: Option<StandReport>,
    /// Settings for the predicted arc in that pointing.
    pub expose: Option<ExposeReport>,
}

/// Answers `skymap`, `stand` and `expose` for the best moment of an outlook, each asked as its own command would be: the suggested
/// pointing, the predicted arc, single pictures.
///
/// # Errors
///
/// The outlook has no steps; a request that its verb refuses.
pub fn field_plan(outlook: &OutlookReport) -> Result<FieldPlan, JobError> {
    let step = moment(outlook)
        .ok_or_else(|| JobError::bad("steps", "the outlook has no steps", "work the outlook out again"))?;
    let asked = &outlook.request;
    let declination_deg = declination_deg(asked.site.position, step.at)?;
    let (Some(patch), Some(kp)) = (&step.brightest, step.kp) else {
        return Ok(FieldPlan { at: step.at, declination_deg, sky: None, stand: None, expose: None });
    };
    let sky = skymap(SkymapRequest {
        site: asked.site.clone(),
        at: step.at,
        kp: kp.value,
        f107: asked.f107,
        step_deg: GRID_STEP_DEG,
    })?;
    let frame = stand(StandRequest {
        site: asked.site.clone(),
        at: step.at,
        kit: asked.kit.clone(),
        pointing: None,
        activity: asked.activity.clone(),
        weather: asked.weather.clone(),
        f107: asked.f107,
        focus_m: None,
    })?;
    let arc = patch.brightest_arc_kr;
    let green = patch.mean_kr.green_5577_kr;
    let usual = ColourShares::default();
    let share = |line_kr: f64, most: f64, usual: f64| if green > 0.0 { (line_kr / green).min(most) } else { usual };
    let settings = expose(ExposeRequest {
        brightness: if (FAINTEST_KR..=BRIGHTEST_KR).contains(&arc.value) {
            AskedBrightness::Given { green_5577_kr: arc.value, low_kr: Some(arc.low), high_kr: Some(arc.high) }
        } else {
            let green_5577_kr = arc.value.clamp(FAINTEST_KR, BRIGHTEST_KR);
            AskedBrightness::Given { green_5577_kr, low_kr: None, high_kr: None }
        },
        colours: ColourShares {
            red_6300: share(patch.mean_kr.red_6300_kr, 100.0, usual.red_6300),
            blue_4278: share(patch.mean_kr.blue_4278_kr, 10.0, usual.blue_4278),
        },
        kit: asked.kit.clone(),
        sky: AskedSky::AtSite { site: Box::new(asked.site.clone()), at: step.at },
        pointing: Some(frame.pointing),
        least_declination_deg: None,
        motion: None,
        purpose: ShootingPurpose::Still,
        temperature_c: step.weather.and_then(|hour| hour.temperature_c),
        adaptation_minutes: asked.adaptation_minutes,
    })?;
    Ok(FieldPlan { at: step.at, declination_deg, sky: Some(sky), stand: Some(frame), expose: Some(settings) })
}

fn declination_deg(position: GeoPosition, at: Timestamp) -> Result<f64, JobError> {
    let field = FieldModel::at(at).map_err(|error| JobError::bad("night", error.to_string(), error.hint()))?;
    let here = field.field(position.latitude_deg(), position.longitude_deg(), position.height_m() / 1000.0);
    Ok(here.declination_deg())
}

/// The step a plan is for; without any chance of aurora the darkest one.
fn moment(outlook: &OutlookReport) -> Option<&OutlookStep> {
    let steps = &outlook.steps;
    let in_window = outlook.windows.first().and_then(|window| steps.iter().find(|step| step.at == window.best_at));
    let lit = || best_step(steps).map(|index| &steps[index]).filter(|step| step.brightest.is_some());
    let darkest = || steps.iter().min_by(|a, b| a.sun_altitude_deg.total_cmp(&b.sun_altitude_deg));
    in_window.or_else(lit).or_else(darkest)
}

/// When to leave for a window: the road and half an hour to set up before it opens.
pub fn leave_at(site: &Site, window: &WatchWindow) -> Timestamp {
    let drive_min = site.drive_minutes.unwrap_or(UNKNOWN_DRIVE_MINUTES);
    #[expect(clippy::cast_possible_truncation, reason = "checked to be at most three days")]
    let minutes = drive_min.ceil() as i64 + SETTING_UP_MINUTES;
    window.from.checked_sub(SignedDuration::from_mins(minutes)).unwrap_or(window.from)
}
