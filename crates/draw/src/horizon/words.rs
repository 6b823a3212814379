//! The skyline in words.

use job::{ForegroundObject, Site};
use quantity::wrap_degrees_360;

use crate::label::degrees_text;

/// Height of the camera over the ground, m, as `stand` takes it: a tripod at chest height.
const CAMERA_HEIGHT_M: f64 = 1.5;
/// Objects named in the description.
const MOST_NAMED: usize = 12;

pub(super) fn top_deg(object: &ForegroundObject) -> f64 {
    object.height_m.atan2(object.distance_m).to_degrees()
}

pub(super) fn foot_deg(object: &ForegroundObject) -> f64 {
    (-CAMERA_HEIGHT_M).atan2(object.distance_m).to_degrees().min(top_deg(object))
}

pub(super) fn title(site: &Site) -> String {
    format!("Skyline of {}", site.name)
}

pub(super) fn description(site: &Site) -> String {
    let mut words = vec![skyline(site)];
    for water in &site.water {
        let lee = if water.sheltered { ", in the lee" } else { "" };
        words.push(format!(
            "Water from bearing {} to {}{lee}.",
            degrees_text(wrap_degrees_360(water.from_deg)),
            degrees_text(wrap_degrees_360(water.to_deg))
        ));
    }
    for object in site.foreground.iter().take(MOST_NAMED) {
        words.push(format!(
            "{} at bearing {}, {:.0} m away, {:.1}° high.",
            object.name,
            degrees_text(wrap_degrees_360(object.bearing_deg)),
            object.distance_m,
            top_deg(object)
        ));
    }
    words.join(" ")
}

fn skyline(site: &Site) -> String {
    let finite = site.horizon.iter().filter(|corner| corner.altitude_deg.is_finite());
    let highest = finite.clone().max_by(|a, b| a.altitude_deg.total_cmp(&b.altitude_deg));
    let lowest = finite.min_by(|a, b| a.altitude_deg.total_cmp(&b.altitude_deg));
    let (Some(highest), Some(lowest)) = (highest, lowest) else {
        return "A flat skyline all around: none is given.".to_owned();
    };
    format!(
        "The skyline is highest at bearing {} with {:.1}° and lowest at bearing {} with {:.1}°.",
        degrees_text(wrap_degrees_360(highest.azimuth_deg)),
        highest.altitude_deg,
        degrees_text(wrap_degrees_360(lowest.azimuth_deg)),
        lowest.altitude_deg
    )
}
