//! Could aurora be seen there then?

use quantity::Estimate;

use super::claim::Claim;
use super::report::{DeskCheck, DeskCheckKind, DeskEvidence, DeskVerdict};
use super::request::DeskRequest;
use super::sun::{self, NO_AURORA_DEG};
use crate::wording::{bearing, kilorayleighs};
use crate::{Activity, ActivityKind, AuroraPresence, CheckReport, Site, SkymapReport, SkymapRequest, skymap};

/// Solar radio flux where nobody gives one: it moves the green line by a few hundredths.
const F107_SFU: f64 = crate::MIDDLING_F107_SFU;
/// Spacing of the sky looked over, degrees.
const STEP_DEG: f64 = 7.5;
/// Deviations of the activity that are allowed for.
const KP_SIGMAS: f64 = 2.0;
/// Green light that a camera shows, kR.
const CAMERA_SEES_KR: f64 = 0.3;
/// How far beyond the upper end for the greatest activity a measured brightness must be to speak against it: sudden
/// brightenings are ten times the mean of their hour, and a picture's scale is good to a factor of two (judgement).
const FAR_BEYOND: f64 = 10.0;

pub(super) fn aurora(
    report: &CheckReport,
    azimuth_deg: Option<f64>,
    claim: &Claim,
    request: &DeskRequest,
) -> DeskCheck {
    let (mut verdict, mut sentence, mut evidence) = words(report, azimuth_deg, claim, request.activity.as_ref());
    let own = &request.own_word;
    let shows = report.aurora.as_ref().is_some_and(|aurora| aurora.present == AuroraPresence::Yes);
    if let Some(reading) = own.saw_aurora().filter(|_| shows && verdict != DeskVerdict::Inconsistent) {
        // that there was some is more than what a mean oval expects
        verdict = DeskVerdict::Consistent;
        sentence = format!("{sentence} Own frames {:.0} km away show aurora at that time.", reading.away_km);
    } else if let Some(reading) = own.saw_none().filter(|_| shows) {
        sentence = format!(
            "{sentence} Own frames {:.0} km away show none at that time; they may have looked at another part of the sky.",
            reading.away_km
        );
    }
    evidence.extend(own.evidence());
    DeskCheck {
        kind: DeskCheckKind::Aurora,
        verdict,
        sentence,
        evidence,
        basis: format!(
            "Mean oval by Kp with the spread of bright arcs (an estimate: one night's arcs differ from the mean); {}; cloud is not asked.",
            claim.basis()
        ),
    }
}

type Words = (DeskVerdict, String, Vec<DeskEvidence>);

fn words(report: &CheckReport, azimuth_deg: Option<f64>, claim: &Claim, activity: Option<&Activity>) -> Words {
    let nothing = |sentence: &str| (DeskVerdict::CannotTell, sentence.to_owned(), Vec::new());
    let Some(seen) = report.aurora.as_ref().filter(|aurora| aurora.present == AuroraPresence::Yes) else {
        return nothing("No aurora is found in the picture for sure: there is nothing to compare.");
    };
    let Some((at, position)) = claim.at.zip(claim.position) else {
        return nothing("No time or no place is known to predict the aurora for.");
    };
    if let Some(altitudes) = claim.sun_altitudes_deg().filter(|[low, _high]| *low > NO_AURORA_DEG) {
        let sentence = "Aurora is in the picture, and the sky there then was too bright for any: the sun was up.";
        return (DeskVerdict::Inconsistent, sentence.to_owned(), vec![sun::altitude(altitudes)]);
    }
    let site = Site::bare("claimed place", position);
    let predict = |kp: f64| {
        let request =
            SkymapRequest { site: site.clone(), at, kp: kp.clamp(0.0, 9.0), f107: F107_SFU, step_deg: STEP_DEG };
        skymap(request).ok()
    };
    let interval = activity.and_then(|activity| activity.at(at));
    let Some(interval) = interval else { return without_activity(&predict) };
    let sigma = interval.kind.kp_sigma();
    let (Some(middle), Some(most)) = (predict(interval.kp), predict(interval.kp + KP_SIGMAS * sigma)) else {
        return nothing(
            "The aurora of the claimed time and place cannot be predicted: too near the magnetic equator, or a date outside the models.",
        );
    };
    let mut evidence = predicted(&middle, &most, interval.kp, sigma);
    evidence.extend(activity.map(|activity| whence(activity, interval.kind, at)));
    if let Some(measured) = seen.brightest_kr {
        evidence.push(kilo("brightest in the picture", measured));
    }
    if let Some(azimuth) = azimuth_deg {
        evidence.push(DeskEvidence::word("the camera looked to the", bearing(azimuth)));
    }
    let high = most.brightest_arc_kr.high;
    let text = kilorayleighs(middle.brightest_arc_kr.value);
    if high < CAMERA_SEES_KR {
        let sentence = format!(
            "Aurora is in the picture, and even at a Kp of {:.1} none that a camera shows was to be expected there then.",
            (interval.kp + KP_SIGMAS * sigma).min(9.0)
        );
        return (DeskVerdict::Inconsistent, sentence, evidence);
    }
    match seen.brightest_kr {
        Some(measured) if measured.low > FAR_BEYOND * high => (
            DeskVerdict::Inconsistent,
            format!(
                "The aurora in the picture has {} at its brightest, far beyond the {text} expected.",
                kilorayleighs(measured.value)
            ),
            evidence,
        ),
        _ if middle.brightest_arc_kr.high < CAMERA_SEES_KR => (
            DeskVerdict::CannotTell,
            format!(
                "Aurora is in the picture; about {text} was to be expected, which only an activity at the top of its error would make visible."
            ),
            evidence,
        ),
        _ => (
            DeskVerdict::Consistent,
            format!("Aurora is in the picture, and about {text} was to be expected at its brightest."),
            evidence,
        ),
    }
}

/// Without an activity: the least Kp that would do.
fn without_activity(predict: &impl Fn(f64) -> Option<SkymapReport>) -> Words {
    let needed = (0..=9u8).map(f64::from).find_map(|kp| {
        let report = predict(kp)?;
        (report.brightest_arc_kr.value >= CAMERA_SEES_KR).then_some((kp, report))
    });
    match needed {
        Some((kp, report)) => {
            let evidence = vec![
                DeskEvidence::exact("least Kp for aurora on a camera", kp, "", 0),
                DeskEvidence::word("brightest to the", bearing(report.brightest.azimuth_deg)),
            ];
            let sentence = format!("Aurora would need a Kp of about {kp:.0} there then; no Kp is known of that time.");
            (DeskVerdict::CannotTell, sentence, evidence)
        }
        None => match predict(9.0) {
            Some(report) if report.brightest_arc_kr.high < CAMERA_SEES_KR => (
                DeskVerdict::Inconsistent,
                "Aurora is in the picture, and not even a Kp of 9 would bring it within sight of the claimed place.".to_owned(),
                Vec::new(),
            ),
            _ => (
                DeskVerdict::CannotTell,
                "Aurora is in the picture; at the claimed place only the greatest storms, if any, bring it within sight.".to_owned(),
                Vec::new(),
            ),
        },
    }
}

/// Who says what Kp was, as what, and how old that was when the picture is said to be taken.
fn whence(activity: &Activity, kind: ActivityKind, at: quantity::Timestamp) -> DeskEvidence {
    let issued = activity.issued_at.map(|issued| {
        let minutes = at.duration_since(issued).as_mins();
        let side = if minutes >= 0 { "before" } else { "after" };
        let (hours, rest) = (minutes.abs() / 60, minutes.abs() % 60);
        format!(", issued {}, {hours} h {rest:02} min {side} the claimed time", issued.strftime("%Y-%m-%d %H:%M UTC"))
    });
    let text = format!("{} ({}){}", activity.source, kind.words(), issued.unwrap_or_default());
    DeskEvidence::word("Kp by", text)
}

fn predicted(middle: &SkymapReport, most: &SkymapReport, kp: f64, sigma: f64) -> Vec<DeskEvidence> {
    vec![
        DeskEvidence::number("Kp", Estimate::symmetric(kp, sigma, quantity::Basis::Model), "", 1),
        kilo("brightest expected", middle.brightest_arc_kr),
        kilo("brightest expected at the upper end of Kp", most.brightest_arc_kr),
        DeskEvidence::word("expected to the", bearing(middle.brightest.azimuth_deg)),
    ]
}

fn kilo(name: &str, kr: Estimate) -> DeskEvidence {
    DeskEvidence {
        name: name.to_owned(),
        value: Some(kr),
        unit: "kR".to_owned(),
        text: format!("{} ({} to {})", kilorayleighs(kr.value), kilorayleighs(kr.low), kilorayleighs(kr.high)),
    }
}
