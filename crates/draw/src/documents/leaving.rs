use job::{SETTING_UP_MINUTES, Site, UNKNOWN_DRIVE_MINUTES};

/// What the time to leave counts with: "20 min on the road, 30 min to set up".
pub(super) fn road_words(site: &Site) -> String {
    let road = site.drive_minutes.map_or_else(
        || format!("the road is not known, {UNKNOWN_DRIVE_MINUTES:.0} min counted"),
        |minutes| format!("{:.0} min on the road", minutes.ceil()),
    );
    format!("{road}, {SETTING_UP_MINUTES} min to set up")
}
