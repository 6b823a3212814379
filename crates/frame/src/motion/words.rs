use super::{Foreground, Motion, MotionContext, MotionKind, TrailKind};

/// The verdict and its reasons, a sentence each.
pub(super) fn of(motion: &Motion, context: &MotionContext) -> Vec<String> {
    let length = motion.length_px.map_or(0.0, |length| length.value);
    let longest = motion.longest_px.unwrap_or(0.0);
    let mut words = vec![match motion.kind {
        MotionKind::Held => {
            let unseen = motion.length_px.map_or(0.0, |length| length.high);
            format!("The tripod held: stars are round, or drawn out by less than {unseen:.1} px.")
        }
        MotionKind::Trailing => {
            format!("Stars trail by {length:.1} px in the middle, {longest:.1} px at most: the sky turned.")
        }
        MotionKind::Shaken if motion.second_image_px.is_some() => {
            let step = motion.second_image_px.map_or(0.0, |[dx, dy]| dx.hypot(dy));
            format!("Stars appear twice, {step:.1} px apart: the camera was knocked during the exposure.")
        }
        MotionKind::Shaken => {
            format!("All stars are drawn out the same way, by {length:.1} px: the camera was shaken or knocked.")
        }
        MotionKind::Turned => {
            let turn = motion.turn_deg.unwrap_or(0.0);
            format!(
                "Stars are drawn out around a point, up to {longest:.1} px: the camera turned by {turn:.2} degrees."
            )
        }
        MotionKind::Lens => {
            let unseen = motion.length_px.map_or(0.0, |length| length.high);
            format!(
                "The tripod held to {unseen:.1} px: stars are drawn out only far from the middle, which is the lens."
            )
        }
        MotionKind::SkyOrCamera => format!(
            "Stars are drawn out by {length:.1} px in the middle; whether the sky or the camera moved cannot be told from this frame."
        ),
        MotionKind::CannotTell if motion.fits.is_empty() => {
            format!("Movement cannot be told: {} stars clear enough to measure, 8 are needed.", motion.stars)
        }
        MotionKind::CannotTell => "Movement cannot be told: the stars' shapes scatter too much.".to_owned(),
    }];
    if let (Some(sky), MotionKind::Trailing | MotionKind::Shaken | MotionKind::SkyOrCamera) =
        (motion.sky_px, motion.kind)
    {
        words.push(format!("The sky moves by up to {sky:.1} px in this time."));
    }
    match motion.trail.as_ref().map(|trail| trail.kind) {
        Some(TrailKind::TwoPlaces) => {
            words.push("Each star stands in two places: one knock between two rests.".to_owned());
        }
        Some(TrailKind::Uneven) => {
            words.push("The trails are uneven, which the sky's are not: a knock near one end, or a swing.".to_owned());
        }
        _ => {}
    }
    match motion.kind {
        MotionKind::Trailing => words.push("Expose for a shorter time, or use a shorter lens.".to_owned()),
        MotionKind::Shaken | MotionKind::Turned => {
            words.push("Weigh the tripod down, use the timer or a remote, and take it again.".to_owned());
        }
        MotionKind::SkyOrCamera if context.foreground == Foreground::Unknown => {
            words.push(
                "Look at the foreground: sharp there means the sky turned, drawn out means the camera moved."
                    .to_owned(),
            );
        }
        _ => {}
    }
    words
}
