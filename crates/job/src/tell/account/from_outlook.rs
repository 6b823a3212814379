//! What was foretold, and what drove it.

use jiff::tz::TimeZone;
use quantity::Fraction;

use super::AccountSentence;
use super::sentence::{Saying, rounded};
use crate::{OutlookReport, UpstreamWind, best_step};

/// Southward part of the field below which it counts as neither, nT: within what the spacecraft's mean scatters by.
const NEITHER_NT: f64 = 1.0;
/// Why the direction of the wind's field matters.
const FIELDS_MEET: &str = "fields of opposite direction join: Dungey 1961, Phys. Rev. Lett. 6, 47 (from memory)";

pub(super) fn sentences(
    outlook: &OutlookReport,
    zone: &TimeZone,
    sentences: &mut Vec<AccountSentence>,
    not_known: &mut Vec<String>,
) {
    match &outlook.request.upstream {
        Some(wind) => sentences.push(wind_sentence(wind)),
        None => not_known.push("How the solar wind blew: no wind is kept with the outlook.".to_owned()),
    }
    // that of the best window, or else the one with the best chance for an eye
    let in_window = outlook.windows.first().and_then(|best| outlook.steps.iter().find(|step| step.at == best.best_at));
    let likeliest = || best_step(&outlook.steps).and_then(|place| outlook.steps.get(place));
    let Some(best) = in_window.or_else(likeliest) else {
        not_known.push("How active it was: the outlook names no best moment.".to_owned());
        return;
    };
    if let Some(kp) = &best.kp {
        let source = format!("{}, as the outlook took it", outlook.request.activity.source);
        let saying = Saying::new("activity").text("For ").time(best.at, zone, "the outlook's best moment");
        let saying = saying.text(" the index Kp, which runs from nought to nine, was put at ");
        sentences.push(saying.estimate(kp, "Kp", &source, Some(outlook.request.asked_at)).text(".").done());
    }
    let asked = Some(outlook.request.asked_at);
    if let Some(chances) = best.chances {
        let source = "the outlook's chance for its best moment, cloud counted where it was known";
        let [eye, camera] = [chances.eye_sees, chances.camera_records].map(|chance| (chance.value(), in_ten(chance)));
        let saying = Saying::new("foretold").text("The outlook gave a dark-adapted eye a chance of ");
        let saying = saying.value(eye.0, &eye.1, "share", source, asked);
        let saying = saying.text(" to see it, and a camera ");
        sentences.push(saying.value(camera.0, &camera.1, "share", source, asked).text(".").done());
    }
    if let Some(patch) = &best.brightest {
        let source = "the outlook's model of the oval and its arcs";
        let saying = Saying::new("foretold_brightness").text("Its brightest arc was expected at ");
        let saying = saying.estimate(&patch.brightest_arc_kr, "kR", source, asked);
        sentences.push(saying.text(" kilorayleighs of green light, an estimate.").done());
    }
}

/// A chance as it stands behind "a chance of"; neither none nor certainty, which no outlook gives.
pub(super) fn in_ten(chance: Fraction) -> String {
    match chance.in_ten() {
        0 => "less than 1 in 10".to_owned(),
        10 => "more than 9 in 10".to_owned(),
        tenths => format!("{tenths} in 10"),
    }
}

fn wind_sentence(wind: &UpstreamWind) -> AccountSentence {
    let at = Some(wind.measured_at);
    let speed = format!("{:.0}", wind.speed_km_s);
    let saying = Saying::new("wind").text("Before it reached the Earth the solar wind blew at ");
    let saying = saying.value(wind.speed_km_s, &speed, "km/s", &wind.source, at).text(" kilometres a second");
    let north = wind.bz_nt;
    let saying = if north.abs() < NEITHER_NT {
        saying.text(", its magnetic field neither northward nor southward to speak of (").value(
            north,
            &rounded(north),
            "nT",
            &wind.source,
            at,
        )
    } else {
        let size = rounded(north.abs());
        let saying = saying.text(", its magnetic field ").value(north, &size, "nT", &wind.source, at);
        if north < 0.0 {
            let saying = saying.text(" nanotesla southward, ");
            return saying.because("which opens the Earth's own field to it", FIELDS_MEET).text(".").done();
        }
        let saying = saying.text(" nanotesla northward, ");
        return saying.because("which lets little of it in", FIELDS_MEET).text(".").done();
    };
    saying.text(" nanotesla northward).").done()
}
