//! What happened, in words.

use super::report::{AccountLine, ReadPatch, ReadReport};
use super::{magnetic, space};

/// The account of a report that is otherwise done.
pub(super) fn lines(report: &ReadReport) -> Vec<AccountLine> {
    let mut told = vec![frames(report)];
    let mut tell = |words: String, basis: &str| told.push(AccountLine { words, basis: basis.to_owned() });
    // the page takes the line after that of the frames for its headline
    aurora_and_forms(report, &mut tell);
    if report.frames.rescaled > 0 {
        let words =
            format!("{} frames had other settings than the first: their light is scaled", report.frames.rescaled);
        tell(words, "exposure, ISO and aperture of the files, as if the numbers were linear");
    }
    if report.frames.not_comparable > 0 {
        let words = format!(
            "{} frames are not scaled and may not compare: they or the first one do not say exposure, ISO or aperture",
            report.frames.not_comparable
        );
        tell(words, "the files");
    }
    if let Some(assumed) = &report.lens.assumed {
        let words = format!(
            "directions are assumed: {}; altitudes to {:.0} degrees, azimuths to {:.0}",
            assumed.words, assumed.altitude_sigma_deg, assumed.azimuth_sigma_deg
        );
        tell(words, "one standard deviation, a judgement: no stars told them");
    } else if !report.lens.solved {
        let why = report.lens.why_not.as_deref().unwrap_or("it was not asked for");
        tell(format!("no direction for pixels: only the light of the whole picture is read ({why})"), "the stars");
    }
    if report.keogram.is_none() && (report.lens.solved || report.lens.assumed.is_some()) {
        tell("no keogram: its line lies outside the picture; take another --azimuth".to_owned(), "the lens");
    }
    if let Some(keogram) = &report.keogram {
        let lit = keogram.borders.len();
        tell(
            format!("light stood above its background in {lit} of {} columns of the line", keogram.columns.len()),
            if report.calibration.is_some() {
                "keogram: 1 kR (brightness class I) and more above the sky's own light"
            } else {
                "keogram, not calibrated: 30 % above the level that each bin hardly ever falls below; light that never changes is background"
            },
        );
    }
    match &report.brightenings {
        Some(found) if found.is_empty() && report.keogram.is_some() => {
            tell(
                "no sudden brightening along the line".to_owned(),
                "doubling against the rest of the line in 5 minutes",
            );
        }
        Some(found) => {
            for brightening in found {
                let lag = brightening
                    .after_magnetic_onset_s
                    .map_or(String::new(), |after_s| format!(", {}", magnetic::lag_words(after_s)));
                tell(
                    format!(
                        "{} at {}: {:.1} times, {:.0} degrees from the zenith{lag}",
                        brightening.kind, brightening.at, brightening.factor, brightening.zenith_angle_deg
                    ),
                    "doubling within 5 minutes and a poleward move (after Akasofu 1964); one line of sky makes a candidate, no substorm",
                );
            }
        }
        None if report.keogram.is_some() => {
            tell("brightenings could not be looked for".to_owned(), "columns are longer than 150 s");
        }
        None => {}
    }
    for drift in report.drift.iter().chain(&report.drift_across) {
        let height = format!("correlation of columns; light at {} km", report.request.height_km);
        tell(drift.words.clone(), &height);
    }
    if let Some(pulsation) = &report.pulsation {
        let words = match (pulsation.blocks, pulsation.patches.len()) {
            (0, _) => "pulsation could not be judged: fewer than 32 frames without a pause".to_owned(),
            (_, 0) => format!("no pulsation in {} cells of sky", pulsation.cells_judged),
            (_, many) => {
                let periods: Vec<String> = pulsation.patches.iter().take(5).map(period_words).collect();
                format!("{many} patches pulsated, the first with periods of {}", periods.join(", "))
            }
        };
        tell(words, "spectra of cells of 5 degrees, common course taken out");
    }
    magnetic::lines(report, &mut tell);
    space::lines(report, &mut tell);
    line_shares(report, &mut tell);
    told
}

/// The period of a patch, with how long it is on and off where that is known.
fn period_words(patch: &ReadPatch) -> String {
    let on_off = patch.on_s.zip(patch.off_s).map(|(on_s, off_s)| format!(" ({on_s:.1} s on, {off_s:.1} s off)"));
    format!("{:.1} s{}", patch.period_s, on_off.unwrap_or_default())
}

/// Of which lines the aurora's light is made.
fn line_shares(report: &ReadReport, tell: &mut impl FnMut(String, &str)) {
    if let Some(lines) = &report.aurora.lines {
        let tenths = |share: &quantity::Estimate| format!("{:.2} ({:.2} to {:.2})", share.value, share.low, share.high);
        let words = format!(
            "of the aurora's light {} green, {} red, {} blue, by {} frames",
            tenths(&lines.green_5577),
            tenths(&lines.red_6300),
            tenths(&lines.blue_4278),
            lines.frames
        );
        tell(words, "557.7, 630.0 and 427.8 nm from red, green and blue; red known to a factor of two");
    }
}

fn frames(report: &ReadReport) -> AccountLine {
    let frames = &report.frames;
    let span = match (frames.first, frames.last, frames.interval_s) {
        (Some(first), Some(last), Some(interval_s)) => format!(" from {first} to {last}, {interval_s:.3} s apart"),
        (Some(first), ..) => format!(" at {first}"),
        _ => String::new(),
    };
    let skipped = if frames.skipped == 0 { String::new() } else { format!("; {} left out", frames.skipped) };
    let words = format!("{} frames{span}{skipped}", frames.read);
    let basis = match &report.calibration {
        Some(calibration) => {
            let estimate = if calibration.is_estimate { ", an estimate" } else { "" };
            let by = if calibration.by_stars { "stars" } else { "settings" };
            format!("times of the files; light in {}, by the {by} of {}{estimate}", report.unit, calibration.frame)
        }
        None => format!("times of the files; light in {}, not calibrated to kilorayleighs", report.unit),
    };
    AccountLine { words, basis }
}

/// Whether there was aurora, and which forms, the first ten.
fn aurora_and_forms(report: &ReadReport, tell: &mut impl FnMut(String, &str)) {
    const MOST_FORMS: usize = 10;
    let aurora = &report.aurora;
    if aurora.looked_at == 0 {
        return;
    }
    let words = match (aurora.yes, aurora.cannot_tell) {
        (0, 0) => format!("no aurora in {} frames looked at", aurora.looked_at),
        (0, open) => format!("no aurora that is sure: {open} of {} frames looked at cannot tell", aurora.looked_at),
        (yes, _) => format!("aurora in {yes} of {} frames looked at", aurora.looked_at),
    };
    tell(words, "colour and structure of single frames");
    for form in report.forms.iter().take(MOST_FORMS) {
        let name = form.name.map_or("form: cannot tell", sequence::FormName::words);
        let code = form.code.as_ref().map_or(String::new(), |code| format!(" ({code})"));
        let sure = if form.name.is_some() { format!(", chance {:.1}", form.confidence) } else { String::new() };
        let span = match (form.from, form.to) {
            (Some(from), Some(to)) if from == to => format!(" at {from:.0}"),
            (Some(from), Some(to)) => format!(" from {from:.0} to {to:.0}"),
            _ => String::new(),
        };
        let around = form.middle.map_or(String::new(), |middle| {
            format!(" around azimuth {:.0}, {:.0} degrees up", middle.azimuth_deg, middle.altitude_deg)
        });
        tell(format!("{name}{code}{around}{span}{sure}"), &form.reasons.join("; "));
    }
}
