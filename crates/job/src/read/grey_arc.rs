//! An arc in a frame without colour: a ridge of light along magnetic east-west under a clear dark sky of stars.

use frame::{AuroraClue, AuroraContext, AuroraFinding, AuroraPresence, LensSolution, StarsSeen};
use quantity::Horizontal;
use sequence::{
    AtlasCode, AtlasForm, FormAnswer, FormFound, FormName, LightRidge, MagneticStand, SkyView, light_ridge,
};

use super::light::SequenceLight;

/// Sun and moon are no part of the light below these, degrees.
const DARK_SUN_DEG: f64 = -12.0;
const DARK_MOON_DEG: f64 = -1.0;
/// Galactic latitude within which the Milky Way is bright, degrees.
const MILKY_WAY_DEG: f64 = 15.0;
/// North galactic pole, J2000 (IAU 1958, as right ascension and declination 192.859, 27.128).
const GALACTIC_POLE_DEG: [f64; 2] = [192.859, 27.128];
/// Angle from magnetic east-west up to which a ridge speaks for an arc, degrees: most arcs lie within 10.
const ALONG_DEG: f64 = 12.0;
/// Rise at which a ridge begins to speak, and at which it says all it can (judgement).
const RISES: [f64; 2] = [0.1, 0.5];
/// Log odds of a ridge along magnetic east-west, and what a rise adds (judgement: one direction in eight would fit by chance).
const ALONG_LOG_ODDS: f64 = 1.2;
const RISE_LOG_ODDS: f64 = 2.0;
/// Most that a frame without colour may say, log odds of 0.9: lit haze in the right direction would look the same.
const MOST_LOG_ODDS: f64 = 2.2;
/// Chance from which there is aurora, as in `check`.
const YES_FROM: f64 = 0.85;
/// Chance that a straight ridge of an aurora is an arc.
const ARC_CHANCE: f64 = 0.75;

/// A ridge in a frame whose aurora is not settled, and what it makes of it.
pub(super) struct GreyArc {
    pub(super) presence: AuroraPresence,
    pub(super) answer: FormAnswer,
}

/// Looks for the arc of a grey frame that was judged, and left open; none where nothing changes.
pub(super) fn grey_arc(
    light: &SequenceLight,
    finding: &AuroraFinding,
    context: &AuroraContext<'_>,
    poleward_azimuth_deg: f64,
    (height_km, stand): (f64, Option<MagneticStand>),
) -> Option<GreyArc> {
    let lens = context.lens?;
    let is_dark = context.sun_altitude_deg? < DARK_SUN_DEG && context.moon_altitude_deg? < DARK_MOON_DEG;
    let is_open = finding.presence == AuroraPresence::CannotTell && finding.lines.is_none();
    if !is_open || !is_dark || context.stars != StarsSeen::Sure || context.filter_nm.is_some() {
        return None;
    }
    let hidden = |direction: Horizontal| is_in_milky_way(lens, direction);
    let ridge = light_ridge(&light.grid()?, lens, poleward_azimuth_deg, height_km, &hidden)?;
    let chance = chance(finding, &ridge);
    let middle_deg = f64::midpoint(ridge.altitude_deg[0], ridge.altitude_deg[1]);
    let place = stand.map(|stand| stand.place_of(ridge.poleward_km, height_km, middle_deg, 0.5));
    let mut reasons = vec![format!(
        "a ridge of light {:.0} km long at the height assumed, {:.0} to {:.0} degrees up, {:.0} degrees from magnetic east-west, stands \
         {:.0} % of the sky's own light above both of its sides",
        ridge.length_km,
        ridge.altitude_deg[0],
        ridge.altitude_deg[1],
        ridge.tilt_deg,
        100.0 * ridge.rise
    )];
    reasons.push(format!(
        "without colour: the chance of aurora is {chance:.2}, lit haze in the same direction would look alike"
    ));
    reasons.extend(place.as_ref().map(sequence::FormPlace::words));
    let presence = if chance >= YES_FROM { AuroraPresence::Yes } else { AuroraPresence::CannotTell };
    if presence != AuroraPresence::Yes {
        return Some(GreyArc { presence, answer: FormAnswer::CannotTell(reasons) });
    }
    let code = AtlasCode {
        condition: None,
        qualifier: None,
        structure: None,
        form: AtlasForm::Arc,
        brightness: None,
        colour: None,
    };
    let form = FormFound {
        name: FormName::Arc,
        code: Some(code),
        confidence: chance * ARC_CHANCE,
        reasons,
        geometry: None,
        place,
    };
    Some(GreyArc { presence, answer: FormAnswer::Told(Box::new(form)) })
}

/// Chance of aurora: what is known beside the light, and the ridge in the place of the structure of coarse cells.
fn chance(finding: &AuroraFinding, ridge: &LightRidge) -> f64 {
    let beside = finding.evidence.iter().filter(|evidence| {
        matches!(
            evidence.clue,
            AuroraClue::Prior | AuroraClue::Stars | AuroraClue::Daylight | AuroraClue::Sun | AuroraClue::Medium
        )
    });
    let along = if ridge.tilt_deg <= ALONG_DEG { ALONG_LOG_ODDS } else { -ALONG_LOG_ODDS };
    let rise = RISE_LOG_ODDS * ((ridge.rise - RISES[0]) / (RISES[1] - RISES[0])).clamp(0.0, 1.0);
    let sum = beside.map(|evidence| evidence.log_odds).sum::<f64>() + along + rise;
    (1.0 + (-sum.min(MOST_LOG_ODDS)).exp()).recip()
}

fn is_in_milky_way(lens: &LensSolution, direction: Horizontal) -> bool {
    let pole = GALACTIC_POLE_DEG.map(f64::to_radians);
    let Some([ra, dec]) = lens.pixel_of(direction).and_then(|pixel| lens.sky_of(pixel)) else { return true };
    let [ra, dec] = [ra, dec].map(f64::to_radians);
    let sine = pole[1].sin() * dec.sin() + pole[1].cos() * dec.cos() * (ra - pole[0]).cos();
    sine.clamp(-1.0, 1.0).asin().to_degrees().abs() < MILKY_WAY_DEG
}
