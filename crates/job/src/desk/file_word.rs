//! The file's own word against the claim: time and place.

use frame::{Metadata, Subject, TakenAt};
use quantity::{Basis, Estimate, Timestamp};

use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use crate::DeskClaim;

/// Clocks that nobody set to the minute drift by this much in some months, minutes (judgement).
const CLOCK_MINUTES: f64 = 10.0;
/// Zones in use, hours ahead of UTC.
const ZONES_H: [f64; 2] = [-12.0, 14.0];
/// Zones of a place about its longitude's own hour: law and summer time move clocks by -1.5 to +3.5 hours (from memory).
const ZONE_ABOUT_H: [f64; 2] = [-1.6, 3.6];
/// A satellite position may be as old as the last fix, km of driving (judgement); beyond it the file speaks against the claim.
const STALE_FIX_KM: f64 = 60.0;
/// Error of a satellite position as a phone writes it, km.
const FIX_SIGMA_KM: f64 = 0.02;

/// The time in the file.
pub(super) fn time(metadata: &Metadata, claim: &DeskClaim) -> DeskCheck {
    let mut evidence = Vec::new();
    let program = metadata.software.as_deref().map(|software| DeskEvidence::word("written last by", software));
    if let Some(camera) = metadata.camera() {
        evidence.push(DeskEvidence::word("camera", camera));
    }
    evidence.extend(program);
    let (verdict, sentence, more) = time_words(metadata, claim);
    evidence.extend(more);
    DeskCheck {
        kind: DeskCheckKind::FileTime,
        verdict,
        sentence,
        evidence,
        basis: "EXIF, which anybody can change; a clock may be in another zone or never have been set.".to_owned(),
    }
}

fn time_words(metadata: &Metadata, claim: &DeskClaim) -> (DeskVerdict, String, Vec<DeskEvidence>) {
    use DeskVerdict::{CannotTell, Consistent, Inconsistent};
    let Some(taken) = metadata.taken.as_ref() else {
        return (CannotTell, "The file names no time: messengers and editors strip it.".to_owned(), Vec::new());
    };
    let mut evidence = vec![DeskEvidence::word("clock of the camera", taken.local.to_string().replace('T', " "))];
    let Some(at) = claim.at else {
        return (CannotTell, "No time is claimed; the file names one.".to_owned(), evidence);
    };
    let is_of_change =
        metadata.doubts.iter().any(|doubt| doubt.subject == Subject::Time && doubt.found == taken.local.to_string());
    let tolerance_h = (claim.within_minutes + CLOCK_MINUTES) / 60.0;
    let found = Offset::of(metadata, taken, claim, at, tolerance_h);
    // further apart the sentence says it in days or years
    if found.hours.abs() <= 48.0 {
        let hours = Estimate::symmetric(found.hours, tolerance_h, Basis::Assumed);
        evidence.push(DeskEvidence::number(found.name, hours, "h", 2));
    }
    let (verdict, sentence) = found.words;
    // many a camera's clock was never set; the satellites' word is not hers, and speaks on either side
    if let Some(hours) = metadata.gps_time.map(|gps| gps.duration_since(at).as_secs_f64() / 3600.0) {
        let words = format!("The satellite time in the file is {} the claimed one", apart(hours));
        if hours.abs() > tolerance_h {
            evidence.push(DeskEvidence::word("satellite time", "does not fit the claim"));
            return (Inconsistent, format!("{words}."), evidence);
        }
        if verdict != Consistent {
            evidence.push(DeskEvidence::word("satellite time", "fits the claim; the camera's clock does not"));
            return (Consistent, format!("{words}; the camera's clock is set otherwise."), evidence);
        }
    }
    if verdict == Inconsistent && is_of_change {
        return (CannotTell, "The file only says when it was last changed.".to_owned(), evidence);
    }
    (verdict, sentence, evidence)
}

/// How far the camera's clock is from the claim.
struct Offset {
    name: &'static str,
    hours: f64,
    words: (DeskVerdict, String),
}

impl Offset {
    fn of(metadata: &Metadata, taken: &TakenAt, claim: &DeskClaim, at: Timestamp, tolerance_h: f64) -> Self {
        let with = |offset_s: i32| taken.utc_with(offset_s).map(|utc| utc.duration_since(at).as_secs_f64() / 3600.0);
        let told = taken.utc_offset_s.or_else(|| metadata.utc_offset_by_gps_s());
        if let Some(hours) = told.and_then(with) {
            return Self { name: "file's time less claimed time", hours, words: with_zone(hours, tolerance_h) };
        }
        // the clock less the claimed UTC is the zone that it would have to be in
        let hours = with(0).unwrap_or(f64::NAN);
        let about = claim.position.map(|position| position.longitude_deg() / 15.0);
        Self {
            name: "zone that the clock would be in, ahead of UTC",
            hours,
            words: without_zone(hours, about, tolerance_h),
        }
    }
}

/// What summer time, or the next zone, moves a clock by, hours.
const NEXT_ZONE_H: f64 = 1.0;

/// A file that states its zone leaves none to guess; only an hour is easily lost to summer time, in a camera as in a claim.
fn with_zone(hours: f64, tolerance_h: f64) -> (DeskVerdict, String) {
    if hours.abs() > tolerance_h && (hours.abs() - NEXT_ZONE_H).abs() <= CLOCK_MINUTES / 60.0 {
        let sentence = format!(
            "The file's own time is {} the claimed one: was summer time forgotten, or the next zone meant?",
            apart(hours)
        );
        return (DeskVerdict::CannotTell, sentence);
    }
    let verdict = if hours.abs() <= tolerance_h { DeskVerdict::Consistent } else { DeskVerdict::Inconsistent };
    (verdict, format!("The file's own time is {} the claimed one.", apart(hours)))
}

fn without_zone(hours: f64, about_h: Option<f64>, tolerance_h: f64) -> (DeskVerdict, String) {
    let is_zone = (ZONES_H[0] - tolerance_h..=ZONES_H[1] + tolerance_h).contains(&hours);
    if !is_zone {
        let nearest = if hours > 0.0 { hours - ZONES_H[1] } else { hours - ZONES_H[0] };
        let sentence = format!("The camera's clock is {} the claimed time in any zone.", apart(nearest));
        return (DeskVerdict::Inconsistent, sentence);
    }
    // clocks are set to quarters of an hour
    let quarters = (4.0 * hours).round() / 4.0 + 0.0;
    let zone = format!("UTC{quarters:+.2} h");
    match about_h {
        Some(about_h)
            if (ZONE_ABOUT_H[0] - tolerance_h..=ZONE_ABOUT_H[1] + tolerance_h).contains(&(hours - about_h))
                && is_half_hours(hours) =>
        {
            (
                DeskVerdict::Consistent,
                format!("The camera's clock fits the claimed time if it ran on {zone}, as clocks there do."),
            )
        }
        _ => (
            DeskVerdict::CannotTell,
            format!(
                "The file does not say its zone: the clock fits the claim if it ran on {zone}. A clock in another zone?"
            ),
        ),
    }
}

/// Whether a clock would be in a zone of whole or half hours, as nearly all are. What the claim leaves open does not widen
/// this: half an hour of it would let every time pass.
fn is_half_hours(hours: f64) -> bool {
    let nearest = (2.0 * hours).round() / 2.0;
    (hours - nearest).abs() <= CLOCK_MINUTES / 60.0
}

/// "12 min after", "3 h before", "2 days after".
fn apart(hours: f64) -> String {
    let side = if hours < 0.0 { "before" } else { "after" };
    match hours.abs() {
        h if h < 1.0 => format!("{:.0} min {side}", 60.0 * h),
        h if h < 48.0 => format!("{h:.1} h {side}"),
        h if h < 24.0 * 400.0 => format!("{:.0} days {side}", h / 24.0),
        h => format!("{:.1} years {side}", h / 8766.0),
    }
}

/// The place in the file.
pub(super) fn place(metadata: &Metadata, claim: &DeskClaim) -> DeskCheck {
    let (verdict, sentence, evidence) = match (metadata.position, claim.position) {
        (None, _) => (
            DeskVerdict::CannotTell,
            "The file names no place: most cameras do not, and messengers and editors strip it.".to_owned(),
            Vec::new(),
        ),
        (Some(_), None) => (DeskVerdict::CannotTell, "No place is claimed; the file names one.".to_owned(), Vec::new()),
        (Some(there), Some(claimed)) => {
            let km = there.ground_km(claimed);
            let sigma = FIX_SIGMA_KM.hypot(claim.within_km);
            let evidence = vec![DeskEvidence::number(
                "file's place from the claimed one",
                Estimate::symmetric(km, sigma, Basis::Assumed),
                "km",
                1,
            )];
            let verdict = match km {
                near if near <= claim.within_km + 1.0 => DeskVerdict::Consistent,
                far if far > claim.within_km + STALE_FIX_KM => DeskVerdict::Inconsistent,
                _ => DeskVerdict::CannotTell,
            };
            let doubt = if verdict == DeskVerdict::CannotTell { ": a phone may have kept an older fix" } else { "" };
            (verdict, format!("The file's own place is {km:.0} km from the claimed one{doubt}."), evidence)
        }
    };
    DeskCheck {
        kind: DeskCheckKind::FilePlace,
        verdict,
        sentence,
        evidence,
        basis: "EXIF, which anybody can change. The place itself is not shown.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use frame::{Metadata, TakenAt};
    use quantity::GeoPosition;

    use super::time_words;
    use crate::{DeskClaim, DeskVerdict};

    const CLAIMED: &str = "2026-03-14T22:00:00Z";

    /// The verdict on a camera's clock, with the zone that its file states, s, and the satellites' time.
    fn verdict(clock: &str, utc_offset_s: Option<i32>, satellites: Option<&str>) -> DeskVerdict {
        let taken = TakenAt { local: clock.parse().unwrap(), utc_offset_s };
        let gps_time = satellites.map(|at| at.parse().unwrap());
        let metadata = Metadata { taken: Some(taken), gps_time, ..Metadata::default() };
        // 16 degrees east: about an hour ahead of UTC
        let position = Some(GeoPosition::new(69.3, 16.0, 0.0).unwrap());
        let claim = DeskClaim { at: Some(CLAIMED.parse().unwrap()), position, ..DeskClaim::default() };
        time_words(&metadata, &claim).0
    }

    #[test]
    fn a_stated_zone_excuses_no_more_than_summer_time() {
        let hour = Some(3600);
        assert_eq!(verdict("2026-03-14T23:20:00", hour, None), DeskVerdict::Consistent);
        assert_eq!(verdict("2026-03-14T22:05:00", hour, None), DeskVerdict::CannotTell, "summer time");
        // the night before at the same hour, hours of any zone, and half of one more
        for clock in ["2026-03-13T23:00:00", "2026-03-14T21:00:00", "2026-03-14T17:30:00", "2026-03-15T09:00:00"] {
            assert_eq!(verdict(clock, hour, None), DeskVerdict::Inconsistent, "{clock}");
        }
    }

    #[test]
    fn a_clock_without_a_zone_may_be_in_any_that_there_is() {
        assert_eq!(verdict("2026-03-14T23:05:00", None, None), DeskVerdict::Consistent, "as clocks there go");
        assert_eq!(verdict("2026-03-14T23:45:00", None, None), DeskVerdict::CannotTell, "in no zone there");
        assert_eq!(verdict("2026-03-15T03:30:00", None, None), DeskVerdict::CannotTell, "5.5 h ahead, as far away");
        assert_eq!(verdict("2026-03-13T22:00:00", None, None), DeskVerdict::Inconsistent, "24 h behind: no zone");
        assert_eq!(verdict("2026-03-15T22:00:00", None, None), DeskVerdict::Inconsistent, "24 h ahead: no zone");
    }

    #[test]
    fn the_satellites_speak_on_either_side() {
        let right = Some("2026-03-14T21:58:00Z");
        let wrong = Some("2026-03-14T16:30:00Z");
        assert_eq!(verdict("2025-01-01T00:00:00", None, right), DeskVerdict::Consistent, "a clock never set");
        assert_eq!(verdict("2026-03-14T23:00:00", Some(3600), wrong), DeskVerdict::Inconsistent, "a clock that fits");
        assert_eq!(verdict("2026-03-14T23:00:00", None, wrong), DeskVerdict::Inconsistent);
    }
}
