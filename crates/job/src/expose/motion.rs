use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

/// How an aurora moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum AuroraMotion {
    /// An even arc that drifts with the plasma.
    QuietArc,
    /// An arc that folds and ripples.
    Folds,
    /// Rays and curls that run along the arc.
    Rays,
    /// The sky breaks up and surges poleward.
    Breakup,
    /// Patches that go on and off.
    Pulsating,
}

/// What is known of one kind of motion.
#[derive(Debug, Clone, Copy)]
pub(super) struct Movement {
    /// Speed across the line of sight, km/s.
    pub(super) speed_km_s: Estimate,
    /// Width that shall stay sharp, km.
    pub(super) structure_km: f64,
    /// Longest time for another reason than drift, s; infinite where there is none.
    pub(super) other_limit_s: f64,
    /// Who measured the speed.
    pub(super) source: &'static str,
}

/// Pulsating patches are on for a few seconds of every 2 to 20 (textbook range); a longer exposure averages on and off.
const PULSATION_LIMIT_S: f64 = 2.0;
/// Green light below which an aurora is usually a quiet arc or a glow, and from which it usually breaks up, kR
/// (quiet arcs 2 to 20 kR, breakups 100 to 500 kR; common practice).
const USUALLY_QUIET_BELOW_KR: f64 = 3.0;
const USUALLY_BREAKUP_FROM_KR: f64 = 200.0;

impl AuroraMotion {
    /// What is usual at a brightness, kR.
    pub(super) fn usual(green_kr: f64) -> Self {
        match green_kr {
            kr if kr < USUALLY_QUIET_BELOW_KR => Self::QuietArc,
            kr if kr < USUALLY_BREAKUP_FROM_KR => Self::Folds,
            _ => Self::Breakup,
        }
    }

    /// Speed, size and source.
    pub(super) fn movement(self) -> Movement {
        let (value, low, high, structure_km, source) = match self {
            Self::QuietArc => (0.1, 0.03, 0.15, 10.0, "drift of quiet arcs, Safargaleev et al. 2003, Haerendel 1993"),
            Self::Folds => {
                (1.0, 0.5, 2.5, 10.0, "folds along arcs, below the 2.5 km/s of arc ends (Safargaleev et al. 2003)")
            }
            Self::Rays => {
                (5.0, 2.5, 8.0, 1.0, "bright patches and rays along arcs, 5 to 8 km/s (Safargaleev et al. 2003)")
            }
            Self::Breakup => (2.0, 0.5, 5.0, 2.0, "poleward surge 0.5 to 2 km/s, faster inside it (textbook range)"),
            Self::Pulsating => (0.3, 0.1, 1.0, 5.0, "patches drift with convection, 0.1 to 1 km/s (textbook range)"),
        };
        let other_limit_s = match self {
            Self::Pulsating => PULSATION_LIMIT_S,
            Self::QuietArc | Self::Folds | Self::Rays | Self::Breakup => f64::INFINITY,
        };
        Movement {
            speed_km_s: Estimate { value, low, high, basis: Basis::Measured },
            structure_km,
            other_limit_s,
            source,
        }
    }

    /// In plain words, as the subject of a sentence.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::QuietArc => "a quiet arc",
            Self::Folds => "an arc with folds",
            Self::Rays => "running rays",
            Self::Breakup => "a breakup",
            Self::Pulsating => "pulsating patches",
        }
    }
}

impl Movement {
    /// Time in which the structure moves by its own width, or goes out, s.
    pub(super) fn limit_s(&self) -> Estimate {
        let limit = |speed: f64| optics::blur_limit_s(self.structure_km, speed).min(self.other_limit_s);
        Estimate {
            value: limit(self.speed_km_s.value),
            low: limit(self.speed_km_s.high),
            high: limit(self.speed_km_s.low),
            basis: Basis::Model,
        }
    }
}
