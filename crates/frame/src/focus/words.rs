use super::{Focus, FocusState, FocusTrend};
use crate::motion::LensDirection;

/// The verdict and its reasons, a sentence each.
pub(super) fn of(focus: &Focus) -> Vec<String> {
    let Some(hfd) = focus.hfd_px else {
        let stars = focus.stars;
        return vec![format!("Focus cannot be told: {stars} stars clear enough to measure, 5 alike are needed.")];
    };
    let width = format!("stars are {:.1} px wide (the circle with half of their light)", hfd.value);
    let mut words = vec![match focus.state {
        FocusState::Sharp => format!("Sharp: {width}."),
        FocusState::Soft => format!("Soft: {width}; turn the ring a little each way and compare."),
        FocusState::Defocused => format!("Out of focus: {width}."),
        FocusState::Donut => format!("Far out of focus: {width}, and darker in the middle."),
        FocusState::CannotTell => format!("Focus cannot be told: {width}."),
    }];
    if let Some(over) = focus.over_sharpest {
        words.push(format!("That is {:.2} times the sharpest known of this lens.", over.value));
    }
    if focus.halo {
        let share = focus.shape.and_then(|shape| shape.halo_share).map_or(0.0, |share| 100.0 * share);
        words.push(format!(
            "Each star has a wide halo ({share:.0} % of its light): look for dew or frost on the lens, or thin cloud."
        ));
    }
    words.extend(focus.trend.iter().flat_map(trend));
    if let Some(lens) = focus.lens {
        let way = match lens.direction {
            LensDirection::Radial => "drawn out away from the middle",
            LensDirection::Tangential => "drawn out around the middle",
        };
        words.push(format!(
            "Stars far from the middle are {way}, 1 - b/a = {:.2} at the outermost: the lens's own, in every frame; close it by a stop.",
            lens.outer_elongation
        ));
    }
    words
}

fn trend(trend: &FocusTrend) -> Vec<String> {
    let mut words = Vec::new();
    if trend.tilted {
        words.push(format!(
            "The {} is softer than the side across from it, by {:.1} px of half a diagonal: lens or sensor tilted, or decentred.",
            side(trend.tilt_direction_deg),
            trend.tilt_px.value
        ));
    }
    if trend.curved {
        let outer = trend.middle_px.value + trend.outer_px.value;
        words.push(format!(
            "Stars far from the middle are {outer:.1} px wide, in the middle {:.1}.",
            trend.middle_px.value
        ));
    }
    words
}

/// The side or corner of the frame in a direction from the middle, from +x towards +y (down).
fn side(direction_deg: f64) -> &'static str {
    const SIDES: [&str; 8] =
        ["right", "lower right", "bottom", "lower left", "left", "upper left", "top", "upper right"];
    SIDES[crate::whole::index((direction_deg.rem_euclid(360.0) / 45.0).round()) % 8]
}
