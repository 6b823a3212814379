//! The night strip in words.

use jiff::tz::TimeZone;
use quantity::Timestamp;

use super::{OutlookRequest, OutlookStep, WatchWindow};
use crate::NightTimes;
use crate::wording::clock;

/// Sunset, twilights, dark hours, moon, best window, cloud: the same facts as the picture.
pub(super) fn strip_text(
    night: &NightTimes,
    windows: &[WatchWindow],
    best: Option<&OutlookStep>,
    request: &OutlookRequest,
    zone: &TimeZone,
) -> String {
    let time = |at: Option<Timestamp>| at.map_or_else(|| "none".to_owned(), |at| clock(at, zone));
    let window = windows.first().map_or_else(
        || "no window worth going out for".to_owned(),
        |w| format!("best window {} to {}", clock(w.from, zone), clock(w.to, zone)),
    );
    let cloud = best
        .and_then(|step| step.weather)
        .map_or_else(|| "cloud not known".to_owned(), |hour| crate::wording::cloud_words(&hour.cloud));
    format!(
        "Sunset {}, civil dusk {}, nautical dusk {}, dark from {} to {}, nautical dawn {}, civil dawn {}, sunrise {}; \
         moonrise {}, moonset {}; {window}; {cloud}. Times are {}.",
        time(night.sunset),
        time(night.civil_dusk),
        time(night.nautical_dusk),
        time(night.astronomical_dusk),
        time(night.astronomical_dawn),
        time(night.nautical_dawn),
        time(night.civil_dawn),
        time(night.sunrise),
        time(night.moonrise),
        time(night.moonset),
        request.site.time_zone
    )
}
