//! Evidence to odds. A judgement model: every weight is a log of odds that somebody who knows the sky would give, and the
//! sum is shown with its words.

use super::context::{AuroraContext, StarsSeen};
use super::finding::{AuroraClue, AuroraEvidence, AuroraPresence};
use super::grid::ramp;

/// From here on the answer is yes. Wrong alarms cost more than a "cannot tell".
const YES_FROM: f64 = 0.85;
/// Up to here the answer is no.
const NO_UP_TO: f64 = 0.15;
/// Before looking: a little under even, among frames that people hand in.
const PRIOR: f64 = -0.3;
/// No piece of evidence is worth more: nothing is that sure from one frame.
const MOST: f64 = 8.0;
/// Decimal logarithm of the sky's luminance in cd/m2 from which an aurora becomes unlikely, and at which none can show: the
/// brightest aurora (IBC IV, 1 MR) is 0.2; ten times that, with the error of the settings' scale, hides it.
const DAYLIGHT_LOG: [f64; 2] = [-0.6, 0.6];
/// Luminance under which it is night, cd/m2: a full moon's sky is 0.02.
const NIGHT_CD_M2: f64 = 0.1;
/// Exposure times, seconds: at f/1.4 and ISO 12 800 an aurora of 100 kR asks for 0.1 s.
const SHORT_S: f64 = 1.0 / 15.0;
/// Nobody records an aurora in this.
const TOO_SHORT_S: f64 = 1.0 / 100.0;
/// The times people use.
const LONG_S: f64 = 0.9;

/// Collects evidence.
pub(super) struct Judgement {
    pub(super) evidence: Vec<AuroraEvidence>,
}

impl Judgement {
    pub(super) fn new() -> Self {
        let mut judgement = Self { evidence: Vec::new() };
        judgement.add(AuroraClue::Prior, PRIOR, "before looking".to_owned());
        judgement
    }

    /// Adds a piece; what is worth nothing is left out.
    pub(super) fn add(&mut self, clue: AuroraClue, log_odds: f64, words: String) {
        if log_odds.is_finite() && log_odds.abs() >= 0.05 {
            self.evidence.push(AuroraEvidence { clue, log_odds: log_odds.clamp(-MOST, MOST), words });
        }
    }

    pub(super) fn sum(&self) -> f64 {
        self.evidence.iter().map(|evidence| evidence.log_odds).sum()
    }

    /// Caps the sum, with the reason.
    pub(super) fn cap(&mut self, most: f64, clue: AuroraClue, words: &str) {
        let over = self.sum() - most;
        if over > 0.0 {
            self.add(clue, -over, words.to_owned());
        }
    }

    pub(super) fn probability(&self) -> f64 {
        (1.0 + (-self.sum()).exp()).recip()
    }

    pub(super) fn presence(&self) -> AuroraPresence {
        match self.probability() {
            sure if sure >= YES_FROM => AuroraPresence::Yes,
            unlikely if unlikely <= NO_UP_TO => AuroraPresence::No,
            _ => AuroraPresence::CannotTell,
        }
    }

    /// What is known beside the light.
    pub(super) fn add_circumstances(&mut self, context: &AuroraContext<'_>) {
        match context.stars {
            StarsSeen::Sure => self.add(AuroraClue::Stars, 0.8, "stars: a sky of night".to_owned()),
            StarsSeen::None => self.add(AuroraClue::Stars, -1.2, "no stars".to_owned()),
            StarsSeen::Doubtful => self.add(AuroraClue::Stars, -0.4, "no sure stars".to_owned()),
            StarsSeen::NotAsked => {}
        }
        if let Some(luminance) = context.luminance_cd_m2.filter(|luminance| *luminance > 0.0) {
            let day = ramp(luminance.log10(), DAYLIGHT_LOG[0], DAYLIGHT_LOG[1]);
            self.add(AuroraClue::Daylight, -MOST * day, format!("by the settings the sky has {luminance:.2} cd/m2"));
            if luminance < NIGHT_CD_M2 {
                self.add(AuroraClue::Daylight, 0.4, "by the settings a sky of night".to_owned());
            }
        } else if let Some(seconds) = context.exposure_s.filter(|seconds| *seconds > 0.0) {
            let log_odds = match seconds {
                short if short < TOO_SHORT_S => -4.0,
                short if short < SHORT_S => -1.0,
                long if long >= LONG_S => 0.6,
                _ => 0.0,
            };
            self.add(AuroraClue::Daylight, log_odds, format!("exposed for {seconds:.4} s"));
        }
        if let Some(sun) = context.sun_altitude_deg {
            // the zenith at -3 is as bright as 10 MR of 557.7, at -6 as 1 MR, at -9 as 100 kR (Patat 2006)
            let log_odds = -MOST * ramp(sun, -9.0, -3.0);
            self.add(AuroraClue::Sun, log_odds, format!("the sun stands at {sun:.1} degrees"));
        }
        if context.is_rendered {
            self.add(AuroraClue::Medium, -4.0, "drawn or rendered, not photographed".to_owned());
        }
    }
}
