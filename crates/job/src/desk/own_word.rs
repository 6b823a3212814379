//! What own frames and kept outlooks said about the time and place that a sender names.

use quantity::{Estimate, Timestamp};
use serde::{Deserialize, Serialize};

use super::report::DeskEvidence;
use super::request::DeskClaim;
use crate::wording::{self, kilorayleighs};
use crate::{OutlookReport, ReadReport};

/// How far own frames and sites may be from a claimed place, km: aurora at 110 km stands 17 degrees high from there, so that both
/// see much of the same sky.
const NEAR_KM: f64 = 300.0;
/// How far own frames may be from a claimed time, minutes, beside the claim's own tolerance: a quiet arc lasts as long.
const NEAR_MINUTES: f64 = 15.0;
/// How far a step of an outlook may be from a claimed time, minutes: its steps are ten apart.
const STEP_MINUTES: f64 = 10.0;

/// Own frames that were read near a claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OwnReading {
    /// The folder or files, as they were given.
    pub name: String,
    /// How far the camera stood from the claimed place, km.
    pub away_km: f64,
    /// From the claimed time to the nearest frame, minutes; 0 between the first frame and the last.
    pub apart_minutes: f64,
    /// Frames looked at for aurora, with it for sure, and without it for sure.
    pub looked_at: u32,
    /// With aurora.
    pub yes: u32,
    /// Without.
    pub no: u32,
    /// Light of the brightest aurora in them, kR.
    pub brightest_kr: Option<Estimate>,
}

/// An outlook that was kept for a site near a claim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OwnOutlook {
    /// The outing it was kept with.
    pub outing: String,
    /// The site.
    pub site: String,
    /// How far that is from the claimed place, km.
    pub away_km: f64,
    /// When it was asked for.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub asked_at: Timestamp,
    /// Chance that a camera records aurora at the claimed time, 0 to 1; an estimate.
    pub camera_chance: Option<f64>,
    /// Brightest arc expected then, kR.
    pub brightest_arc_kr: Option<Estimate>,
}

/// All of them.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct OwnWord {
    /// Own frames.
    #[serde(default)]
    pub readings: Vec<OwnReading>,
    /// Kept outlooks.
    #[serde(default)]
    pub outlooks: Vec<OwnOutlook>,
}

impl OwnReading {
    /// What frames say of a claim; `None` where they are of another time or place, or know neither.
    pub fn near(name: &str, report: &ReadReport, claim: &DeskClaim) -> Option<Self> {
        let (first, last) = report.frames.first.zip(report.frames.last)?;
        let (at, position) = claim.at.zip(claim.position)?;
        let away_km = geomag::ground_distance_km(report.request.position?, position);
        let minutes = |from: Timestamp, to: Timestamp| to.duration_since(from).as_secs_f64() / 60.0;
        let apart_minutes = minutes(at, first).max(minutes(last, at)).max(0.0);
        let is_near = away_km <= NEAR_KM + claim.within_km && apart_minutes <= NEAR_MINUTES + claim.within_minutes;
        is_near.then(|| Self {
            name: name.to_owned(),
            away_km,
            apart_minutes,
            looked_at: report.aurora.looked_at,
            yes: report.aurora.yes,
            no: report.aurora.no,
            brightest_kr: report.brightest_kr().ok().map(|(_, kr)| kr),
        })
    }

    fn text(&self) -> String {
        let seen = match (self.yes, self.no, self.looked_at) {
            (0, 0, _) => "cannot tell".to_owned(),
            (0, no, all) => format!("no aurora on {no} of {}", wording::counted(all, "frame")),
            (yes, _, all) => format!("aurora on {yes} of {}", wording::counted(all, "frame")),
        };
        let kr = self.brightest_kr.map_or_else(String::new, |kr| {
            format!(
                ", {} at its brightest ({} to {})",
                kilorayleighs(kr.value),
                kilorayleighs(kr.low),
                kilorayleighs(kr.high)
            )
        });
        let when = if self.apart_minutes > 0.0 {
            format!("{:.0} min from the claimed time", self.apart_minutes.ceil())
        } else {
            "of the claimed time".to_owned()
        };
        format!("{}, {:.0} km away, frames {when}: {seen}{kr}", self.name, self.away_km)
    }
}

impl OwnOutlook {
    /// What an outlook said of a claim; `None` where it is of another time or place.
    pub fn near(outing: &str, report: &OutlookReport, claim: &DeskClaim) -> Option<Self> {
        let (at, position) = claim.at.zip(claim.position)?;
        let site = &report.request.site;
        let away_km = geomag::ground_distance_km(site.position, position);
        let apart = |step: Timestamp| step.duration_since(at).as_secs_f64().abs() / 60.0;
        let step = report.steps.iter().min_by(|one, other| apart(one.at).total_cmp(&apart(other.at)))?;
        (away_km <= NEAR_KM + claim.within_km && apart(step.at) <= STEP_MINUTES).then(|| Self {
            outing: outing.to_owned(),
            site: site.name.clone(),
            away_km,
            asked_at: report.request.asked_at,
            camera_chance: step.chances.as_ref().map(|chances| chances.camera_records.value()),
            brightest_arc_kr: step.brightest.as_ref().map(|patch| patch.brightest_arc_kr),
        })
    }

    fn text(&self) -> String {
        let chance = match self.camera_chance {
            Some(chance) => {
                format!("chance of {:.0} % that a camera records it, cloud counted where it was known", 100.0 * chance)
            }
            None => "no chance was worked out for then".to_owned(),
        };
        let kr = self.brightest_arc_kr.map_or_else(String::new, |kr| {
            format!(", {} expected ({} to {})", kilorayleighs(kr.value), kilorayleighs(kr.low), kilorayleighs(kr.high))
        });
        let asked = self.asked_at.strftime("%Y-%m-%d %H:%M UTC");
        format!("{}, {:.0} km away, asked {asked}: {chance}{kr}, estimates", self.site, self.away_km)
    }
}

impl OwnWord {
    /// Whether own frames show aurora for sure: then there was some to be seen.
    pub(super) fn saw_aurora(&self) -> Option<&OwnReading> {
        self.readings.iter().filter(|reading| reading.yes > 0).min_by(|a, b| a.away_km.total_cmp(&b.away_km))
    }

    /// Own frames of that time that show none, where no others show some: they may have looked elsewhere.
    pub(super) fn saw_none(&self) -> Option<&OwnReading> {
        let none = || self.readings.iter().filter(|reading| reading.no > 0);
        none().min_by(|a, b| a.away_km.total_cmp(&b.away_km)).filter(|_| self.saw_aurora().is_none())
    }

    pub(super) fn evidence(&self) -> Vec<DeskEvidence> {
        let readings = self.readings.iter().map(|reading| DeskEvidence::word("own frames", reading.text()));
        let outlooks = self.outlooks.iter();
        let outlooks =
            outlooks.map(|outlook| DeskEvidence::word(&format!("outlook kept for {}", outlook.outing), outlook.text()));
        readings.chain(outlooks).collect()
    }
}
