//! Is the moon where it must be?

use frame::{Frame, LensSolution};
use quantity::{Basis, Estimate, angular_separation_deg};

use super::claim::{Claim, ClaimSky};
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use super::vector::{of_ra_dec, ra_dec};
use crate::{BodyInFrame, CheckReport};

/// Confidence from which a bright disc is a moon.
const SURE_MOON: f64 = 0.9;
/// Error of a moon's place in a picture, degrees: it burns out and glows.
const MOON_SIGMA_DEG: f64 = 0.5;
/// The moon among the stars, degrees an hour.
const MOON_DEG_PER_H: f64 = 0.55;
/// Deviations within which its place fits, and beyond which it does not.
const FITS: f64 = 2.0;
const DOES_NOT: f64 = 6.0;
/// Altitude from which the moon is up and no mountain hides it, degrees, and below which it is down.
const UP_DEG: f64 = 5.0;
const DOWN_DEG: f64 = -1.5;
/// Edge of the picture that a moon may hide behind, share of its side.
const EDGE: f64 = 0.03;
/// Lit share from which a moon in the frame cannot be overlooked (judgement).
const SEEN_LIT: f64 = 0.2;
/// Stars of the catalogue within this of where the moon should be speak against cloud there, degrees and number.
const CLEAR_WITHIN_DEG: f64 = 10.0;
const CLEAR_STARS: usize = 4;

/// Frame and lens of a submission.
pub(super) struct Shown<'a> {
    pub(super) frame: &'a Frame,
    pub(super) solution: Option<&'a LensSolution>,
    pub(super) report: &'a CheckReport,
}

pub(super) fn moon(shown: &Shown<'_>, claim: &Claim, sky: Option<&ClaimSky>) -> DeskCheck {
    let (verdict, sentence, evidence) = match sky {
        None => {
            (DeskVerdict::CannotTell, "The moon cannot be placed: no time or no place is known.".to_owned(), Vec::new())
        }
        Some(sky) => words(shown, claim, sky),
    };
    DeskCheck {
        kind: DeskCheckKind::Moon,
        verdict,
        sentence,
        evidence,
        basis: format!(
            "A bright disc in the picture, its direction by the stars where they tell it; {}.",
            claim.basis()
        ),
    }
}

fn words(shown: &Shown<'_>, claim: &Claim, sky: &ClaimSky) -> (DeskVerdict, String, Vec<DeskEvidence>) {
    let moon = sky.bodies.moon;
    let altitude = moon.horizontal.altitude_deg;
    let mut evidence = vec![
        claim.altitude("moon's altitude by the claim", altitude),
        claim.azimuth("moon's azimuth by the claim", moon.horizontal),
        DeskEvidence::exact("lit share", moon.lit_fraction.value(), "", 2),
    ];
    let body = shown.report.body.filter(|body| body.body == BodyInFrame::Moon);
    let predicted = sky.icrs(moon.horizontal);
    let (verdict, sentence) = match (body, shown.solution) {
        (Some(body), Some(solution)) => {
            let seen = solution.sky_of(body.position_px).map(of_ra_dec);
            match seen.map(|seen| angular_separation_deg(seen, predicted)) {
                Some(off) => {
                    let sigma_deg = MOON_SIGMA_DEG.hypot(slack_deg(claim));
                    let value = Estimate::symmetric(off, sigma_deg, Basis::Assumed);
                    let name = "moon in the picture from where it should be";
                    evidence.push(DeskEvidence::number(name, value, "degrees", 1));
                    among_stars(off, claim, body.confidence >= SURE_MOON)
                }
                None => {
                    (DeskVerdict::CannotTell, "The moon in the picture lies outside what the lens draws.".to_owned())
                }
            }
        }
        (Some(body), None) => by_altitude(altitude, body.confidence >= SURE_MOON),
        (None, Some(solution)) => missing(shown, solution, sky, predicted),
        (None, None) if altitude > DOWN_DEG => {
            (DeskVerdict::CannotTell, "No moon in the picture; it would be up, perhaps outside the frame.".to_owned())
        }
        (None, None) => (DeskVerdict::CannotTell, "No moon in the picture, and it would be down.".to_owned()),
    };
    (verdict, sentence, evidence)
}

/// How far the moon moves among the stars within the claim's tolerance, degrees.
fn slack_deg(claim: &Claim) -> f64 {
    MOON_DEG_PER_H * claim.within_minutes / 60.0
}

/// A moon whose place among the stars is known: it moves by its own width in an hour, so that this tells the date and hour.
fn among_stars(off_deg: f64, claim: &Claim, is_sure: bool) -> (DeskVerdict, String) {
    let slack = slack_deg(claim);
    let hours = (FITS * MOON_SIGMA_DEG + slack) / MOON_DEG_PER_H;
    match off_deg {
        near if near <= FITS * MOON_SIGMA_DEG + slack => (
            DeskVerdict::Consistent,
            format!(
                "The moon stands among the stars where it must, to {near:.1} degrees: consistent with the claimed time within {hours:.0} h."
            ),
        ),
        far if far > DOES_NOT * MOON_SIGMA_DEG + slack && is_sure => (
            DeskVerdict::Inconsistent,
            format!(
                "The moon in the picture is {far:.0} degrees from where it was among the stars at the claimed time."
            ),
        ),
        far => (
            DeskVerdict::CannotTell,
            format!(
                "A bright disc is {far:.1} degrees from where the moon should be: a lamp, a flare, or another time."
            ),
        ),
    }
}

fn by_altitude(altitude: f64, is_sure: bool) -> (DeskVerdict, String) {
    match altitude {
        high if high > 0.0 && !is_sure => (
            DeskVerdict::CannotTell,
            format!(
                "A bright disc is in the picture, and the moon would be up, at {high:.0} degrees: the moon, or a lamp."
            ),
        ),
        high if high > 0.0 => (
            DeskVerdict::Consistent,
            format!(
                "The moon is in the picture, and it would be up, at {high:.0} degrees; the stars do not say where it stands."
            ),
        ),
        low if low < DOWN_DEG && is_sure => (
            DeskVerdict::CannotTell,
            format!(
                "A bright disc like the moon is in the picture, and the moon would be at {low:.0} degrees: a lamp, or another time."
            ),
        ),
        _ => (DeskVerdict::CannotTell, "A bright disc, and the moon would be near the horizon.".to_owned()),
    }
}

/// No moon was found: should it be there?
fn missing(shown: &Shown<'_>, solution: &LensSolution, sky: &ClaimSky, predicted: [f64; 3]) -> (DeskVerdict, String) {
    let [ra, dec] = ra_dec(predicted);
    let altitude = sky.bodies.moon.horizontal.altitude_deg;
    let inside = solution.pixel_of_sky(ra, dec).is_some_and(|pixel| {
        pixel.iter().zip(shown.frame.stored_size).all(|(place, side)| {
            let side = side as f64;
            (EDGE * side..=(1.0 - EDGE) * side).contains(place)
        })
    });
    if !inside {
        return (DeskVerdict::CannotTell, "No moon in the picture, and none should be in it.".to_owned());
    }
    if altitude < UP_DEG {
        return (DeskVerdict::CannotTell, "The moon would be in the frame but at or below the horizon.".to_owned());
    }
    let near = solution
        .pairs
        .iter()
        .filter_map(|pair| solution.sky_of(pair.found_px))
        .filter(|star| angular_separation_deg(of_ra_dec(*star), predicted) < CLEAR_WITHIN_DEG)
        .count();
    if near >= CLEAR_STARS && sky.bodies.moon.lit_fraction.value() > SEEN_LIT {
        return (
            DeskVerdict::Inconsistent,
            format!(
                "The moon should be in the frame, {altitude:.0} degrees up, and is not there, with {near} stars around its place."
            ),
        );
    }
    (
        DeskVerdict::CannotTell,
        "The moon should be in the frame and was not found: cloud or ground may hide it.".to_owned(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DeskClaim;

    #[test]
    fn a_disc_that_may_be_a_lamp_speaks_for_nothing() {
        assert_eq!(by_altitude(30.0, true).0, DeskVerdict::Consistent);
        assert_eq!(by_altitude(30.0, false).0, DeskVerdict::CannotTell);
        assert_eq!(by_altitude(-20.0, true).0, DeskVerdict::CannotTell);
    }

    /// A day's motion among the stars (Meeus 1998, chapter 49: a sidereal month of 27.32 days): far outside half an hour.
    const DAY_DEG: f64 = 13.18;

    #[test]
    fn a_sure_moon_of_another_day_speaks_against_a_claim() {
        let claim = Claim::of(&DeskClaim { within_minutes: 30.0, ..DeskClaim::default() }, &frame::Metadata::default());
        let verdict = |off_deg, is_sure| among_stars(off_deg, &claim, is_sure).0;
        assert_eq!(verdict(DAY_DEG, true), DeskVerdict::Inconsistent);
        assert_eq!(verdict(DAY_DEG, false), DeskVerdict::CannotTell, "it may be a lamp");
        assert_eq!(verdict(0.2, true), DeskVerdict::Consistent);
        let wide =
            Claim::of(&DeskClaim { within_minutes: 1_440.0, ..DeskClaim::default() }, &frame::Metadata::default());
        assert_eq!(among_stars(DAY_DEG, &wide, true).0, DeskVerdict::Consistent, "a claim that is a day wide");
    }
}
