//! What was done to a stack, in words.

use super::{StackFacts, StackKind, StackRequest};
use crate::tell::clip::words::{colours, left_out};

/// Every edit, one a line.
pub(super) fn edits(request: &StackRequest, facts: &StackFacts) -> Vec<String> {
    let mut edits = vec![made(request, facts)];
    if request.kind.is_aligned() {
        edits.push(ground(facts));
    }
    if !facts.left_out.is_empty() {
        edits.push(left_out(&facts.left_out, facts.asked));
    }
    if facts.frame_px != facts.stack_px {
        let [[width, height], [from_width, from_height]] = [facts.stack_px, facts.frame_px];
        edits.push(format!("Made {width} x {height} px of {from_width} x {from_height} px by averaging light."));
    }
    edits.push(colours(facts.colours, facts.inside_raw));
    edits.push("Nothing else was changed: no sharpening, noise reduction, contrast or saturation.".to_owned());
    edits
}

fn made(request: &StackRequest, facts: &StackFacts) -> String {
    let over = facts.span_s.filter(|span_s| *span_s > 0.0).map_or_else(String::new, |span_s| {
        if span_s < 90.0 { format!(" over {span_s:.0} s") } else { format!(" over {:.0} min", span_s / 60.0) }
    });
    let frames = facts.taken;
    let laid = facts.residual_px.map_or_else(String::new, |px| format!(" to {px:.1} px"));
    match request.kind {
        StackKind::Mean => {
            let clipped = facts.clipped_share.map_or_else(String::new, |share| {
                format!(
                    "; {:.1} % of its values, more than {} deviations off, are left out: satellites, aircraft, meteors",
                    100.0 * share,
                    request.clip_sigmas
                )
            });
            format!(
                "The sky is the mean of {frames} frames{over}, laid star on star{laid}{clipped}. Aurora and cloud that moved meanwhile are blurred; no eye and no single frame saw this sky."
            )
        }
        StackKind::BrightestSky => format!(
            "The sky shows of every point the brightest of {frames} frames{over}, laid star on star{laid}: meteors and satellites of all that time together, and noise at its brightest."
        ),
        StackKind::Trails => format!(
            "Of every pixel the brightest of {frames} frames{over}: the stars draw their trails, aurora, aircraft and satellites of all that time are together, and noise is at its brightest."
        ),
    }
}

fn ground(facts: &StackFacts) -> String {
    match facts.ground_share.filter(|share| *share > 0.0) {
        Some(share) => format!(
            "The ground, with a rim of sky above it ({:.0} % of the picture), is that of one frame, {}.",
            100.0 * share,
            facts.reference
        ),
        None => format!(
            "No ground was told from the sky on {}: whatever ground there is turns with the stars.",
            facts.reference
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ClipColours;

    /// Land that is as dark as its sky is not told from it: that is said, and not passed over.
    #[test]
    fn ground_that_was_not_told_is_said() {
        let facts = |ground_share| StackFacts {
            asked: 9,
            taken: 9,
            left_out: Vec::new(),
            frame_px: [1000, 680],
            stack_px: [1000, 680],
            colours: ClipColours::Finished { is_adobe_rgb: false },
            inside_raw: false,
            reference: "f05.jpg".to_owned(),
            residual_px: Some(0.3),
            ground_share,
            clipped_share: None,
            first: None,
            last: None,
            span_s: None,
        };
        assert!(ground(&facts(None)).starts_with("No ground was told from the sky on f05.jpg"));
        assert!(ground(&facts(Some(0.25))).contains("(25 % of the picture), is that of one frame, f05.jpg"));
    }
}
