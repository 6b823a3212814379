//! The report in words: verdict, reasons, text twin.

use quantity::Horizontal;

use super::focus::Sharpness;
use super::foreground::FrameObject;
use super::heavens::FlareRisk;
use super::light::NOTHING_KR;
use super::mirror::{MirrorStretch, MirrorSurface};
use super::report::StandReport;
use crate::framing::FramePlace;
use crate::wording::{bearing, clock, kilorayleighs, lit_words};

/// Stars named in the text twin.
const NAMED_STARS: usize = 6;

/// "340 (north-north-west), 22 degrees up".
fn direction(d: Horizontal) -> String {
    let (azimuth, name) = (d.azimuth_deg.round().rem_euclid(360.0), bearing(d.azimuth_deg));
    let side = if d.altitude_deg < 0.0 { "below the horizon" } else { "up" };
    format!("bearing {azimuth:.0} ({name}), {:.0} degrees {side}", d.altitude_deg.abs())
}

/// "at pixel 3021, 1204" or where it lies outside.
fn pixel(place: &FramePlace) -> String {
    match place.pixel.filter(|_| place.inside) {
        Some([x, y]) => format!("inside at pixel {x:.0}, {y:.0}"),
        None => "outside the picture".to_owned(),
    }
}

pub(super) fn verdict(report: &StandReport) -> String {
    let p = &report.pointing;
    let axis = direction(Horizontal::new(p.altitude_deg, p.azimuth_deg));
    let held = p.orientation.label();
    let Some(light) = &report.light else {
        return format!(
            "Pointing to {axis}, {held}: no Kp is given for this hour, so where the aurora stands cannot be told."
        );
    };
    if light.brightest_mean_kr.green_5577_kr < NOTHING_KR {
        return format!("Pointing to {axis}, {held}: no aurora is predicted above the skyline at this hour.");
    }
    let tenths = light.share_inside.in_ten();
    let brightest = if light.brightest.inside { "is inside" } else { "is outside" };
    let whole = match light.crest_inside.value() {
        _ if light.crest.is_empty() => String::new(),
        share if share > 0.999 => " The whole arc is in the frame.".to_owned(),
        _ => format!(" {} in 10 of the arc's length fits.", light.crest_inside.in_ten()),
    };
    format!(
        "Pointing to {axis}, {held}: {tenths} in 10 of the predicted light is in the frame, and its brightest part {brightest}.{whole}"
    )
}

pub(super) fn reasons(report: &StandReport) -> Vec<String> {
    let mut reasons = Vec::new();
    reasons.extend(light(report));
    reasons.push(zenith(report));
    reasons.push(moon(report));
    reasons.extend(report.foreground.iter().map(object));
    reasons.extend(report.mirror.iter().map(water));
    if report.focus.star_blur_px > 1.0 {
        reasons.push(format!(
            "Stars are blurred by {:.1} pixels at this focus: focus on a star.",
            report.focus.star_blur_px
        ));
    }
    reasons.push(report.dew.text.clone());
    reasons
}

fn light(report: &StandReport) -> Option<String> {
    let light = report.light.as_ref().filter(|light| light.brightest_mean_kr.green_5577_kr >= NOTHING_KR)?;
    let arc = light.brightest_arc_kr;
    let cloud = match light.clear_sightline {
        Some(chance) => format!("chance of a clear line of sight there {}", crate::wording::chance_words(chance)),
        None => "cloud not known".to_owned(),
    };
    Some(format!(
        "Brightest part: {}, {}; an arc there of {} is to be expected ({} to {}); {cloud}.",
        direction(light.brightest.direction),
        pixel(&light.brightest),
        kilorayleighs(arc.value),
        kilorayleighs(arc.low),
        kilorayleighs(arc.high),
    ))
}

fn zenith(report: &StandReport) -> String {
    let zenith = &report.magnetic_zenith;
    let corona = if zenith.corona_likely { "; the oval lies overhead, so a corona may stand there" } else { "" };
    format!("Magnetic zenith: {}, {}{corona}.", direction(zenith.place.direction), pixel(&zenith.place))
}

fn moon(report: &StandReport) -> String {
    let moon = &report.moon;
    if !moon.up {
        return "Moon: down or behind the skyline.".to_owned();
    }
    let effect = match moon.flare {
        FlareRisk::None => "no flare to fear",
        FlareRisk::Possible => "it may flare: use a hood",
        FlareRisk::Likely => "it will flare from just outside: shade the lens by hand",
        FlareRisk::InFrame => "it burns out and flares across the picture",
    };
    format!(
        "Moon: {}, {}, {}; {effect}.",
        direction(moon.place.direction),
        lit_words(moon.lit_fraction),
        pixel(&moon.place)
    )
}

fn object(object: &FrameObject) -> String {
    let size = match (object.inside, object.height_px) {
        (true, Some(px)) => format!("{:.1} degrees above the horizon, {px:.0} pixels tall", object.top_deg),
        (true, None) => format!("{:.1} degrees above the horizon, only partly in the lens's image", object.top_deg),
        (false, _) => "outside the picture".to_owned(),
    };
    let sharp = match object.sharpness {
        Sharpness::Sharp => "sharp".to_owned(),
        Sharpness::SharpInPrint => format!("sharp in print (blur {:.1} pixels)", object.blur_px),
        Sharpness::Soft => format!("soft (blur {:.0} pixels)", object.blur_px),
    };
    format!(
        "{}: bearing {:.0}, {}; {size}; {sharp}.",
        capital(&object.name),
        object.bearing_deg,
        metres(object.distance_m)
    )
}

fn water(stretch: &MirrorStretch) -> String {
    let wind = stretch.wind_m_s.map_or_else(String::new, |wind| format!(" at {wind:.1} m/s"));
    let lee = if stretch.sheltered { " in the lee" } else { "" };
    let surface = match stretch.surface {
        MirrorSurface::Mirror => format!("a mirror{wind}{lee}"),
        MirrorSurface::SoftPillars => format!("soft pillars{wind}{lee}"),
        MirrorSurface::GlowOnly => format!("a glow without shape{wind}{lee}"),
        MirrorSurface::None => format!("too rough to mirror{wind}{lee}"),
        MirrorSurface::CannotTell => "whether it mirrors cannot be told without the wind".to_owned(),
    };
    let what = match (stretch.inside, stretch.sky_from_deg, stretch.sky_to_deg, &stretch.brightest) {
        (true, Some(from), Some(to), Some(light)) => format!(
            "; it gives back the sky from {from:.0} to {to:.0} degrees, at its brightest {} at {:.0} degrees up, {:.1} stops down",
            kilorayleighs(light.mirrored_kr),
            light.sky.altitude_deg,
            light.loss_stops
        ),
        (true, Some(from), Some(to), None) => format!("; it gives back the sky from {from:.0} to {to:.0} degrees"),
        _ => "; outside the picture".to_owned(),
    };
    format!("Water from bearing {:.0} to {:.0}: {surface}{what}.", stretch.from_deg, stretch.to_deg)
}

pub(super) fn text(report: &StandReport) -> String {
    let request = &report.request;
    let at = request.site.zone().map_or_else(|_| request.at.to_string(), |zone| clock(request.at, &zone));
    let field = &report.field;
    let mut sentences = vec![
        format!(
            "Through {} at {at}: {:.0} by {:.0} degrees.",
            request.kit.lens.name, field.horizontal_deg, field.vertical_deg
        ),
        report.verdict.clone(),
    ];
    sentences.extend(light(report));
    sentences.push(zenith(report));
    sentences.push(moon(report));
    let bodies: Vec<&str> =
        report.planets.iter().chain(report.stars.iter().take(NAMED_STARS)).map(|body| body.name.as_str()).collect();
    if !bodies.is_empty() {
        sentences.push(format!("In the picture: {}.", bodies.join(", ")));
    }
    sentences.extend(report.foreground.iter().filter(|object| object.inside).map(object));
    sentences.extend(report.mirror.iter().filter(|stretch| stretch.inside).map(water));
    sentences.join(" ")
}

fn metres(distance_m: f64) -> String {
    match distance_m {
        d if d < 10.0 => format!("{d:.1} m away"),
        d if d < 1000.0 => format!("{d:.0} m away"),
        d => format!("{:.1} km away", d / 1000.0),
    }
}

fn capital(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
