//! Is the sun where the light of the picture needs it?

use quantity::{Basis, Estimate};

use super::claim::Claim;
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use crate::{AuroraPresence, CheckReport, CheckedScene};

/// Stars found from which a picture without settings shows a night sky.
const SURE_STARS: u32 = 20;
/// Sun above which no camera for wide fields shows a score of stars, degrees: the zenith is then brighter than 5 cd/m2.
const NO_STARS_DEG: f64 = -2.5;
/// Sun below which the zenith shows stars, degrees: the end of civil twilight.
const STARS_DEG: f64 = -6.0;
/// Sun above which an aurora is lost in the sky, degrees.
pub(super) const NO_AURORA_DEG: f64 = -1.0;
/// Sun below which the sky itself gives no daylight, degrees.
const NO_DAYLIGHT_DEG: f64 = -6.0;
/// Light that rooms and streets do not have, cd/m2 over a frame (judgement): an overcast sky has 2,000.
const BEYOND_LAMPS_CD_M2: f64 = 1000.0;
/// Share of the twilight at the zenith below which a picture of the sky is too dark for it: settings, developing and the side
/// away from the sun together make a factor of ten (judgement).
const TOO_DARK: f64 = 1.0 / 30.0;
/// A nanolambert, cd/m2.
const NANOLAMBERT_CD_M2: f64 = 1e-5 / std::f64::consts::PI;

pub(super) fn sun(report: &CheckReport, claim: &Claim) -> DeskCheck {
    let luminance = report.sky.as_ref().and_then(|sky| sky.luminance_cd_m2);
    let mut evidence = vec![DeskEvidence::word("scene by its light and stars alone", &report.scene_why)];
    if let Some(luminance) = luminance {
        evidence.push(DeskEvidence {
            name: "luminance of the sky in the picture, by its settings".to_owned(),
            value: Some(luminance),
            unit: "cd/m2".to_owned(),
            text: format!("{:.2e} ({:.1e} to {:.1e}) cd/m2", luminance.value, luminance.low, luminance.high),
        });
    }
    let (verdict, sentence) = match claim.sun_altitudes_deg() {
        None => (DeskVerdict::CannotTell, "The sun cannot be placed: no time or no place is known.".to_owned()),
        Some(altitudes) => {
            evidence.push(altitude(altitudes));
            Judged { report, altitudes, luminance }.words()
        }
    };
    DeskCheck {
        kind: DeskCheckKind::Sun,
        verdict,
        sentence,
        evidence,
        basis: format!(
            "Stars, settings and light of the picture; {}; twilight after Patat et al. 2006.",
            claim.basis()
        ),
    }
}

/// The sun's altitude by the claim, with its range.
pub(super) fn altitude([low, high]: [f64; 2]) -> DeskEvidence {
    let value = Estimate { value: 0.5 * (low + high), low, high, basis: Basis::Model };
    DeskEvidence {
        name: "sun's altitude by the claim".to_owned(),
        value: Some(value),
        unit: "degrees".to_owned(),
        text: format!("{:.1} degrees ({low:.1} to {high:.1} within the claim)", value.value),
    }
}

struct Judged<'a> {
    report: &'a CheckReport,
    altitudes: [f64; 2],
    luminance: Option<Estimate>,
}

impl Judged<'_> {
    fn words(&self) -> (DeskVerdict, String) {
        match self.report.scene {
            CheckedScene::Unreadable | CheckedScene::NotAPhotograph => {
                (DeskVerdict::CannotTell, "The picture is no photograph that light could be judged on.".to_owned())
            }
            CheckedScene::NightSky | CheckedScene::Moonlit => self.night(),
            CheckedScene::Day => self.day(),
            CheckedScene::Twilight => self.twilight(),
            CheckedScene::Dark | CheckedScene::CannotTell => self.unknown(),
        }
    }

    fn degrees(&self) -> String {
        format!("{:.0} degrees", 0.5 * (self.altitudes[0] + self.altitudes[1]))
    }

    fn shows_stars(&self) -> bool {
        let stars = &self.report.stars;
        stars.matched.is_some() || (stars.alike && stars.count >= SURE_STARS)
    }

    fn night(&self) -> (DeskVerdict, String) {
        let [low, high] = self.altitudes;
        let shows_aurora = self
            .report
            .aurora
            .as_ref()
            .is_some_and(|aurora| aurora.present == AuroraPresence::Yes && aurora.brightest_kr.is_some());
        let sun = self.degrees();
        if self.shows_stars() && low > NO_STARS_DEG {
            return (
                DeskVerdict::Inconsistent,
                format!("The picture shows a sky full of stars, and the sun would be at {sun}."),
            );
        }
        if shows_aurora && low > NO_AURORA_DEG {
            return (
                DeskVerdict::Inconsistent,
                format!("The picture shows aurora in a dark sky, and the sun would be at {sun}."),
            );
        }
        if let Some(sentence) = self.too_dark() {
            return (DeskVerdict::Inconsistent, sentence);
        }
        if high < STARS_DEG {
            return (DeskVerdict::Consistent, format!("A night sky, and the sun would be at {sun}."));
        }
        (
            DeskVerdict::CannotTell,
            format!("A night sky, and the sun would be at {sun}: at the edge of what is possible."),
        )
    }

    /// A sky with stars that is far darker than the twilight of the claim.
    fn too_dark(&self) -> Option<String> {
        let twilight = NANOLAMBERT_CD_M2 * sky::background::zenith_twilight_nl(-self.altitudes[0]);
        let luminance = self.luminance.filter(|_| self.shows_stars())?;
        (luminance.high < TOO_DARK * twilight).then(|| {
            format!(
                "The sky in the picture has about {:.1e} cd/m2 by its settings, and with the sun at {:.0} degrees the zenith \
                 has {twilight:.1e}.",
                luminance.value, self.altitudes[0]
            )
        })
    }

    fn day(&self) -> (DeskVerdict, String) {
        let sun = self.degrees();
        let is_beyond_lamps = self.luminance.is_some_and(|luminance| luminance.low > BEYOND_LAMPS_CD_M2);
        match self.altitudes[1] {
            high if high >= NO_DAYLIGHT_DEG => {
                (DeskVerdict::Consistent, format!("As bright as day, and the sun would be at {sun}."))
            }
            _ if is_beyond_lamps => {
                (DeskVerdict::Inconsistent, format!("As bright as only daylight is, and the sun would be at {sun}."))
            }
            _ => (DeskVerdict::CannotTell, format!("As bright as day with the sun at {sun}: daylight, or lamps.")),
        }
    }

    fn twilight(&self) -> (DeskVerdict, String) {
        let sun = self.degrees();
        let [low, high] = self.altitudes;
        if low <= 2.0 && high >= -12.0 {
            return (DeskVerdict::Consistent, format!("As bright as twilight, and the sun would be at {sun}."));
        }
        (
            DeskVerdict::CannotTell,
            format!("As bright as twilight with the sun at {sun}: lamps, shade or a short exposure."),
        )
    }

    fn unknown(&self) -> (DeskVerdict, String) {
        let sun = self.degrees();
        let is_dark = self.luminance.is_some_and(|luminance| luminance.high < 0.1);
        if is_dark && self.altitudes[1] < STARS_DEG {
            return (DeskVerdict::Consistent, format!("As dark as a night, and the sun would be at {sun}."));
        }
        (DeskVerdict::CannotTell, format!("The picture does not say how light it was; the sun would be at {sun}."))
    }
}
