//! Reports as text for a terminal: verdict, reasons, numbers with errors, ages, what would change it.

use std::fmt::Write;

use job::{
    AlmanacReport, Caution, MagneticReport, NamedPosition, NightTimes, OutlookReport, SiteOutlook, SkymapReport,
    StandReport, age_words, chance_words,
};
use quantity::{Estimate, InputNote, Timestamp};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

pub(crate) fn outlook(report: &OutlookReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.verdict.text);
    comparison(&mut out, &report.ranking);
    list(&mut out, "Why", &report.verdict.reasons);
    if let Some(best) = report.windows.first().and_then(|w| report.steps.iter().find(|s| s.at == w.best_at)) {
        line!(out, "\nAt the best moment");
        if let Some(patch) = &best.brightest {
            line!(out, "  brightest arc 557.7 nm  {} kR", range(&patch.brightest_arc_kr, 2));
            line!(
                out,
                "  mean oval there         {:.2} kR green, {:.2} kR red, {:.2} kR blue",
                patch.mean_kr.green_5577_kr,
                patch.mean_kr.red_6300_kr,
                patch.mean_kr.blue_4278_kr
            );
            line!(out, "  sky behind it           {} mag/arcsec2", range(&patch.background_mag_arcsec2, 1));
        }
        if let Some(kp) = &best.kp {
            line!(out, "  Kp                      {}", range(kp, 2));
        }
    }
    for (index, window) in report.windows.iter().enumerate() {
        if index == 0 {
            line!(out, "\nWindows ({})", report.request.site.time_zone);
        }
        line!(
            out,
            "  {}-{}  eye {}, colour {}, camera {}  ({})",
            local(window.from, report),
            local(window.to, report),
            chance_words(window.chances.eye_sees),
            chance_words(window.chances.eye_sees_colour),
            chance_words(window.chances.camera_records),
            window.reason
        );
    }
    line!(out, "\nNight: {}", report.strip_text);
    list(&mut out, "What would change this", &report.would_change);
    inputs(&mut out, &report.inputs);
    list(&mut out, "Limits", &report.limits);
    line!(out, "\n{}", report.past_skill);
    cautions(&mut out, &report.cautions);
    out
}

pub(crate) fn stand(report: &StandReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.verdict);
    list(&mut out, "Why", &report.reasons);
    line!(out, "\nIn the frame ({} x {} pixels)", report.field.width_px, report.field.height_px);
    line!(
        out,
        "  field of view           {:.1} x {:.1} deg, corner to corner {:.1}; {:.1} arcsec a pixel in the middle",
        report.field.horizontal_deg,
        report.field.vertical_deg,
        report.field.diagonal_deg,
        report.field.pixel_arcsec
    );
    if let Some(light) = &report.light {
        line!(out, "  Kp                      {:.2}", light.kp);
        line!(out, "  brightest arc 557.7 nm  {} kR", range(&light.brightest_arc_kr, 2));
    }
    let focus = &report.focus;
    let far = focus.far_sharp_m.map_or_else(|| "infinity".to_owned(), |far| format!("{far:.1} m"));
    line!(
        out,
        "  sharp to the pixel      {:.1} m to {far}; in print from {:.1} m",
        focus.near_sharp_m,
        focus.near_print_m
    );
    for body in report.planets.iter().chain(&report.stars) {
        let [x, y] = body.place.pixel.unwrap_or([f64::NAN; 2]);
        line!(
            out,
            "  {:16} mag {:4.1}  {:5.1} deg up, bearing {:5.1}  pixel {x:.0}, {y:.0}",
            body.name,
            body.magnitude,
            body.place.direction.altitude_deg,
            body.place.direction.azimuth_deg
        );
    }
    for town in &report.towns {
        line!(out, "  town: {}, bearing {:.0}, {:.0} km", town.name, town.bearing_deg, town.distance_km);
    }
    let turns: Vec<String> = report.turns.iter().map(|turn| turn.text.clone()).collect();
    list(&mut out, "What a turn gains or loses", &turns);
    let best = &report.suggestion.pointing;
    line!(
        out,
        "\nSuggested: azimuth {:.0}, altitude {:.0}, {}",
        best.azimuth_deg,
        best.altitude_deg,
        best.orientation.label()
    );
    list(&mut out, "Because", &report.suggestion.why);
    inputs(&mut out, &report.inputs);
    list(&mut out, "Limits", &report.limits);
    cautions(&mut out, &report.cautions);
    out
}

/// The sites compared, the one most worth going to first.
fn comparison(out: &mut String, ranking: &[SiteOutlook]) {
    if ranking.is_empty() {
        return;
    }
    line!(out, "\nSites compared, best first (the road counted)");
    let width = ranking.iter().map(|row| row.site.name.chars().count()).max().unwrap_or(0);
    for row in ranking {
        let chances = row.chances.map_or_else(
            || "cannot tell".to_owned(),
            |c| format!("eye {}, camera {}", chance_words(c.eye_sees), chance_words(c.camera_records)),
        );
        let drive =
            row.site.drive_minutes.map_or_else(String::new, |minutes| format!(", {minutes:.0} min on the road"));
        line!(out, "  {:width$}  {chances}{drive}: {}", row.site.name, row.reason);
    }
}

pub(crate) fn skymap(report: &SkymapReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.text);
    line!(
        out,
        "\nBrightest direction: {:.0} deg up, bearing {:.0}: mean oval {:.2} kR green, {:.2} kR red, {:.2} kR blue (as it reaches you)",
        report.brightest.altitude_deg,
        report.brightest.azimuth_deg,
        report.brightest_mean_kr.green_5577_kr,
        report.brightest_mean_kr.red_6300_kr,
        report.brightest_mean_kr.blue_4278_kr
    );
    line!(out, "Brightest arc to be expected there: {} kR", range(&report.brightest_arc_kr, 2));
    line!(
        out,
        "Equatorward border at this magnetic time: {} deg magnetic latitude; the site: {:.1}, {:.1} h MLT",
        range(&report.equatorward_border_deg, 1),
        report.model_lat_deg,
        report.mlt_h
    );
    inputs(&mut out, &report.inputs);
    list(&mut out, "Limits", &report.limits);
    out
}

pub(crate) fn almanac(report: &AlmanacReport) -> String {
    let mut out = String::new();
    for remark in &report.remarks {
        line!(out, "{remark}");
    }
    for (name, body) in [("Sun", &report.sun), ("Moon", &report.moon)] {
        line!(
            out,
            "{name:5} altitude {:8.3} deg (as seen {:8.3}), azimuth {:8.3} deg, distance {:.0} km",
            body.altitude_deg,
            body.apparent_altitude_deg,
            body.azimuth_deg,
            body.distance_km
        );
    }
    line!(
        out,
        "Moon  {}, {:.1} % lit, phase angle {:.1} deg",
        report.moon_phase,
        report.moon_lit_fraction * 100.0,
        report.moon_phase_angle_deg
    );
    night(&mut out, &report.night);
    named(&mut out, "Planets up", &report.planets);
    named(&mut out, "Bright stars up", &report.stars);
    out
}

pub(crate) fn magnetic(report: &MagneticReport) -> String {
    let mut out = String::new();
    line!(out, "{}", report.summary);
    line!(
        out,
        "\nMain field (IGRF-14): north {:.1}, east {:.1}, down {:.1} nT",
        report.north_nt,
        report.east_nt,
        report.down_nt
    );
    line!(out, "declination {:.3} deg, inclination {:.3} deg", report.declination_deg, report.inclination_deg);
    line!(out, "quasi-dipole  {:.3}, {:.3} deg", report.qd_lat_deg, report.qd_lon_deg);
    match report.apex_lat_deg {
        Some(latitude) => {
            line!(out, "modified apex {:.3}, {:.3} deg (reference height 110 km)", latitude, report.apex_lon_deg);
        }
        None => {
            line!(out, "modified apex: none, the field line stays below 110 km");
        }
    }
    line!(out, "magnetic local time {:.3} h", report.mlt_h);
    line!(
        out,
        "magnetic zenith {:.2} deg up, azimuth {:.2} deg",
        report.magnetic_zenith.altitude_deg,
        report.magnetic_zenith.azimuth_deg
    );
    out
}

fn night(out: &mut String, night: &NightTimes) {
    line!(out, "\nNight of {} (UTC)", night.date);
    let rows = [
        ("sunset", night.sunset),
        ("civil dusk", night.civil_dusk),
        ("nautical dusk", night.nautical_dusk),
        ("astronomical dusk", night.astronomical_dusk),
        ("astronomical dawn", night.astronomical_dawn),
        ("nautical dawn", night.nautical_dawn),
        ("civil dawn", night.civil_dawn),
        ("sunrise", night.sunrise),
        ("moonrise", night.moonrise),
        ("moonset", night.moonset),
    ];
    for (name, at) in rows {
        line!(out, "  {name:18} {}", at.map_or_else(|| "none".to_owned(), |at| at.to_string()));
    }
}

fn named(out: &mut String, title: &str, bodies: &[NamedPosition]) {
    if bodies.is_empty() {
        return;
    }
    line!(out, "\n{title}");
    for body in bodies {
        line!(
            out,
            "  {:14} mag {:5.1}  altitude {:5.1}  azimuth {:5.1}",
            body.name,
            body.magnitude,
            body.apparent_altitude_deg,
            body.azimuth_deg
        );
    }
}

pub(crate) fn inputs(out: &mut String, inputs: &[InputNote]) {
    line!(out, "\nInputs");
    for input in inputs {
        let age = input.age_minutes.map_or_else(String::new, |minutes| format!(", {}", age_words(minutes)));
        line!(out, "  {}: {}{age}", input.name, input.source);
    }
}

fn cautions(out: &mut String, cautions: &[Caution]) {
    line!(out, "\nCautions");
    for caution in cautions {
        line!(out, "  - {} (ask: {})", caution.text, caution.defer_to);
    }
}

pub(crate) fn list(out: &mut String, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    line!(out, "\n{title}");
    for item in items {
        line!(out, "  - {item}");
    }
}

pub(crate) fn range(estimate: &Estimate, decimals: usize) -> String {
    format!("{:.decimals$} ({:.decimals$} to {:.decimals$})", estimate.value, estimate.low, estimate.high)
}

fn local(at: Timestamp, report: &OutlookReport) -> String {
    report
        .request
        .site
        .zone()
        .map_or_else(|_| at.to_string(), |zone| at.to_zoned_datetime(zone).strftime("%H:%M").to_string())
}
