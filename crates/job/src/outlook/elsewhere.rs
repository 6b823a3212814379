//! The same night at other sites, quickly, and which of them is worth the road.

use jiff::civil::Date;
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::detector::Detectors;
use super::{Chances, Ensembles, OutlookRequest, OutlookStep, Recommendation, WatchWindow, moment, verdict, windows};
use crate::site_sky::SiteSky;
use crate::{JobError, NightTimes, Site, Weather};

/// Minutes between the steps of a comparison.
const STEP_MINUTES: i64 = 20;
/// Minutes on the road that halve what a site is worth: the project's judgement of how far people drive for a chance.
const HALVING_DRIVE_MINUTES: f64 = 120.0;
/// Most sites compared in one request.
pub(super) const MOST_SITES: usize = 200;
/// A factor this much worse than the winner's is named as the reason.
const TELLING_RATIO: f64 = 0.9;
/// A sky so much brighter than the winner's is named as such, mag/arcsec².
const BRIGHTER_SKY_MAG: f64 = 0.4;

/// A site to compare, with its own weather.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Candidate {
    /// The site.
    pub site: Site,
    /// Its weather.
    pub weather: Weather,
}

/// One row of the comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SiteOutlook {
    /// The site.
    pub site: Site,
    /// Sunset, twilights, moon.
    pub night: NightTimes,
    /// The advice for this site alone.
    pub recommendation: Recommendation,
    /// Chances at the best moment that can be reached.
    pub chances: Option<Chances>,
    /// Windows that can be reached, best first.
    pub windows: Vec<WatchWindow>,
    /// What the site is worth, 0 to 1: the best reachable moment's chances, halved for every two hours on the road.
    pub worth: f64,
    /// Why it won or lost, in a few words.
    pub reason: String,
    /// Every twenty minutes of the night.
    pub steps: Vec<OutlookStep>,
}

/// What decides between sites, each 0 to 1.
struct Factors {
    /// Chances under a clear sky.
    clear_sky: f64,
    clear_sightline: f64,
    road: f64,
    background_mag: f64,
}

/// All sites of a request, the one in focus included, the one most worth going to first; empty where there is only one.
///
/// Nine members (three values of Kp by three positions of the border) and steps of twenty minutes: enough to rank, and
/// fifty sites in under two seconds. Numbers differ a little from those of the full outlook.
pub(super) fn ranking(request: &OutlookRequest) -> Result<Vec<SiteOutlook>, JobError> {
    if request.elsewhere.is_empty() {
        return Ok(Vec::new());
    }
    let detectors = Detectors::new(&request.kit, request.adaptation_minutes);
    let mut ensembles = Ensembles::coarse();
    let focus = std::iter::once((&request.site, &request.weather));
    let others = request.elsewhere.iter().map(|candidate| (&candidate.site, &candidate.weather));
    let mut rows = focus
        .chain(others)
        .map(|(site, weather)| {
            // a site that cannot be answered does not hold up the others
            row(request, site, weather, &detectors, &mut ensembles).or_else(|error| unanswered(request, site, &error))
        })
        .collect::<Result<Vec<_>, _>>()?;
    rows.sort_by(|a, b| b.0.worth.total_cmp(&a.0.worth));
    let reasons: Vec<String> = (0..rows.len()).map(|index| reason(&rows, index)).collect();
    Ok(rows.into_iter().zip(reasons).map(|((row, _), reason)| SiteOutlook { reason, ..row }).collect())
}

fn row(
    request: &OutlookRequest,
    site: &Site,
    weather: &Weather,
    detectors: &Detectors,
    ensembles: &mut Ensembles,
) -> Result<(SiteOutlook, Factors), JobError> {
    let night = crate::night_times(request.night, site.position)?;
    let sky = SiteSky::new(site, night.from, request.f107, moment::few_directions(site))?;
    let from = night.sunset.unwrap_or(night.from);
    let to = night.sunrise.filter(|sunrise| *sunrise > from).unwrap_or(night.to);
    let ask = super::Ask { activity: &request.activity, weather, sky: &sky, detectors };
    let steps = super::steps(&ask, (from, to), STEP_MINUTES, ensembles)?;
    let arrival = arrival(request.asked_at, site, &night);
    let first = steps.partition_point(|step| step.at < arrival);
    let reachable = &steps[first..];
    let windows = windows::windows(reachable);
    let best = windows::best_step(reachable).map(|index| &reachable[index]);
    let road = 0.5f64.powf(site.drive_minutes.unwrap_or(0.0) / HALVING_DRIVE_MINUTES);
    let worth = best.and_then(|step| step.chances.as_ref()).map_or(0.0, windows::score) * road;
    let factors = Factors {
        clear_sky: best.map_or(0.0, clear_sky_score),
        clear_sightline: best.and_then(|step| step.clear_sightline).map_or(1.0, quantity::Fraction::value),
        road,
        background_mag: best.map_or(0.0, |step| step.background_zenith_mag_arcsec2.value),
    };
    let outlook = SiteOutlook {
        site: site.clone(),
        recommendation: verdict::recommend(&night, best),
        chances: best.and_then(|step| step.chances),
        windows,
        worth,
        reason: String::new(),
        steps,
        night,
    };
    Ok((outlook, factors))
}

fn unanswered(request: &OutlookRequest, site: &Site, error: &JobError) -> Result<(SiteOutlook, Factors), JobError> {
    let outlook = SiteOutlook {
        night: crate::night_times(request.night, site.position)?,
        site: site.clone(),
        recommendation: Recommendation::CannotTell,
        chances: None,
        windows: Vec::new(),
        worth: 0.0,
        reason: error.to_string(),
        steps: Vec::new(),
    };
    Ok((outlook, Factors { clear_sky: 0.0, clear_sightline: 0.0, road: 0.0, background_mag: 0.0 }))
}

/// When one could stand there, if one left on asking; before the night, there is time.
fn arrival(asked_at: Timestamp, site: &Site, night: &NightTimes) -> Timestamp {
    #[expect(clippy::cast_possible_truncation, reason = "checked to be at most three days")]
    let drive_s = (site.drive_minutes.unwrap_or(0.0) * 60.0) as i64;
    // a question about a night that is over is not a plan: nothing is out of reach
    if asked_at >= night.to {
        return night.from;
    }
    Timestamp::from_second(asked_at.as_second().saturating_add(drive_s)).unwrap_or(asked_at)
}

/// What the best moment would be worth without cloud.
fn clear_sky_score(step: &OutlookStep) -> f64 {
    let clear = step.clear_sightline.map_or(1.0, quantity::Fraction::value).max(1e-3);
    step.chances.as_ref().map_or(0.0, |chances| (windows::score(chances) / clear).min(1.0))
}

fn reason(rows: &[(SiteOutlook, Factors)], index: usize) -> String {
    let (row, own) = &rows[index];
    if !row.reason.is_empty() {
        return row.reason.clone();
    }
    if row.chances.is_none_or(|chances| windows::score(&chances) <= 0.0) {
        return out_of_reach(row);
    }
    if index == 0 {
        return winner(rows);
    }
    let best = &rows[0].1;
    let ratio = |own: f64, best: f64| own / best.max(1e-3);
    let losses = [
        (ratio(own.clear_sightline, best.clear_sightline), "more cloud on the line of sight"),
        (ratio(own.road, best.road), "a longer drive"),
        (
            ratio(own.clear_sky, best.clear_sky),
            if own.background_mag < best.background_mag - BRIGHTER_SKY_MAG {
                "a brighter sky there"
            } else {
                "aurora fainter or lower there"
            },
        ),
    ];
    losses
        .into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(ratio, _)| *ratio < TELLING_RATIO)
        .map_or_else(|| "nearly as good".to_owned(), |(_, words)| words.to_owned())
}

fn out_of_reach(row: &SiteOutlook) -> String {
    let any_chance = row.steps.iter().any(|step| step.chances.is_some_and(|chances| windows::score(&chances) > 0.0));
    let words = if any_chance {
        "not reached while it is dark"
    } else if row.steps.iter().any(|step| step.brightest.is_some()) {
        "no chance of aurora there"
    } else {
        "no dark hours with activity"
    };
    words.to_owned()
}

/// What the winner has most over the middle of the others.
fn winner(rows: &[(SiteOutlook, Factors)]) -> String {
    let middle = |value: fn(&Factors) -> f64| {
        let mut values: Vec<f64> = rows[1..].iter().map(|(_, factors)| value(factors)).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0).max(1e-3)
    };
    let own = &rows[0].1;
    let gains = [
        (own.clear_sightline / middle(|f| f.clear_sightline), "the clearest line of sight"),
        (own.road / middle(|f| f.road), "the shorter drive"),
        (own.clear_sky / middle(|f| f.clear_sky), "aurora brighter or higher there"),
    ];
    gains
        .into_iter()
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(gain, _)| *gain > 1.0 / TELLING_RATIO)
        .map_or_else(|| "a little better in everything".to_owned(), |(_, words)| words.to_owned())
}

/// Checks every candidate.
pub(super) fn check(elsewhere: &[Candidate], night: Date) -> Result<(), JobError> {
    let count = elsewhere.len();
    if count > MOST_SITES {
        return Err(JobError::bad(
            "elsewhere",
            format!("{count} sites for the night of {night} are more than {MOST_SITES}"),
            "compare fewer sites at once",
        ));
    }
    for (index, candidate) in elsewhere.iter().enumerate() {
        candidate.site.check().and_then(|()| candidate.weather.check()).map_err(|error| {
            JobError::bad(format!("elsewhere[{index}]"), format!("{}: {error}", candidate.site.name), error.hint())
        })?;
    }
    Ok(())
}
