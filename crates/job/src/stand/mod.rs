//! At this site: what will be where in the frame?
//!
//! **What it does not do:** it measures no picture and chooses no exposure; buildings and trees are what the site's
//! keeper entered, on level ground; a lens is its ideal projection, without distortion.

mod dew;
mod focus;
mod foreground;
mod glow;
mod grid;
mod heavens;
mod light;
mod mirror;
mod report;
mod request;
mod score;
mod suggest;
mod turns;
mod words;

use aurora::variability::arc_factor_median;
use quantity::{Basis, Estimate, Fraction, Horizontal, InputNote, InputState, wrap_degrees_360};

pub use self::dew::DewReport;
pub use self::focus::{FocusReport, Sharpness};
pub use self::foreground::FrameObject;
pub use self::glow::{RimGlow, TownInFrame};
pub use self::grid::FrameGrid;
pub use self::heavens::{FlareRisk, FrameBody, MoonInFrame};
pub use self::mirror::{MirrorStretch, MirrorSurface, MirroredLight};
pub use self::report::{FrameField, FrameLight, FrameZenith, StandReport};
pub use self::request::StandRequest;
pub use self::suggest::FrameSuggestion;
pub use self::turns::{FrameTurn, TurnKind};

use self::heavens::{BodiesUp, Heavens};
use self::light::SkyLight;
use self::score::Wishes;
use self::turns::Landmarks;
use crate::framing::{Framing, milli, rounded_direction, tenth};
use crate::site_sky::SiteSky;
use crate::{FramePointing, JobError};

/// Mean green light at the magnetic zenith from which rays overhead are likely, kR: IBC I, this project's judgement.
const CORONA_KR: f64 = 1.0;
/// Directions of the outline.
const OUTLINE_POINTS: usize = 96;
/// Spacing of the skyline in the picture, degrees of azimuth.
const SKYLINE_STEP_DEG: f64 = 0.5;
/// How far outside the picture a skyline is followed, in picture widths.
const SKYLINE_MARGIN_WIDTHS: f64 = 0.5;

/// What will be where in the frame: aurora, magnetic zenith, moon, stars, towns, foreground, and its mirror in water.
///
/// The aurora is the mean oval as it reaches the observer. Without a pointing the report is about the suggestion; with one,
/// the suggestion stands beside it.
///
/// # Errors
///
/// A number out of range, an instant outside the models' span, a site near the magnetic equator.
#[expect(clippy::needless_pass_by_value, reason = "every verb takes its request")]
pub fn stand(request: StandRequest) -> Result<StandReport, JobError> {
    request.check()?;
    let sky = SiteSky::new(&request.site, request.at, request.f107, light::directions())?;
    let now = sky.at(request.at)?;
    let light = request.activity.at(request.at).map(|interval| SkyLight::new(&sky, &now, interval.kp)).transpose()?;
    let bodies = BodiesUp::new(&request)?;
    let zenith = magnetic_zenith(sky.magnetic_zenith, light.as_ref());
    let wishes = Wishes::new(&request, &now, light.as_ref(), sky.magnetic_zenith, zenith.1);
    let suggestion = suggest::suggest(&request, &wishes);
    let asked = request.pointing.unwrap_or(suggestion.pointing);
    let pointing = FramePointing { azimuth_deg: wrap_degrees_360(asked.azimuth_deg), ..asked };
    let framing = Framing::new(&request.kit, &pointing);
    let heavens = Heavens::new(&request, &now, &bodies, &framing);
    let mirror = mirror::mirror(&request, light.as_ref(), &framing);
    let landmarks = Landmarks::new(&request, &now, light.as_ref(), sky.magnetic_zenith, &bodies);
    let mut report = StandReport {
        verdict: String::new(),
        reasons: Vec::new(),
        text: String::new(),
        turns: turns::turns(&request, &pointing, light.as_ref(), &landmarks),
        field: field(&framing),
        outline: framing.camera().frame_outline(OUTLINE_POINTS).into_iter().map(rounded_direction).collect(),
        light: light.as_ref().map(|light| frame_light(&request, light, &framing)),
        grid: light.as_ref().map(|light| FrameGrid::new(light, &framing, &mirror)),
        magnetic_zenith: FrameZenith {
            place: framing.place(sky.magnetic_zenith),
            mean_kr: zenith.0.map(milli),
            corona_likely: zenith.1,
        },
        moon: heavens.moon,
        sun: heavens.sun,
        planets: heavens.planets,
        stars: heavens.stars,
        town_glow: glow::rim(&now.background, &framing),
        towns: glow::towns(&request.site, &framing),
        skyline_px: skyline(&request, &framing),
        foreground: foreground::foreground(&request, &framing),
        focus: focus::focus(&request),
        dew: dew::dew(request.weather.at(request.at)),
        inputs: inputs(&request),
        limits: limits(&request, light.as_ref(), sky.place.model_lat_deg),
        cautions: crate::cautions(),
        mirror,
        suggestion,
        pointing,
        request: request.clone(),
    };
    report.verdict = words::verdict(&report);
    report.reasons = words::reasons(&report);
    report.text = words::text(&report);
    Ok(report)
}

/// Mean light at the magnetic zenith, and whether the oval lies overhead.
fn magnetic_zenith(direction: Horizontal, light: Option<&SkyLight>) -> (Option<f64>, bool) {
    let mean_kr = light.map(|light| light.green_kr(direction));
    (mean_kr, mean_kr.is_some_and(|kr| kr >= CORONA_KR))
}

fn field(framing: &Framing) -> FrameField {
    let camera = framing.camera();
    let field = camera.field_of_view_deg();
    let [width_px, height_px] = framing.size_px();
    FrameField {
        width_px,
        height_px,
        horizontal_deg: milli(field.horizontal_deg),
        vertical_deg: milli(field.vertical_deg),
        diagonal_deg: milli(field.diagonal_deg),
        pixel_arcsec: milli((camera.pixel_mm / camera.focal_mm).to_degrees() * 3600.0),
    }
}

fn frame_light(request: &StandRequest, light: &SkyLight, framing: &Framing) -> FrameLight {
    FrameLight {
        kp: light.kp,
        brightest: framing.place(light.brightest),
        brightest_mean_kr: light.brightest_kr,
        brightest_arc_kr: Estimate::logarithmic(
            light.brightest_kr.green_5577_kr * arc_factor_median(light.brightest.altitude_deg),
            crate::outlook::arc_spread_dex(),
            Basis::Model,
        ),
        share_inside: Fraction::clamped(milli(light.share_in(framing))),
        crest_inside: Fraction::clamped(milli(light.crest_in(framing))),
        crest: light.crest.clone(),
        clear_sightline: request.weather.clear_sightline(request.site.position, light.brightest, request.at),
    }
}

/// Unbroken stretches of the skyline near the picture, pixels.
fn skyline(request: &StandRequest, framing: &Framing) -> Vec<Vec<[f64; 2]>> {
    let [width, height] = framing.size_px().map(f64::from);
    let margin = SKYLINE_MARGIN_WIDTHS * width.max(height);
    let near = |x: f64, size: f64| x > -margin && x < size + margin;
    let mut runs: Vec<Vec<[f64; 2]>> = vec![Vec::new()];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "720")]
    let count = (360.0 / SKYLINE_STEP_DEG) as u32;
    // starts behind the camera, so that a stretch in front is not cut in two
    let start_deg = framing.camera().pointing.azimuth_deg + 180.0;
    for i in 0..=count {
        let azimuth_deg = start_deg + f64::from(i) * SKYLINE_STEP_DEG;
        let top = Horizontal::new(request.site.skyline_deg(azimuth_deg), azimuth_deg);
        match framing.pixel_of(top).filter(|[x, y]| near(*x, width) && near(*y, height)) {
            Some([x, y]) => {
                if let Some(run) = runs.last_mut() {
                    run.push([tenth(x), tenth(y)]);
                }
            }
            None if runs.last().is_some_and(|run| !run.is_empty()) => runs.push(Vec::new()),
            None => {}
        }
    }
    runs.retain(|run| run.len() > 1);
    runs
}

fn inputs(request: &StandRequest) -> Vec<InputNote> {
    let note = |name: &str, source: String, observed_at, state| InputNote {
        name: name.to_owned(),
        source,
        observed_at,
        age_minutes: None,
        state,
    };
    let known = |known: bool| if known { InputState::Given } else { InputState::Assumed };
    let activity = &request.activity;
    let weather = &request.weather;
    let mut notes = vec![
        note("Kp", activity.source.clone(), activity.issued_at, known(activity.at(request.at).is_some())),
        note("Weather", weather.source.clone(), weather.issued_at, known(weather.at(request.at).is_some())),
    ];
    notes.extend(crate::outlook::inputs::site_inputs(&request.site));
    notes.push(note(
        "Kit",
        format!("{}: {} with {}, as entered", request.kit.name, request.kit.camera.name, request.kit.lens.name),
        None,
        InputState::Given,
    ));
    notes
}

fn limits(request: &StandRequest, light: Option<&SkyLight>, model_lat_deg: f64) -> Vec<String> {
    let mut limits =
        light.map_or_else(Vec::new, |light| crate::outlook::inputs::limits(light.kp, light.kp, model_lat_deg));
    limits.push(
        "Lens: its ideal projection from the nominal focal length; a real one is off by 1 to 5 in 100 and distorts, so leave room at the edges.".to_owned(),
    );
    if !request.site.foreground.is_empty() {
        limits.push("Foreground: level ground and a camera 1.5 m up are taken.".to_owned());
    }
    if !request.site.water.is_empty() {
        limits.push(
            "Water: it is taken to reach from your feet to the far shore, and the wind at 10 m to be the wind on it."
                .to_owned(),
        );
    }
    limits
}
