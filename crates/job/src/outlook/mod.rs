//! Is it worth going, where, and between which times?

mod change;
pub(crate) mod detector;
mod elsewhere;
pub(crate) mod inputs;
mod members;
mod moment;
mod strip;
mod verdict;
mod windows;

use jiff::civil::Date;
use quantity::{Basis, Estimate, Fraction, Horizontal, InputNote, LineBrightness, Timestamp};
use serde::{Deserialize, Serialize};

pub use self::elsewhere::{Candidate, SiteOutlook};
pub(crate) use self::moment::arc_spread_dex;
pub use self::windows::best_step;

use self::detector::Detectors;
use self::members::Ensemble;
use self::verdict::Findings;
use crate::site_sky::SiteSky;
use crate::{
    Activity, ActivityKind, Caution, DarknessClass, Disagreement, JobError, Kit, KpInterval, NightTimes,
    PrecipitationOpinion, ScoresReport, Site, UpstreamWind, Weather, WeatherHour,
};

/// What the outlook is asked: one site, one night, and other sites to compare it with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookRequest {
    /// The site.
    pub site: Site,
    /// Date of the noon that opens the night.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub night: Date,
    /// When the question is asked; ages of inputs count from here.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub asked_at: Timestamp,
    /// The kit.
    pub kit: Kit,
    /// What drives the aurora.
    pub activity: Activity,
    /// What other sources say of the activity; set beside, not averaged in.
    #[serde(default)]
    pub other_activity: Vec<Activity>,
    /// The solar wind now measured upstream, where there is any.
    #[serde(default)]
    pub upstream: Option<UpstreamWind>,
    /// What the short-term precipitation grid says; set beside, drives nothing.
    #[serde(default)]
    pub precipitation: Option<PrecipitationOpinion>,
    /// Cloud, wind, temperature.
    pub weather: Weather,
    /// Other sites for the same night.
    #[serde(default)]
    pub elsewhere: Vec<Candidate>,
    /// What whoever gathered these inputs found wrong with them: missing, too old, out of reach. Shown with the limits.
    #[serde(default)]
    pub input_notes: Vec<String>,
    /// Solar radio flux at 10.7 cm, solar flux units.
    #[serde(default = "default_f107")]
    pub f107: f64,
    /// Minutes the eyes have been without white light.
    #[serde(default = "default_adaptation_minutes")]
    pub adaptation_minutes: f64,
}

/// Solar radio flux at 10.7 cm of a middling sun, solar flux units.
pub const MIDDLING_F107_SFU: f64 = 120.0;

fn default_f107() -> f64 {
    MIDDLING_F107_SFU
}

/// Long enough for nearly full dark adaptation.
fn default_adaptation_minutes() -> f64 {
    30.0
}

/// The three chances the outlook gives, cloud included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Chances {
    /// That a dark-adapted eye sees it.
    pub eye_sees: Fraction,
    /// That the eye sees colour in it.
    pub eye_sees_colour: Fraction,
    /// That the kit records it with a signal of more than five times the noise.
    pub camera_records: Fraction,
}

/// The direction in which the aurora stands out most.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BrightestPatch {
    /// Where to look.
    pub direction: Horizontal,
    /// The mean oval there, after extinction, kR.
    pub mean_kr: LineBrightness,
    /// Green light of the brightest arc to be expected, kR.
    pub brightest_arc_kr: Estimate,
    /// Where `brightest_arc_kr` falls on the International Brightness scale, and what that looks like
    /// ("IBC I-II, grey glow").
    pub looks_like: String,
    /// Sky without aurora in that direction, mag/arcsec².
    pub background_mag_arcsec2: Estimate,
}

/// One step of ten minutes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookStep {
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// How dark it is.
    pub darkness: DarknessClass,
    /// Airless altitude of the sun, degrees.
    pub sun_altitude_deg: f64,
    /// Airless altitude of the moon, degrees.
    pub moon_altitude_deg: f64,
    /// Share of the moon that is lit.
    pub moon_lit_fraction: f64,
    /// Kp, where the activity covers this step.
    pub kp: Option<Estimate>,
    /// Magnetic local time at the site, hours.
    pub mlt_h: f64,
    /// Zenith sky without aurora, mag/arcsec².
    pub background_zenith_mag_arcsec2: Estimate,
    /// The best direction; none in daylight or without activity.
    pub brightest: Option<BrightestPatch>,
    /// The weather of this step, where somebody gave it.
    pub weather: Option<WeatherHour>,
    /// Chance that no cloud stands in that line of sight; none where nobody gave cloud.
    pub clear_sightline: Option<Fraction>,
    /// The chances, cloud included where it is known; none without activity.
    pub chances: Option<Chances>,
}

/// A stretch of the night worth standing outside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WatchWindow {
    /// Start.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub from: Timestamp,
    /// End.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub to: Timestamp,
    /// Best moment.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub best_at: Timestamp,
    /// Chances at the best moment.
    pub chances: Chances,
    /// Why this stretch, in a few words.
    pub reason: String,
}

/// The advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Recommendation {
    /// Worth going.
    Go,
    /// Worth going for a camera, or if it is near.
    Perhaps,
    /// Not tonight.
    Stay,
    /// Something needed is missing.
    CannotTell,
}

/// A plain-words result with its reasons.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Verdict {
    /// The advice.
    pub recommendation: Recommendation,
    /// Two or three sentences, local time.
    pub text: String,
    /// Why, most weighty first.
    pub reasons: Vec<String>,
}

/// What the outlook answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OutlookReport {
    /// The request it answers.
    pub request: OutlookRequest,
    /// The advice with its reasons.
    pub verdict: Verdict,
    /// The chances of the night: those of its best moment; none without activity or darkness.
    pub chances: Option<Chances>,
    /// Stretches worth standing outside, best first; empty where there is none.
    pub windows: Vec<WatchWindow>,
    /// Sunset, twilights, moon.
    pub night: NightTimes,
    /// Every ten minutes from noon to noon.
    pub steps: Vec<OutlookStep>,
    /// This site and those elsewhere, the one most worth going to first; empty where no other was given.
    pub ranking: Vec<SiteOutlook>,
    /// Where rays converge.
    pub magnetic_zenith: Horizontal,
    /// Magnetic latitude the models are fed with, degrees.
    pub model_lat_deg: f64,
    /// Lowest Kp, in steps of a third, at which an eye would have an even chance here in the darkest hours; none if
    /// no Kp up to 9 gives it.
    pub kp_needed_eye: Option<f64>,
    /// What would change the verdict, with thresholds.
    pub would_change: Vec<String>,
    /// Every input, its source and age.
    pub inputs: Vec<InputNote>,
    /// Where the models stop being good tonight.
    pub limits: Vec<String>,
    /// The usual cautions.
    pub cautions: Vec<Caution>,
    /// What the outlook's record says of its own skill.
    pub past_skill: String,
    /// The numbers behind that; none where no record was looked at.
    #[serde(default)]
    pub past_scores: Option<ScoresReport>,
    /// The night strip in words.
    pub strip_text: String,
}

impl OutlookReport {
    /// The same report with the record of earlier outlooks, which the journal keeps and the sky knows nothing of.
    #[must_use]
    pub fn with_past_scores(self, scores: ScoresReport) -> Self {
        Self { past_skill: scores.past_skill.clone(), past_scores: Some(scores), ..self }
    }
}

/// Minutes between steps.
const STEP_MINUTES: i64 = 10;
/// Most notes on inputs, and the longest, bytes: they are shown whole.
const MOST_INPUT_NOTES: usize = 50;
const LONGEST_NOTE: usize = 500;
/// Altitude of the sun above which no aurora is looked for, degrees.
const SUN_TOO_HIGH_DEG: f64 = -3.0;
/// Said among the limits where sources differ by more than their errors.
const SOURCES_DISAGREE: &str =
    "Sources of the activity disagree tonight: the chances rest on one of them alone and are less sure than they look.";
/// Largest number of darkest steps at which the Kp needed is tried.
const KP_SEARCH_STEPS: usize = 5;

/// Is it worth going to this site this night, and between which times?
///
/// Every ten minutes from noon to noon: darkness, moon, the sky's own light, and for fifteen equally careful guesses at activity
/// and border the brightness of the aurora over the sky; from them the chance that a dark-adapted eye sees it,
/// sees colour in it, and that the kit records it. Chances of different steps are not independent; the chance of a
/// window is that of its best moment. The method and its distributions stand in `docs/outlook.md`.
///
/// # Errors
///
/// A request with a number out of range, an unknown time zone, or a date outside the models' span.
pub fn outlook(request: OutlookRequest) -> Result<OutlookReport, JobError> {
    check(&request)?;
    let zone = request.site.zone()?;
    let night = crate::night_times(request.night, request.site.position)?;
    let sky = SiteSky::new(&request.site, night.from, request.f107, moment::directions(&request.site))?;
    let detectors = Detectors::new(&request.kit, request.adaptation_minutes);
    let ask = Ask { activity: &request.activity, weather: &request.weather, sky: &sky, detectors: &detectors };
    let steps = steps(&ask, (night.from, night.to), STEP_MINUTES, &mut Ensembles::default())?;
    let ranking = elsewhere::ranking(&request)?;
    let kp_needed_eye = kp_needed(&sky, &steps, &detectors)?;
    let windows = windows::windows(&steps);
    let best = windows::best_step(&steps).map(|index| &steps[index]);
    let disagreements = disagreements(&request, &night);
    let inputs = inputs::inputs(&request);
    let findings = Findings {
        inputs: &inputs,
        request: &request,
        night: &night,
        best,
        window: windows.first(),
        kp_needed_eye,
        model_lat_deg: sky.place.model_lat_deg,
        zone: &zone,
        ranking: &ranking,
        disagreements: &disagreements,
    };
    let verdict = verdict::verdict(&findings);
    let kps = || steps.iter().filter_map(|step| step.kp.map(|kp| kp.value));
    let mut limits = request.input_notes.clone();
    limits.extend(self::inputs::limits(kps().fold(1.0, f64::max), kps().fold(9.0, f64::min), sky.place.model_lat_deg));
    if !disagreements.is_empty() {
        limits.push(SOURCES_DISAGREE.to_owned());
    }
    Ok(OutlookReport {
        verdict,
        chances: best.and_then(|step| step.chances),
        would_change: change::would_change(&request, &night, best, kp_needed_eye, &zone),
        inputs,
        limits,
        cautions: crate::cautions(),
        past_skill: crate::skill::NO_RECORD.to_owned(),
        past_scores: None,
        strip_text: strip::strip_text(&night, &windows, best, &request, &zone),
        magnetic_zenith: sky.magnetic_zenith,
        model_lat_deg: sky.place.model_lat_deg,
        kp_needed_eye,
        windows,
        ranking,
        night,
        steps,
        request,
    })
}

/// Where other sources differ from the one that drives, in the hours of the night that are yet to come; in the whole of
/// a night that is over.
fn disagreements(request: &OutlookRequest, night: &NightTimes) -> Vec<Disagreement> {
    let from = night.sunset.unwrap_or(night.from);
    let to = night.sunrise.filter(|sunrise| *sunrise > from).unwrap_or(night.to);
    let from = if request.asked_at < to { from.max(request.asked_at) } else { from };
    crate::disagreements(&request.activity, &request.other_activity, from, to)
}

fn check(request: &OutlookRequest) -> Result<(), JobError> {
    request.site.check()?;
    request.kit.check()?;
    request.activity.check()?;
    request.weather.check()?;
    request.upstream.as_ref().map_or(Ok(()), UpstreamWind::check)?;
    request.precipitation.as_ref().map_or(Ok(()), PrecipitationOpinion::check)?;
    for (index, other) in request.other_activity.iter().enumerate() {
        other
            .check()
            .map_err(|error| JobError::bad(format!("other_activity[{index}]"), error.to_string(), error.hint()))?;
    }
    elsewhere::check(&request.elsewhere, request.night)?;
    if request.input_notes.len() > MOST_INPUT_NOTES || request.input_notes.iter().any(|note| note.len() > LONGEST_NOTE)
    {
        return Err(JobError::bad("input_notes", "there are too many or too long notes", "give 50 short ones at most"));
    }
    JobError::check("adaptation_minutes", request.adaptation_minutes, 0.0, 24.0 * 60.0, "minutes")?;
    JobError::check("f107", request.f107, 50.0, 500.0, "solar flux units")?;
    Ok(())
}

/// What every step is worked out from.
struct Ask<'a> {
    activity: &'a Activity,
    weather: &'a Weather,
    sky: &'a SiteSky<'a>,
    detectors: &'a Detectors,
}

fn steps(
    ask: &Ask<'_>,
    (from, to): (Timestamp, Timestamp),
    step_minutes: i64,
    ensembles: &mut Ensembles,
) -> Result<Vec<OutlookStep>, JobError> {
    let mut steps = Vec::new();
    let mut at_s = from.as_second();
    // a round minute reads better than the second of a mean noon
    at_s -= at_s.rem_euclid(step_minutes * 60);
    while at_s <= to.as_second() {
        let at = Timestamp::from_second(at_s)
            .map_err(|error| JobError::bad("night", error.to_string(), "give a date of this century"))?;
        steps.push(step(at, ask, ensembles)?);
        at_s += step_minutes * 60;
    }
    Ok(steps)
}

fn step(at: Timestamp, ask: &Ask<'_>, ensembles: &mut Ensembles) -> Result<OutlookStep, JobError> {
    let sky = ask.sky;
    let now = sky.at(at)?;
    let interval = ask.activity.at(at);
    let dark_enough = now.sun.altitude_deg < SUN_TOO_HIGH_DEG;
    let found = interval
        .filter(|_| dark_enough)
        .map(|interval| moment::moment(sky, &now, ensembles.of(interval), ask.detectors));
    let sightline = found.as_ref().map_or(Horizontal::new(90.0, 0.0), |m| m.brightest.direction);
    let clear_sightline = ask.weather.clear_sightline(sky.site.position, sightline, at);
    let chances = match (&found, interval) {
        (Some(found), _) => Some(found.clear_chances.with_clear_sightline(clear_sightline)),
        // daylight: no chance, and that is known
        (None, Some(_)) => Some(Chances::NONE),
        (None, None) => None,
    };
    Ok(OutlookStep {
        at,
        darkness: DarknessClass::from_sun_altitude_deg(now.sun.altitude_deg),
        sun_altitude_deg: now.sun.altitude_deg,
        moon_altitude_deg: now.moon.altitude_deg,
        moon_lit_fraction: now.moon_lit_fraction,
        kp: interval.map(|i| Estimate::symmetric(i.kp, i.kind.kp_sigma(), basis_of(i.kind))),
        mlt_h: now.clock.mlt_h(sky.place.apex_lon_deg),
        background_zenith_mag_arcsec2: moment::background_estimate(&now.background.at(Horizontal::new(90.0, 0.0))),
        brightest: found.map(|found| found.brightest),
        weather: ask.weather.at(at).copied(),
        clear_sightline,
        chances,
    })
}

fn basis_of(kind: ActivityKind) -> Basis {
    match kind {
        ActivityKind::Definitive | ActivityKind::Preliminary | ActivityKind::Nowcast => Basis::Measured,
        ActivityKind::SolarWind | ActivityKind::Power | ActivityKind::Forecast | ActivityKind::LongRange => {
            Basis::Model
        }
        ActivityKind::Given => Basis::Assumed,
    }
}

/// Lowest Kp in thirds with an even chance for the eye at any of the darkest steps.
fn kp_needed(sky: &SiteSky<'_>, steps: &[OutlookStep], detectors: &Detectors) -> Result<Option<f64>, JobError> {
    const EVEN: f64 = 0.5;
    let mut dark: Vec<&OutlookStep> = steps.iter().filter(|s| s.sun_altitude_deg < SUN_TOO_HIGH_DEG).collect();
    dark.sort_by(|a, b| b.background_zenith_mag_arcsec2.value.total_cmp(&a.background_zenith_mag_arcsec2.value));
    let darkest_class = dark.iter().map(|s| s.darkness).max();
    dark.retain(|s| Some(s.darkness) == darkest_class);
    // spread over the dark hours, so that magnetic midnight is not missed
    dark.sort_by_key(|s| s.at);
    let stride = dark.len().div_ceil(KP_SEARCH_STEPS).max(1);
    let moments = dark.iter().step_by(stride).map(|s| sky.at(s.at)).collect::<Result<Vec<_>, _>>()?;
    let enough = |thirds: u8| {
        let ensemble = Ensemble::exactly(f64::from(thirds) / 3.0);
        moments.iter().any(|now| moment::eye_chance(sky, now, &ensemble, detectors) >= EVEN)
    };
    // The chance rises with Kp at any place equatorward of the oval; poleward of it the lowest Kp that serves is found too.
    let (mut low, mut high) = (0u8, 27u8);
    if moments.is_empty() || !enough(high) {
        return Ok(None);
    }
    while low < high {
        let middle = u8::midpoint(low, high);
        if enough(middle) { high = middle } else { low = middle + 1 }
    }
    Ok(Some(f64::from(low) / 3.0))
}

/// One ensemble for each Kp met, made once.
#[derive(Default)]
struct Ensembles {
    made: Vec<(KpKey, Ensemble)>,
    /// Nine members each instead of fifteen.
    coarse: bool,
}

/// Kp in thousandths and its kind.
type KpKey = (i64, ActivityKind);

impl Ensembles {
    fn coarse() -> Self {
        Self { coarse: true, ..Self::default() }
    }

    fn of(&mut self, interval: &KpInterval) -> &Ensemble {
        #[expect(clippy::cast_possible_truncation, reason = "checked to be 0..9")]
        let key = ((interval.kp * 1000.0).round() as i64, interval.kind);
        let index = self.made.iter().position(|(made, _)| *made == key).unwrap_or_else(|| {
            let sigma = interval.kind.kp_sigma();
            let made =
                if self.coarse { Ensemble::coarse(interval.kp, sigma) } else { Ensemble::around(interval.kp, sigma) };
            self.made.push((key, made));
            self.made.len() - 1
        });
        &self.made[index].1
    }
}

impl Chances {
    /// No chance at all, and that is known.
    pub const NONE: Self =
        Self { eye_sees: Fraction::NONE, eye_sees_colour: Fraction::NONE, camera_records: Fraction::NONE };

    /// These chances of a clear sky, behind cloud that leaves the line of sight open for a share of the time.
    #[must_use]
    fn with_clear_sightline(self, clear: Option<Fraction>) -> Self {
        let through = |chance: Fraction| Fraction::clamped(chance.value() * clear.map_or(1.0, Fraction::value));
        Self {
            eye_sees: through(self.eye_sees),
            eye_sees_colour: through(self.eye_sees_colour),
            camera_records: through(self.camera_records),
        }
    }
}
