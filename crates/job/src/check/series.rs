//! A focus series: the same sky with the ring a little further each time, and where the stars are narrowest.

use frame::{FocusPoint, FocusSeries, best_focus};
use serde::{Deserialize, Serialize};

use super::CheckReport;

/// One frame of a focus series.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FocusRunFrame {
    /// What the file is called.
    pub file: String,
    /// Place of the focus ring.
    pub ring: f64,
    /// Half-flux diameter of its stars, px; `None` where they cannot be measured.
    pub hfd_px: Option<quantity::Estimate>,
}

/// Where the stars of a focus series are narrowest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FocusRun {
    /// The frames in order of the ring.
    pub frames: Vec<FocusRunFrame>,
    /// What they say.
    pub answer: FocusSeries,
    /// The same in one sentence, with what to do.
    pub words: String,
}

/// Says where the stars of a series are narrowest; method: [`best_focus`].
///
/// * `frames`: place of the focus ring in any even measure (steps, millimetres on a strip of tape), and the report.
pub fn focus_run<'a>(frames: impl IntoIterator<Item = (f64, &'a CheckReport)>) -> FocusRun {
    let mut frames: Vec<FocusRunFrame> = frames
        .into_iter()
        .map(|(ring, report)| FocusRunFrame {
            file: report.file.clone(),
            ring,
            hfd_px: report.focus.as_ref().and_then(|focus| focus.hfd_px),
        })
        .collect();
    frames.sort_by(|one, other| one.ring.total_cmp(&other.ring));
    let points: Vec<FocusPoint> = frames
        .iter()
        .filter_map(|frame| {
            let width = frame.hfd_px?;
            Some(FocusPoint { position: frame.ring, hfd_px: width.value, sigma_px: 0.5 * (width.high - width.low) })
        })
        .collect();
    let answer = best_focus(&points);
    let words = words(&frames, &answer);
    FocusRun { frames, answer, words }
}

fn words(frames: &[FocusRunFrame], answer: &FocusSeries) -> String {
    match answer {
        FocusSeries::Found { position, hfd_px } => {
            let before = frames.iter().rfind(|frame| frame.ring <= position.value);
            let after = frames.iter().find(|frame| frame.ring > position.value);
            let between = match (before, after) {
                (Some(before), Some(after)) => format!("between {} and {}", before.file, after.file),
                (Some(last), None) => format!("a little past {}", last.file),
                (None, Some(first)) => format!("a little before {}", first.file),
                (None, None) => String::new(),
            };
            format!(
                "best focus with the ring at {:.2} ({:.2} to {:.2}), {between}: stars {:.1} px wide ({:.1} to {:.1}) are to be expected; turn to it from the side the series began on, for a ring has play",
                position.value, position.low, position.high, hfd_px.value, hfd_px.low, hfd_px.high
            )
        }
        FocusSeries::GoOn { from, upwards } => {
            let end = frames.iter().find(|frame| frame.ring >= *from).map_or("its end", |frame| frame.file.as_str());
            let way = if *upwards { "on, past" } else { "back, before" };
            format!("the stars still get narrower towards {end}: turn the ring further {way} ring position {from:.2}")
        }
        FocusSeries::CannotTell { usable, needed } if usable < needed => format!(
            "cannot tell: stars could be measured at {usable} places of the ring, and {needed} are needed; take more frames, each a little further"
        ),
        FocusSeries::CannotTell { .. } => "cannot tell: the stars get neither narrower nor wider in an even way along the series; take it again with larger steps and the tripod still".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use frame::FocusState;
    use quantity::{Basis, Estimate};

    use super::super::{CheckedFocus, WidthMap, unreadable_frame};
    use super::*;

    /// Best focus and width that the reports are made of.
    const BEST: (f64, f64) = (3.4, 2.2);
    /// Widths are those of the curve itself: what is left is rounding.
    const ROUNDING: f64 = 1e-6;

    /// Cone of light cut out of focus, with the star's own width in squares: geometry.
    fn width_px(ring: f64) -> f64 {
        BEST.1.hypot(0.8 * (ring - BEST.0))
    }

    fn series(rings: &[f64]) -> Vec<(f64, CheckReport)> {
        let report = |ring: f64| {
            let focus = CheckedFocus {
                state: FocusState::Sharp,
                disc: false,
                hfd_px: Some(Estimate::symmetric(width_px(ring), 0.1, Basis::Measured)),
                over_sharpest: None,
                words: Vec::new(),
                parts: None,
                map: WidthMap { columns: 0, rows: 0, hfd_px: Vec::new() },
            };
            CheckReport { focus: Some(focus), ..unreadable_frame(&format!("{ring}.jpg"), "", "") }
        };
        rings.iter().map(|ring| (*ring, report(*ring))).collect()
    }

    fn run(frames: &[(f64, CheckReport)]) -> FocusRun {
        focus_run(frames.iter().map(|(ring, report)| (*ring, report)))
    }

    #[test]
    fn the_best_place_lies_between_its_neighbours() {
        // not in order, and one frame without stars
        let mut frames = series(&[6.0, 1.0, 3.0, 4.0, 2.0, 5.0]);
        frames.push((7.0, unreadable_frame("7.jpg", "", "")));
        let found = run(&frames);
        let FocusSeries::Found { position, hfd_px } = found.answer else { panic!("{found:?}") };
        assert!((position.value - BEST.0).abs() < ROUNDING && (hfd_px.value - BEST.1).abs() < ROUNDING);
        assert!(found.words.contains("between 3.jpg and 4.jpg"), "{}", found.words);
        assert_eq!(found.frames.last().unwrap().hfd_px, None);
    }

    #[test]
    fn a_series_that_does_not_reach_it_says_which_way_to_go_on() {
        let before = run(&series(&[-3.0, -2.0, -1.0, 0.0, 1.0]));
        assert!(matches!(before.answer, FocusSeries::GoOn { upwards: true, .. }), "{before:?}");
        assert!(before.words.contains("towards 1.jpg") && before.words.contains("on, past"), "{}", before.words);
        let after = run(&series(&[6.0, 7.0, 8.0, 9.0, 10.0]));
        assert!(after.words.contains("towards 6.jpg") && after.words.contains("back, before"), "{}", after.words);
        let short = run(&series(&[1.0, 2.0, 3.0]));
        assert!(short.words.contains("at 3 places") && short.words.contains("4 are needed"), "{}", short.words);
    }
}
