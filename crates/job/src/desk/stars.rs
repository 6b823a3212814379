//! Are the stars where they must be, and which other times and places would do as well?

use quantity::{Basis, Estimate};

use super::camera::Camera;
use super::claim::{Claim, ClaimSky, KM_PER_DEGREE, SIDEREAL_PER_SOLAR, shifted};
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use super::vector::{dot, ra_dec};
use super::zeniths::{Against, Allowed, Judgement, STEP_DEG, skyline_deg};
use crate::CheckReport;

/// How far a zenith may be from the claimed one and still fit, degrees, for a fit to mean something: 2,700 km.
const MEANS_SOMETHING_DEG: f64 = 24.0;
/// The same in sidereal time, degrees: five hours.
const MEANS_SOMETHING_AHEAD_DEG: f64 = 75.0;
/// Latitude from which the turning of the sky moves the zenith too little to tell the hour.
const NEAR_POLE_DEG: f64 = 85.0;
/// Ends of the middle 68 % of the zeniths.
const MIDDLE: [f64; 2] = [0.16, 0.84];

/// Level that is supposed where nobody says, degrees: a camera by hand or on a tripod (judgement), and a line drawn on a horizon.
pub(super) const LEVEL_DEG: f64 = 5.0;
pub(super) const HORIZON_LEVEL_DEG: f64 = 1.0;

const DEGENERATE: &str =
    "Longitude and time cannot be told apart by stars: an hour earlier is 15 degrees further east.";

/// The check, where the stars say which way the picture looked and the claim has a time and a place.
pub(super) fn stars(
    camera: Option<&Camera>,
    report: &CheckReport,
    claim: &Claim,
    sky: Option<&ClaimSky>,
    level_within_deg: Option<f64>,
) -> DeskCheck {
    let cannot_tell = |sentence: String| DeskCheck {
        kind: DeskCheckKind::Stars,
        verdict: DeskVerdict::CannotTell,
        sentence,
        evidence: Vec::new(),
        basis: "Stars of the catalogue found in the picture.".to_owned(),
    };
    match (camera, sky) {
        (Some(camera), Some(sky)) => against_claim(camera, claim, sky, level_within_deg),
        (Some(_), None) => cannot_tell(
            "The stars say which way the camera looked, but no time or no place is known to compare.".to_owned(),
        ),
        (None, _) => {
            let why = report.lens.as_ref().and_then(|lens| lens.why_not.as_deref());
            cannot_tell(format!(
                "The stars do not say which way the camera looked: {}.",
                why.unwrap_or("none can be told")
            ))
        }
    }
}

fn against_claim(camera: &Camera, claim: &Claim, sky: &ClaimSky, level_within_deg: Option<f64>) -> DeskCheck {
    let level_deg = level_within_deg.unwrap_or(if camera.horizon.is_some() { HORIZON_LEVEL_DEG } else { LEVEL_DEG });
    let allowed = Allowed { camera, level_deg };
    let mut evidence = looked(camera, claim, sky);
    let basis = basis(&allowed, claim);
    let done =
        |verdict, sentence, evidence| DeskCheck { kind: DeskCheckKind::Stars, verdict, sentence, evidence, basis };
    let claimed = sky.zeniths_within(claim);
    let fits = |how| claimed.iter().any(|zenith| allowed.against(*zenith, how).is_none());
    if !fits(Judgement::Possible) {
        // the mildest that speaks against any zenith within the claim's tolerance
        let against: Vec<Against> =
            claimed.iter().filter_map(|zenith| allowed.against(*zenith, Judgement::Possible)).collect();
        let is_seen = against.iter().all(|against| against.is_seen());
        let Some(first) = against.first().copied() else {
            return done(DeskVerdict::CannotTell, "the sky of the claim cannot be computed".to_owned(), evidence);
        };
        let verdict = if is_seen { DeskVerdict::Inconsistent } else { DeskVerdict::CannotTell };
        return done(verdict, against_words(first), evidence);
    }
    if !allowed.is_bounded() {
        let sentence = "The stars were up at the claimed time and place, but with no ground or horizon in the picture \
                        they would be so at many others: two places on the horizon, given to quietarc desk check with --horizon, would \
                        say more."
            .to_owned();
        return done(DeskVerdict::CannotTell, sentence, evidence);
    }
    let usual = Bounds::of(&allowed, sky);
    let Some(bounds) = usual.filter(|_| fits(Judgement::Usual)) else {
        let sentence =
            "The stars may be where they were at the claimed time and place, but the picture would be an unusual \
                        one: its ground would stand high in the sky."
                .to_owned();
        return done(DeskVerdict::CannotTell, sentence, evidence);
    };
    evidence.extend(bounds.evidence(claim));
    let (verdict, sentence) = bounds.words();
    done(verdict, sentence, evidence)
}

/// Least cosine of a declination that a right ascension's error is divided by: nearer to the pole it says nothing.
const NEAR_POLE: f64 = 0.01;

/// What the stars alone say: direction and field, and what it would be under the claim.
fn looked(camera: &Camera, claim: &Claim, sky: &ClaimSky) -> Vec<DeskEvidence> {
    let [ra, dec] = ra_dec(camera.forward);
    let middle = sky.horizontal(camera.forward);
    let up = camera.stars.iter().filter(|star| sky.horizontal(**star).altitude_deg > 0.0).count();
    let sigma_deg = camera.forward_sigma_deg;
    let measured = |name: &str, degrees: f64, sigma_deg: f64| {
        DeskEvidence::number(name, Estimate::symmetric(degrees, sigma_deg, Basis::Measured), "degrees", 2)
    };
    let mut evidence = vec![
        measured("right ascension of the middle", ra, sigma_deg / dec.to_radians().cos().max(NEAR_POLE)),
        measured("declination of the middle", dec, sigma_deg),
        claim.altitude("altitude of the middle by the claim", middle.altitude_deg),
        claim.azimuth("azimuth of the middle by the claim", middle),
        DeskEvidence::word("stars above the horizon by the claim", format!("{up} of {}", camera.stars.len())),
    ];
    if let Some(altitude) = skyline_deg(camera, sky.zenith()) {
        evidence.push(claim.altitude("altitude of the skyline by the claim", altitude));
    }
    evidence
}

fn basis(allowed: &Allowed<'_>, claim: &Claim) -> String {
    let camera = allowed.camera;
    let of = claim.basis();
    let level = allowed.level_deg;
    let supposed = if camera.horizon.is_some() {
        format!("supposes that the horizon given is level within {level} degrees")
    } else if camera.is_all_sky {
        "supposes a camera for the whole sky that looks straight up within 10 degrees".to_owned()
    } else if camera.skyline.is_empty() {
        format!(
            "no ground in the picture; supposes a camera held level within {level} degrees, and does not insist on it"
        )
    } else {
        format!("supposes a camera held level within {level} degrees, and ground that rises to no more than 16 degrees")
    };
    format!("Stars of the catalogue found in the picture, {of}; {supposed}.")
}

fn against_words(against: Against) -> String {
    match against {
        Against::StarsDown { down, of, lowest_deg } => format!(
            "{down} of {of} stars in the picture would be below the horizon, the lowest at {lowest_deg:.0} degrees: not at \
             the claimed time and place."
        ),
        Against::HorizonOff { by_deg } => format!(
            "The horizon given would be {by_deg:.0} degrees off level at one end: not at the claimed time and place, if the \
             line is the horizon."
        ),
        Against::Tilted { by_deg } if by_deg.abs() > 90.0 => {
            "The picture would be upside down at the claimed time and place.".to_owned()
        }
        Against::Tilted { by_deg } => format!(
            "At the claimed time and place the picture would be tilted by {:.0} degrees against its own ground.",
            by_deg.abs()
        ),
        Against::Skyline { altitude_deg } => format!(
            "At the claimed time and place the ground in the picture would end {altitude_deg:.0} degrees above the horizon."
        ),
        Against::PerhapsTilted { by_deg } => format!(
            "The camera would have been tilted by {:.0} degrees, and nothing in the picture says that it was not.",
            by_deg.abs()
        ),
        Against::Leaning { by_deg } => format!(
            "The camera for the whole sky would have leant by {by_deg:.0} degrees, and nothing says that it did not."
        ),
    }
}

/// How far the zeniths that fit reach.
struct Bounds {
    /// Degrees.
    latitude: Estimate,
    /// Sidereal time ahead of the claim's, degrees.
    ahead: Estimate,
    /// Farthest from the claimed one, degrees.
    farthest_deg: f64,
    /// Greatest difference of sidereal time, degrees.
    most_ahead_deg: f64,
}

impl Bounds {
    fn of(allowed: &Allowed<'_>, sky: &ClaimSky) -> Option<Self> {
        let zeniths = allowed.zeniths(Judgement::Usual);
        let places: Vec<[f64; 2]> = zeniths.iter().map(|zenith| sky.latitude_and_ahead_deg(*zenith)).collect();
        let farthest_deg = zeniths
            .iter()
            .map(|zenith| dot(*zenith, sky.zenith()).clamp(-1.0, 1.0).acos().to_degrees())
            .reduce(f64::max)?;
        let most_ahead_deg = places
            .iter()
            .filter(|place| place[0].abs() < NEAR_POLE_DEG)
            .map(|place| place[1].abs())
            .fold(0.0, f64::max);
        let range = |axis: usize| {
            let mut values: Vec<f64> = places.iter().map(|place| place[axis]).collect();
            values.sort_by(f64::total_cmp);
            let at = |share: f64| values.get(super::grey::whole(share * values.len() as f64)).copied();
            Some(Estimate { value: at(0.5)?, low: at(MIDDLE[0])?, high: at(MIDDLE[1])?, basis: Basis::Model })
        };
        Some(Self { latitude: range(0)?, ahead: range(1)?, farthest_deg, most_ahead_deg })
    }

    fn words(&self) -> (DeskVerdict, String) {
        let is_told = self.farthest_deg <= MEANS_SOMETHING_DEG && self.most_ahead_deg <= MEANS_SOMETHING_AHEAD_DEG;
        if is_told {
            let sentence = format!(
                "The stars are consistent with the claimed time and place: they allow latitudes of {} and local times \
                 within some {:.1} h of it. {DEGENERATE}",
                latitudes(&self.latitude),
                self.most_ahead_deg / 15.0,
            );
            return (DeskVerdict::Consistent, sentence);
        }
        let sentence = format!(
            "The stars fit the claimed time and place, but also places up to {:.0} km away or local times up to {:.0} h off: \
             that is too wide to speak for the claim. {DEGENERATE}",
            111.2 * self.farthest_deg,
            self.most_ahead_deg / 15.0,
        );
        (DeskVerdict::CannotTell, sentence)
    }

    fn evidence(&self, claim: &Claim) -> Vec<DeskEvidence> {
        // one of the zeniths tried: the edge lies within a step beyond it
        let farthest = Estimate::symmetric(KM_PER_DEGREE * self.farthest_deg, KM_PER_DEGREE * STEP_DEG, Basis::Model);
        let hours = self.ahead.scaled(1.0 / 15.0 / SIDEREAL_PER_SOLAR);
        let mut evidence = vec![
            DeskEvidence {
                name: "latitude by the stars".to_owned(),
                value: Some(self.latitude),
                unit: "degrees".to_owned(),
                text: latitudes(&self.latitude),
            },
            DeskEvidence {
                name: "time by the stars less the claimed time, at the claimed longitude".to_owned(),
                value: Some(hours),
                unit: "h".to_owned(),
                text: format!("{:+.1} h ({:+.1} to {:+.1})", hours.value, hours.low, hours.high),
            },
            DeskEvidence::number("farthest place that fits", farthest, "km", 0),
        ];
        let clock = |hours: f64| Some(shifted(claim.at?, 60.0 * hours)?.strftime("%H:%M").to_string());
        if let (Some(from), Some(to)) = (clock(hours.low), clock(hours.high)) {
            let text = format!("between {from} and {to} UTC, or as much earlier and later a sidereal day away");
            evidence.push(DeskEvidence::word("that is, on the claimed date", text));
        }
        evidence
    }
}

fn latitudes(range: &Estimate) -> String {
    let side = |latitude: f64| format!("{:.0} {}", latitude.abs(), if latitude < 0.0 { "S" } else { "N" });
    format!("{} ({} to {})", side(range.value), side(range.low), side(range.high))
}
