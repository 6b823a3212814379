//! The pointing that serves best, found by trying.

use quantity::wrap_degrees_360;
use serde::{Deserialize, Serialize};

use super::request::StandRequest;
use super::score::{Parts, Wishes};
use crate::framing::Framing;
use crate::wording::bearing;
use crate::{FramePointing, Orientation};

/// Coarsest steps of the search, degrees of azimuth and altitude; a narrow lens is tried more closely.
const COARSEST_DEG: (f64, f64) = (15.0, 5.0);
/// Finest steps of the first round: below them a search over the whole sky takes too long.
const FINEST_DEG: (f64, f64) = (5.0, 2.5);
/// Tries across one width of the picture.
const TRIES_A_WIDTH: f64 = 4.0;
/// Highest pointing tried, degrees: above it a level horizon means nothing.
const HIGHEST_DEG: f64 = 85.0;
/// Rounds of closer search around the best, each with half the step.
const CLOSER_ROUNDS: u32 = 3;
/// Gain a later try must bring to replace an earlier one: less is rounding.
const LEAST_GAIN: f64 = 1e-9;
/// Part of a wish from which it counts as met.
const MET: f64 = 0.5;

/// The pointing the program would start with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameSuggestion {
    /// Where to point and how to hold the camera.
    pub pointing: FramePointing,
    /// What speaks for it and what it leaves out.
    pub why: Vec<String>,
}

/// Tries pointings over the whole sky in both orientations, then closer around the best.
///
/// The score of each is `Wishes::parts`; `docs/stand.md` has the weights and why this and no optimiser.
pub(super) fn suggest(request: &StandRequest, wishes: &Wishes<'_>) -> FrameSuggestion {
    let mut best: Option<(f64, FramePointing)> = None;
    let mut steps = COARSEST_DEG;
    for orientation in [Orientation::Landscape, Orientation::Portrait] {
        let here = first_steps(request, orientation);
        for pointing in whole_sky(here, orientation) {
            if try_one(&mut best, wishes, pointing) {
                steps = here;
            }
        }
    }
    for _ in 0..CLOSER_ROUNDS {
        steps = (steps.0 / 2.0, steps.1 / 2.0);
        let Some((_, centre)) = best else { break };
        for (across, up) in [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)] {
            let pointing = FramePointing {
                azimuth_deg: wrap_degrees_360(centre.azimuth_deg + across * steps.0),
                altitude_deg: (centre.altitude_deg + up * steps.1).clamp(0.0, HIGHEST_DEG),
                ..centre
            };
            try_one(&mut best, wishes, pointing);
        }
    }
    let found = best.map_or(poleward(wishes), |(_, pointing)| pointing);
    // whole degrees: nobody points a tripod closer
    let pointing = FramePointing {
        azimuth_deg: wrap_degrees_360(found.azimuth_deg.round()),
        altitude_deg: found.altitude_deg.round(),
        ..found
    };
    FrameSuggestion { pointing, why: why(wishes, &wishes.parts(&pointing), &pointing) }
}

fn poleward(wishes: &Wishes<'_>) -> FramePointing {
    FramePointing {
        azimuth_deg: wishes.poleward_deg(),
        altitude_deg: 15.0,
        roll_deg: 0.0,
        orientation: Orientation::Landscape,
    }
}

fn try_one(best: &mut Option<(f64, FramePointing)>, wishes: &Wishes<'_>, pointing: FramePointing) -> bool {
    let total = wishes.parts(&pointing).total();
    let better = best.is_none_or(|(before, _)| total > before + LEAST_GAIN);
    if better {
        *best = Some((total, pointing));
    }
    better
}

fn first_steps(request: &StandRequest, orientation: Orientation) -> (f64, f64) {
    let level = FramePointing { azimuth_deg: 0.0, altitude_deg: 0.0, roll_deg: 0.0, orientation };
    let field = Framing::new(&request.kit, &level).camera().field_of_view_deg();
    let step = |width_deg: f64, finest: f64, coarsest: f64| (width_deg / TRIES_A_WIDTH).clamp(finest, coarsest);
    (step(field.horizontal_deg, FINEST_DEG.0, COARSEST_DEG.0), step(field.vertical_deg, FINEST_DEG.1, COARSEST_DEG.1))
}

fn whole_sky((across, up): (f64, f64), orientation: Orientation) -> impl Iterator<Item = FramePointing> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "steps of 2.5 degrees and more")]
    let (columns, rows) = ((360.0 / across).ceil() as u32, (HIGHEST_DEG / up).floor() as u32);
    (0..columns).flat_map(move |i| {
        (0..=rows).map(move |j| FramePointing {
            azimuth_deg: f64::from(i) * 360.0 / f64::from(columns),
            altitude_deg: f64::from(j) * up,
            roll_deg: 0.0,
            orientation,
        })
    })
}

fn why(wishes: &Wishes<'_>, parts: &Parts, pointing: &FramePointing) -> Vec<String> {
    let tenths = |share: f64| format!("{:.0} in 10", (share * 10.0).round().clamp(0.0, 10.0));
    let mut why = Vec::new();
    if wishes.has_light() {
        why.push(format!("It holds {} of the predicted light.", tenths(parts.light)));
    } else {
        let side = bearing(wishes.poleward_deg());
        why.push(format!(
            "No light is predicted, so it looks to the magnetic pole, {side}: aurora comes from there first."
        ));
    }
    let facts = [
        (parts.horizon > MET, "The skyline runs along the lower third."),
        (parts.corona > MET, "Rays overhead are likely, and the point where they meet is inside."),
        (parts.foreground > MET, "The foreground is inside."),
        (parts.mirror > MET, "Still water in front mirrors the sky."),
        (parts.moon > MET, "The moon is inside all the same: every frame without it holds much less light."),
        (parts.moon > 0.0 && parts.moon <= MET, "The moon stays outside, but near enough to flare."),
        (parts.towns > MET, "A town lights the sky there; elsewhere there is less aurora."),
        (pointing.orientation == Orientation::Portrait, "Upright, for it holds more that way."),
    ];
    why.extend(facts.into_iter().filter(|(holds, _)| *holds).map(|(_, words)| words.to_owned()));
    why
}
