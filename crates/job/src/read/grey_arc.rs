//! An arc in a frame without colour: a ridge of light along magnetic east-west under a clear dark sky of stars.

use frame::{AuroraClue, AuroraContext, AuroraFinding, AuroraPresence, LensSolution, StarsSeen};
use quantity::Horizontal;
use sequence::{
    AtlasCode, AtlasForm, FormAnswer, FormFound, FormName, FormPlace, LightRidge, MagneticStand, RidgeProfile, SkyView,
};
use serde::{Deserialize, Serialize};

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

/// Looks put together at most, and least: grain and stars of single frames drop out of their median.
pub(super) const MOST_TOGETHER: usize = 12;
const LEAST_TOGETHER: usize = 3;
/// Longest time that they may span, s: an arc that moves by 0.2 km/s stays within the 60 km of its line (judgement).
pub(super) const LONGEST_TOGETHER_S: f64 = 180.0;
/// Share of them whose own light must rise along the ridge that they show together, and by how much, as a share of the sky's own light
/// (judgement: half of what a single frame needs).
const LEAST_AGREEING: f64 = 0.6;
const LEAST_OWN_RISE: f64 = 0.04;

/// The light of a grey frame whose aurora is not settled, laid out in the layer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct GreyLook {
    profile: RidgeProfile,
    /// Log odds of aurora by what is known beside the light.
    beside: f64,
    poleward_azimuth_deg: f64,
}

impl GreyLook {
    /// Of a grey frame that was judged, and left open, under a clear dark sky; none of others.
    pub(super) fn of(
        light: &SequenceLight,
        finding: &AuroraFinding,
        context: &AuroraContext<'_>,
        poleward_azimuth_deg: f64,
        height_km: f64,
    ) -> Option<Self> {
        let lens = context.lens?;
        let is_dark = context.sun_altitude_deg? < DARK_SUN_DEG && context.moon_altitude_deg? < DARK_MOON_DEG;
        let is_open = finding.presence == AuroraPresence::CannotTell && finding.lines.is_none();
        if !is_open || !is_dark || context.stars != StarsSeen::Sure || context.filter_nm.is_some() {
            return None;
        }
        let hidden = |direction: Horizontal| is_in_milky_way(lens, direction);
        let profile = RidgeProfile::of(&light.grid()?, lens, poleward_azimuth_deg, height_km, &hidden);
        Some(Self { profile, beside: beside(finding), poleward_azimuth_deg })
    }

    /// What the frame says by itself; none where no ridge stands out.
    pub(super) fn alone(&self, height_km: f64, stand: Option<MagneticStand>) -> Option<GreyArc> {
        let ridge = self.profile.ridge()?;
        Some(self.arc(&ridge, Vec::new(), height_km, stand))
    }

    /// What a ridge makes of this frame.
    fn arc(&self, ridge: &LightRidge, more: Vec<String>, height_km: f64, stand: Option<MagneticStand>) -> GreyArc {
        let turn = if ridge.poleward_km < 0.0 { 180.0 } else { 0.0 };
        let middle_deg = f64::midpoint(ridge.altitude_deg[0], ridge.altitude_deg[1]);
        let middle = Horizontal::new(middle_deg, (self.poleward_azimuth_deg + turn).rem_euclid(360.0));
        let place = stand.map(|stand| stand.place_of(ridge.poleward_km, height_km, middle_deg, 0.5));
        arc(ridge, chance(self.beside, ridge), more, middle, place)
    }
}

/// What looks that follow each other say together, one answer for each; none where they are too few to be put together.
pub(super) fn together(looks: &[&GreyLook], height_km: f64, stand: Option<MagneticStand>) -> Option<Vec<GreyArc>> {
    if looks.len() < LEAST_TOGETHER {
        return None;
    }
    let profiles: Vec<&RidgeProfile> = looks.iter().map(|look| &look.profile).collect();
    let middle = RidgeProfile::median(&profiles)?;
    let open = |reason: String| GreyArc {
        presence: AuroraPresence::CannotTell,
        answer: FormAnswer::CannotTell(vec![reason]),
        middle: None,
    };
    let Some(ridge) = middle.ridge() else {
        let words = format!("no ridge of light stands out of {} frames put together", looks.len());
        return Some(looks.iter().map(|_| open(words.clone())).collect());
    };
    let agree: Vec<bool> =
        profiles.iter().map(|profile| profile.rise_along(&ridge).is_some_and(|rise| rise >= LEAST_OWN_RISE)).collect();
    let agreeing = agree.iter().filter(|agrees| **agrees).count();
    let words = format!("of {} frames put together {agreeing} rise along it by themselves", looks.len());
    if (agreeing as f64) < LEAST_AGREEING * looks.len() as f64 {
        return Some(looks.iter().map(|_| open(format!("a ridge of light: {words}"))).collect());
    }
    let one = |(look, agrees): (&&GreyLook, bool)| {
        if agrees {
            look.arc(&ridge, vec![words.clone()], height_km, stand)
        } else {
            open(format!("its own light does not rise along the ridge of its neighbours: {words}"))
        }
    };
    Some(looks.iter().zip(agree).map(one).collect())
}

/// What a ridge makes of a frame.
pub(super) struct GreyArc {
    pub(super) presence: AuroraPresence,
    pub(super) answer: FormAnswer,
    /// Middle of the ridge on the sky.
    pub(super) middle: Option<Horizontal>,
}

fn arc(ridge: &LightRidge, chance: f64, more: Vec<String>, middle: Horizontal, place: Option<FormPlace>) -> GreyArc {
    let middle = Some(middle);
    let mut reasons = vec![format!(
        "a ridge of light {:.0} km long at the height assumed, {:.0} to {:.0} degrees up, {:.0} degrees from magnetic east-west, stands \
         {:.0} % of the sky's own light above both of its sides",
        ridge.length_km,
        ridge.altitude_deg[0],
        ridge.altitude_deg[1],
        ridge.tilt_deg,
        100.0 * ridge.rise
    )];
    reasons.extend(more);
    reasons.push(format!(
        "without colour: the chance of aurora is {chance:.2}, lit haze in the same direction would look alike"
    ));
    reasons.extend(place.as_ref().map(FormPlace::words));
    let presence = if chance >= YES_FROM { AuroraPresence::Yes } else { AuroraPresence::CannotTell };
    if presence != AuroraPresence::Yes {
        return GreyArc { presence, answer: FormAnswer::CannotTell(reasons), middle };
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
    GreyArc { presence, answer: FormAnswer::Told(Box::new(form)), middle }
}

/// Log odds by what is known beside the light.
fn beside(finding: &AuroraFinding) -> f64 {
    let beside = finding.evidence.iter().filter(|evidence| {
        matches!(
            evidence.clue,
            AuroraClue::Prior | AuroraClue::Stars | AuroraClue::Daylight | AuroraClue::Sun | AuroraClue::Medium
        )
    });
    beside.map(|evidence| evidence.log_odds).sum()
}

/// Chance of aurora: what is known beside the light, and the ridge in the place of the structure of coarse cells.
fn chance(beside: f64, ridge: &LightRidge) -> f64 {
    let along = if ridge.tilt_deg <= ALONG_DEG { ALONG_LOG_ODDS } else { -ALONG_LOG_ODDS };
    let rise = RISE_LOG_ODDS * ((ridge.rise - RISES[0]) / (RISES[1] - RISES[0])).clamp(0.0, 1.0);
    (1.0 + (-(beside + along + rise).min(MOST_LOG_ODDS)).exp()).recip()
}

fn is_in_milky_way(lens: &LensSolution, direction: Horizontal) -> bool {
    let pole = GALACTIC_POLE_DEG.map(f64::to_radians);
    let Some([ra, dec]) = lens.pixel_of(direction).and_then(|pixel| lens.sky_of(pixel)) else { return true };
    let [ra, dec] = [ra, dec].map(f64::to_radians);
    let sine = pole[1].sin() * dec.sin() + pole[1].cos() * dec.cos() * (ra - pole[0]).cos();
    sine.clamp(-1.0, 1.0).asin().to_degrees().abs() < MILKY_WAY_DEG
}
