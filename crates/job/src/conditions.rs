use jiff::civil::Date;
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{Activity, Candidate, PrecipitationOpinion, Site, UpstreamWind, Weather};

/// Which night's conditions are wanted, and where.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ConditionsRequest {
    /// The site.
    pub site: Site,
    /// Date of the noon that opens the night.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub night: Date,
    /// When the question is asked; ages count from here.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub asked_at: Timestamp,
    /// Other sites of the same night.
    #[serde(default)]
    pub elsewhere: Vec<Site>,
}

/// What the stored feeds say of a night: the inputs of an [`OutlookRequest`](crate::OutlookRequest) that nobody has
/// to type.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Conditions {
    /// What drives the aurora; without intervals where nothing is stored.
    pub activity: Activity,
    /// What other sources say of it.
    pub other_activity: Vec<Activity>,
    /// The solar wind upstream, where it is measured now.
    pub upstream: Option<UpstreamWind>,
    /// What the short-term precipitation grid says on the site's meridian.
    pub precipitation: Option<PrecipitationOpinion>,
    /// Solar radio flux at 10.7 cm, solar flux units, where the long outlook is stored.
    pub f107: Option<f64>,
    /// The weather at the site; without hours where nothing is stored.
    pub weather: Weather,
    /// The other sites, each with its weather.
    pub elsewhere: Vec<Candidate>,
    /// What is missing, too old or out of reach, one sentence each.
    pub notes: Vec<String>,
}
