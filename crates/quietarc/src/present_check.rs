//! A checked frame as text: what to change first, then the numbers.

use std::fmt::Write;

use job::{
    AuroraLines, AuroraPresence, BodyInFrame, ChannelClipping, CheckReport, CheckedAurora, CheckedBody, CheckedChannel,
    CheckedLens, CheckedScene, CheckedSettings, CheckedTime, CloudMethod, FocusRun, FocusRunFrame, TimeSource, Urgency,
};
use quantity::Estimate;

use crate::present::{list, range};

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

/// * `named`: whether the file's name stands above.
pub(crate) fn check(report: &CheckReport, named: bool) -> String {
    let mut out = String::new();
    if named {
        line!(out, "== {}", report.file);
    }
    for advice in &report.advice {
        let mark = match advice.urgency {
            Urgency::Now => "!",
            Urgency::Soon => "-",
            Urgency::Note => " ",
            Urgency::Good => "+",
        };
        line!(out, "{mark} {}", advice.text);
    }
    if let Some(next) = &report.next {
        line!(out, "\nNext: {}", next.dial);
        line!(out, "  {}", next.why);
    }
    if report.scene != CheckedScene::Unreadable {
        numbers(&mut out, report);
    }
    list(&mut out, "Not believed", &report.doubts);
    list(&mut out, "Notes", &report.notes);
    list(&mut out, "Not in this report", &report.not_measured);
    if named {
        line!(out, "");
    }
    out
}

/// Where the stars of a focus series are narrowest, with the width in each frame.
pub(crate) fn focus_series(run: &FocusRun) -> String {
    let mut out = format!("== Focus series\n{}\n", run.words);
    for FocusRunFrame { file, ring, hfd_px } in &run.frames {
        let width = hfd_px.map_or_else(|| "no stars to measure".to_owned(), |width| format!("{} px", range(&width, 2)));
        line!(out, "  {ring:>8.2}  {width:<26}  {file}");
    }
    out
}

fn numbers(out: &mut String, report: &CheckReport) {
    line!(out, "\nMeasured");
    line!(out, "  scene     {} ({})", scene(report.scene), report.scene_why);
    if let Some([width, height]) = report.size_px {
        line!(out, "  picture   {} of {width} x {height} px", report.kind.as_deref().unwrap_or("file"));
    }
    if let Some(taken) = &report.taken {
        line!(out, "  taken     {}", time(taken));
    }
    let settings = settings(&report.settings);
    if !settings.is_empty() {
        line!(out, "  settings  {settings}");
    }
    let stars = &report.stars;
    let of_catalogue = stars.matched.map_or_else(String::new, |matched| format!(", {matched} in the catalogue"));
    match (stars.hfd_px, stars.fwhm_px, stars.elongation) {
        (Some(hfd), Some(fwhm), Some(elongation)) => {
            line!(
                out,
                "  stars     {}{of_catalogue}: HFD {hfd:.2} px, FWHM {fwhm:.2} px, 1 - b/a {elongation:.2}",
                stars.count
            );
        }
        _ => {
            line!(
                out,
                "  stars     {} patches{of_catalogue}, too few or too unlike each other to be measured",
                stars.count
            );
        }
    }
    for words in report.focus.iter().flat_map(|focus| &focus.words) {
        line!(out, "  focus     {words}");
    }
    for words in report.motion.iter().flat_map(|motion| &motion.words) {
        line!(out, "  movement  {words}");
    }
    if let Some(lens) = report.lens.as_ref().filter(|lens| lens.asked) {
        line!(out, "  lens      {}", lens_words(lens));
    }
    if let Some(sky) = &report.sky {
        line!(
            out,
            "  sky       {:.1} % of full scale, {} stops from mid-grey",
            100.0 * sky.level,
            range(&sky.mid_grey_stops, 1)
        );
        if let Some(electrons) = &sky.electrons {
            line!(
                out,
                "            {} electrons a photosite; their noise {} times the read noise (estimates by the kit)",
                range(&electrons.in_green, 0),
                range(&electrons.noise_over_read, 1)
            );
        }
        if let Some(luminance) = &sky.luminance_cd_m2 {
            line!(out, "            {} cd/m2 by its settings", range(luminance, 4));
        }
    }
    if let Some(magnitude) = &report.sky_mag_arcsec2 {
        line!(out, "            {} mag/arcsec2", range(magnitude, 1));
    }
    if let Some(cloud) = &report.cloud_fraction {
        let by = match report.cloud_method {
            Some(CloudMethod::CatalogueStars) => ", by the catalogue's stars",
            Some(CloudMethod::StarDensity) => ", by where stars are missing",
            Some(CloudMethod::Colour) => ", by its colour",
            None => "",
        };
        line!(out, "  cloud     {} % of the sky{by}", range(&cloud.scaled(100.0), 0));
    }
    if let Some(ground) = &report.foreground_fraction {
        line!(out, "  ground    {} % of the frame", range(&ground.scaled(100.0), 0));
    }
    if let Some(CheckedBody { body, position_px: [x, y], confidence }) = &report.body {
        let what = match body {
            BodyInFrame::Moon => "the moon",
            BodyInFrame::Sun => "the sun",
            BodyInFrame::SunOrMoon => "sun or moon",
        };
        line!(out, "  disc      {what} at pixel ({x:.0}, {y:.0}), confidence {confidence:.2}");
    }
    if let Some(found) = &report.aurora {
        aurora(out, found);
    }
    for channel in &report.clipping {
        line!(out, "  {}", clipping(channel));
    }
    if let Some(moonlit) = report.moonlit {
        line!(out, "  moon      {}", if moonlit { "up and bright" } else { "down or thin" });
    }
}

fn aurora(out: &mut String, aurora: &CheckedAurora) {
    let present = match aurora.present {
        AuroraPresence::Yes => "yes",
        AuroraPresence::No => "none",
        AuroraPresence::CannotTell => "cannot tell",
    };
    line!(out, "  aurora    {present} (probability {:.2})", aurora.probability);
    if let Some(brightest) = &aurora.brightest_kr {
        let middle = aurora.median_kr.map_or_else(String::new, |median| format!(", middling {}", range(&median, 1)));
        let least = if aurora.is_least { "at least " } else { "" };
        line!(out, "            brightest {least}{} kR{middle}", range(brightest, 1));
    }
    if let Some(extent) = &aurora.extent {
        line!(out, "            over {} % of the sky", range(&extent.scaled(100.0), 0));
    }
    if let Some(form) = &aurora.form {
        line!(out, "            looks like {form}");
    }
    if let Some(AuroraLines { blue_4278, green_5577, red_6300 }) = &aurora.lines {
        let share = |line: &Estimate| range(&line.scaled(100.0), 0);
        line!(
            out,
            "            green 557.7 nm {} %, red 630.0 nm {} %, blue 427.8 nm {} % of its rayleighs (estimates)",
            share(green_5577),
            share(red_6300),
            share(blue_4278)
        );
    }
    for words in &aurora.words {
        line!(out, "            {words}");
    }
}

fn scene(scene: CheckedScene) -> &'static str {
    match scene {
        CheckedScene::NightSky => "night sky",
        CheckedScene::Twilight => "twilight",
        CheckedScene::Moonlit => "moonlit night",
        CheckedScene::Day => "day",
        CheckedScene::Dark => "dark",
        CheckedScene::NotAPhotograph => "not a photograph",
        CheckedScene::Unreadable => "unreadable",
        CheckedScene::CannotTell => "cannot tell",
    }
}

fn time(taken: &CheckedTime) -> String {
    let local = taken.local.as_deref().unwrap_or_default();
    match (taken.source, taken.utc) {
        (TimeSource::Given, Some(utc)) => format!("{utc} as given"),
        (TimeSource::FileName, Some(utc)) => format!("{utc} by the file's name"),
        (TimeSource::Camera, Some(utc)) => format!("{local} by the camera, {utc}"),
        (TimeSource::CameraAndSatellites, Some(utc)) => format!("{local} by the camera, {utc} with satellite time"),
        (TimeSource::StillToCome, _) => format!("not known: {local} is still to come"),
        (_, None) | (TimeSource::CameraWithoutZone, _) => format!("{local} by the camera, which names no time zone"),
    }
}

fn settings(settings: &CheckedSettings) -> String {
    let seconds = settings.exposure_s.map(|seconds| match seconds {
        short if short < 0.28 => format!("1/{:.0} s", 1.0 / short),
        long => format!("{long} s"),
    });
    let parts = [
        seconds,
        settings.f_number.map(|f_number| format!("f/{f_number}")),
        settings.iso.map(|iso| format!("ISO {iso:.0}")),
        settings.focal_mm.map(|focal_mm| format!("{focal_mm} mm")),
        settings.camera.clone(),
        settings.lens.clone(),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn clipping(channel: &ChannelClipping) -> String {
    let name = match channel.channel {
        CheckedChannel::Red => "red",
        CheckedChannel::Green => "green",
        CheckedChannel::Blue => "blue",
        CheckedChannel::Grey => "grey",
    };
    format!(
        "{name:<9} full: {:.2} % in the sky, {:.3} % in lights; {} stops to spare",
        100.0 * channel.sky_share,
        100.0 * channel.lights_share,
        range(&channel.spare_stops, 1)
    )
}

fn lens_words(lens: &CheckedLens) -> String {
    let (Some(ra), Some(dec), Some([across, down]), Some(matched), Some(residual)) =
        (lens.ra_deg, lens.dec_deg, lens.field_deg, lens.matched, lens.residual_px)
    else {
        return format!("not found: {}", lens.why_not.as_deref().unwrap_or_default());
    };
    let ground = match (lens.alt_deg, lens.az_deg) {
        (Some(altitude), Some(azimuth)) => format!("; the middle {altitude:.1} deg up, bearing {azimuth:.1}"),
        _ if lens.contradicts_time => {
            "; the place and time named cannot be: these stars were below the horizon".to_owned()
        }
        _ => String::new(),
    };
    let mirrored = if lens.mirrored == Some(true) { ", mirrored" } else { "" };
    format!(
        "{across:.1} x {down:.1} deg{mirrored}, middle at right ascension {ra:.2}, declination {dec:+.2}; {matched} stars within {residual:.2} px{ground}"
    )
}
