//! What was said before an outing against what was seen on it: reliability, Brier score, bias of brightness.

mod chances;
mod line;

use std::collections::BTreeMap;

use jiff::civil::Date;
use quantity::{Estimate, Fraction, Timestamp};
use serde::{Deserialize, Serialize};

pub use self::chances::{ChanceScores, ReliabilityRow};
pub(crate) use self::line::NO_RECORD;

use crate::JobError;

/// Fewest outings from which anything is judged. With ten, the 95 % Wilson interval of an even share still runs from
/// 0.24 to 0.76: half of the scale. The project's judgement.
pub const FEWEST_TO_JUDGE: usize = 10;
/// Chance from which an outlook is taken to have said "yes", 0..1: more likely than not.
pub const SAID_LIKELY: f64 = 0.5;
/// Most outings scored in one request: some thirty years of nightly ones.
const MOST_CASES: usize = 10_000;

/// What became of a chance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SeenOutcome {
    /// It was seen, or recorded.
    Yes,
    /// It was not, under a sky that would have let it through.
    No,
    /// Cloud hid the sky: whether there was aurora is not known.
    Cloud,
}

/// One outing: what was predicted for its best moment, and what was met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ScoredOuting {
    /// Name of the site.
    pub site_name: String,
    /// Date of the noon that opens the night.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub night: Date,
    /// When the outlook was asked for.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub asked_at: Timestamp,
    /// The moment that the chances are for; none where the outlook named none.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub best_at: Option<Timestamp>,
    /// Chance given that a dark-adapted eye sees it.
    pub eye_chance: Option<Fraction>,
    /// Chance given that the kit records it.
    pub camera_chance: Option<Fraction>,
    /// Whether cloud was in those chances.
    pub cloud_counted: bool,
    /// Green light of the brightest arc predicted, kR.
    pub predicted_kr: Option<f64>,
    /// What the eye met; none where nobody said.
    pub eye: Option<SeenOutcome>,
    /// What the camera met; none where nobody said.
    pub camera: Option<SeenOutcome>,
    /// Green light of the brightest aurora met, kR.
    pub met_kr: Option<Estimate>,
    /// Made for a demonstration: nobody was there.
    pub invented: bool,
}

/// What the scores are asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ScoresRequest {
    /// The outings, in any order.
    pub outings: Vec<ScoredOuting>,
}

/// How far the predicted brightness lies from that met.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BrightnessBias {
    /// Outings with both brightnesses.
    pub count: usize,
    /// Mean of log10(met / predicted), dex: positive where aurora was brighter than said.
    pub mean_dex: f64,
    /// Its standard error (sample deviation over the root of the count), dex; none from one outing.
    pub standard_error_dex: Option<f64>,
}

/// What the scores answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ScoresReport {
    /// The record in one honest line.
    pub past_skill: String,
    /// Outings that count: those with a prediction before the event and a word on the eye.
    pub kept: usize,
    /// Whether these outings are invented; true only where there is none of one's own.
    pub invented: bool,
    /// Fewest outings from which this report judges.
    pub fewest_to_judge: usize,
    /// The chances for an eye.
    pub eye: ChanceScores,
    /// The chances for the kit.
    pub camera: ChanceScores,
    /// The brightness; none where no outing has both.
    pub brightness: Option<BrightnessBias>,
    /// Outings lost to cloud.
    pub lost_to_cloud: usize,
    /// Outings left out because the outlook was asked for after the moment it speaks of.
    pub left_out_hindsight: usize,
    /// How to read these numbers, and where they stop being good.
    pub limits: Vec<String>,
}

/// Scores what outlooks said against what was met.
///
/// One case a site and night: the last outlook asked for before its own best moment. An outing under cloud counts as
/// not seen where cloud was in the chance, and is left out of the score where it was not; it is counted by itself
/// either way. Invented outings count only where there is none of one's own.
///
/// # Errors
///
/// More than ten thousand outings, or a brightness that is no positive number of kR.
pub fn scores(request: &ScoresRequest) -> Result<ScoresReport, JobError> {
    check(request)?;
    let own = request.outings.iter().any(|outing| !outing.invented && outing.was_met());
    let met = || request.outings.iter().filter(|outing| outing.invented != own && outing.was_met());
    let cases = one_a_night(met().filter(|outing| !outing.is_hindsight()));
    let eye = chances::score(cases.iter().filter_map(|case| case.pair(case.eye_chance, case.eye)));
    let camera = chances::score(cases.iter().filter_map(|case| case.pair(case.camera_chance, case.camera)));
    let lost_to_cloud = cases.iter().filter(|case| case.eye == Some(SeenOutcome::Cloud)).count();
    let invented = !own && !cases.is_empty();
    Ok(ScoresReport {
        past_skill: line::past_skill(&eye, lost_to_cloud, invented),
        kept: eye.count,
        invented,
        fewest_to_judge: FEWEST_TO_JUDGE,
        brightness: bias(&cases),
        left_out_hindsight: met().filter(|outing| outing.is_hindsight()).count(),
        lost_to_cloud,
        eye,
        camera,
        limits: line::limits(),
    })
}

impl ScoredOuting {
    fn was_met(&self) -> bool {
        self.eye.is_some() || self.camera.is_some() || self.met_kr.is_some()
    }

    fn is_hindsight(&self) -> bool {
        self.best_at.is_some_and(|best_at| self.asked_at > best_at)
    }

    /// A chance with whether it came true.
    fn pair(&self, chance: Option<Fraction>, outcome: Option<SeenOutcome>) -> Option<(f64, bool)> {
        let came = match outcome? {
            SeenOutcome::Yes => true,
            SeenOutcome::No => false,
            SeenOutcome::Cloud if self.cloud_counted => false,
            SeenOutcome::Cloud => return None,
        };
        Some((chance?.value(), came))
    }
}

fn check(request: &ScoresRequest) -> Result<(), JobError> {
    let count = request.outings.len();
    if count > MOST_CASES {
        let problem = format!("{count} outings are more than {MOST_CASES}");
        return Err(JobError::bad("outings", problem, "score fewer at once"));
    }
    for (index, outing) in request.outings.iter().enumerate() {
        let met = outing.met_kr.map(|met| met.value);
        for kr in outing.predicted_kr.into_iter().chain(met) {
            JobError::check(&format!("outings[{index}]"), kr, 0.0, 1e6, "kR")?;
        }
    }
    Ok(())
}

/// The last prediction of every site and night.
fn one_a_night<'a>(outings: impl Iterator<Item = &'a ScoredOuting>) -> Vec<&'a ScoredOuting> {
    let mut last: BTreeMap<(Date, &str), &ScoredOuting> = BTreeMap::new();
    for outing in outings {
        let kept = last.entry((outing.night, outing.site_name.as_str())).or_insert(outing);
        if outing.asked_at > kept.asked_at {
            *kept = outing;
        }
    }
    last.into_values().collect()
}

fn bias(cases: &[&ScoredOuting]) -> Option<BrightnessBias> {
    let dex = |case: &&ScoredOuting| {
        let (predicted, met) = (case.predicted_kr?, case.met_kr?.value);
        (predicted > 0.0 && met > 0.0).then(|| (met / predicted).log10())
    };
    let differences: Vec<f64> = cases.iter().filter_map(dex).collect();
    if differences.is_empty() {
        return None;
    }
    let count = differences.len() as f64;
    let mean_dex = differences.iter().sum::<f64>() / count;
    let squares: f64 = differences.iter().map(|difference| (difference - mean_dex).powi(2)).sum();
    let standard_error_dex = (differences.len() > 1).then(|| (squares / (count - 1.0) / count).sqrt());
    Some(BrightnessBias { count: differences.len(), mean_dex, standard_error_dex })
}
