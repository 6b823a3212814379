//! A frame as a dark-adapted person saw it, beside what the camera shows.

mod lattice;
mod light;
mod lines;
mod report;
mod request;
mod words;

use frame::{AuroraPresence, Orientation};
use optics::{
    EyeBackground, EyeDisplay, EyeObserver, EyeStatistics, EyeView, colour_luminance_cd_m2, eye_view,
    line_luminance_per_kr, seen_as, visible_threshold_after,
};
use quantity::{Basis, EmissionLine, Estimate, LineBrightness};

use self::light::{FrameLight, SmallCopy};
pub use self::report::{EyeLineLimit, EyePictures, EyeRegionSeen, EyeShares, TellEyeReport, ToldEye};
pub use self::request::TellEyeRequest;
pub(super) use self::words::shutter;
use crate::check::{Looked, look, preview, unreadable};

/// Sky that is taken where the frame does not tell it, mag arcsec⁻²: a dark site.
const ASSUMED_SKY_MAG: f64 = 21.5;
/// Field factors of trained and hurried observers over that of a typical one (Crumey 2014: 1.4 to 2.4 about 2).
const FIELD_FACTOR_RANGE: [f64; 2] = [0.7, 1.2];
/// Patch whose threshold is told, square degrees: a hand at arm's length.
const HAND_DEG2: f64 = 10.0;
/// How far the onset of colour may be off, a factor: nobody has measured it in rayleighs (judgement).
const COLOUR_FACTOR: f64 = 2.0;

/// Shows a frame as a person saw it: a simulation, with numbers.
///
/// Never fails: a file that cannot be read gives a report that says so; a frame whose light cannot be told gives the camera
/// view and why. Method and limits: `docs/eye-view.md`.
///
/// ```
/// use job::{TellEyeRequest, tell_eye};
///
/// let mut request = TellEyeRequest::default();
/// request.frame.name = "notes.txt".to_owned();
/// let told = tell_eye(&request, b"not a picture");
/// assert!(told.pictures.is_none() && told.report.verdict.contains("notes.txt"));
/// ```
pub fn tell_eye(request: &TellEyeRequest, bytes: &[u8]) -> ToldEye {
    match look(&request.frame, bytes) {
        Ok(looked) => told(request, &looked),
        Err(error) => {
            let summary = unreadable(&request.frame, &error).summary;
            let report = TellEyeReport { why_not: Some(summary.clone()), verdict: summary, ..empty(request) };
            ToldEye { report, pictures: None }
        }
    }
}

fn told(request: &TellEyeRequest, looked: &Looked) -> ToldEye {
    let frame = &looked.frame;
    let longest = usize::try_from(request.longest_px).unwrap_or(usize::MAX).max(1);
    let step = frame.stored_size[0].max(frame.stored_size[1]).div_ceil(longest).max(1);
    let size = frame.stored_size.map(|side| side.div_ceil(step));
    let planes = match preview::planes(frame, step, size) {
        Ok(planes) => planes,
        Err(error) => {
            let summary = unreadable(&request.frame, &error).summary;
            let report = TellEyeReport { why_not: Some(summary.clone()), verdict: summary, ..empty(request) };
            return ToldEye { report, pictures: None };
        }
    };
    let observer = observer(request);
    let copy = SmallCopy { looked, step, size, planes: &planes };
    let seen = copy.light().and_then(|light| {
        let view = eye_view(&light.scene, &observer, &EyeDisplay::default()).map_err(|error| error.to_string())?;
        Ok((light, view))
    });
    let report = report(request, looked, seen.as_ref());
    let [width, height] = frame.orientation.displayed_size(size);
    let turned = |rgb: Vec<u8>| match frame.orientation {
        Orientation::Upright => rgb,
        other => preview::turned(other, size, &rgb),
    };
    let pictures = EyePictures {
        width,
        height,
        eye_rgb: seen.ok().map(|(_, view)| turned(view.rgb)),
        camera_rgb: turned(preview::of_planes(frame, size, planes)),
    };
    ToldEye { report, pictures: Some(pictures) }
}

fn observer(request: &TellEyeRequest) -> EyeObserver {
    EyeObserver { minutes_since_white_light: request.minutes_since_white_light, field_factor: request.field_factor }
}

fn empty(request: &TellEyeRequest) -> TellEyeReport {
    TellEyeReport {
        file: request.frame.name.clone(),
        verdict: String::new(),
        caption: words::caption(request.minutes_since_white_light, request.field_factor),
        why_not: None,
        minutes_since_white_light: request.minutes_since_white_light,
        field_factor: request.field_factor,
        brightest_kr: None,
        median_kr: None,
        ibc: None,
        seen: None,
        seen_between: None,
        sky_mag_arcsec2: None,
        faintest_kr: None,
        colour_from_kr: None,
        line_limits: Vec::new(),
        shares: None,
        regions: Vec::new(),
        basis: Vec::new(),
        notes: Vec::new(),
    }
}

fn report(request: &TellEyeRequest, looked: &Looked, seen: Result<&(FrameLight, EyeView), &String>) -> TellEyeReport {
    let checked = &looked.report;
    let calibration = looked.light.calibration.as_ref();
    let mut report = TellEyeReport {
        sky_mag_arcsec2: checked.sky_mag_arcsec2,
        basis: calibration.map(|calibration| calibration.notes.clone()).unwrap_or_default(),
        ..empty(request)
    };
    let (light, view) = match seen {
        Ok(seen) => seen,
        Err(why) => {
            report.verdict =
                format!("What an eye saw cannot be told from {}: {why}. The camera view alone is shown.", report.file);
            "Camera view; no eye view can be told.".clone_into(&mut report.caption);
            report.why_not = Some(why.clone());
            return report;
        }
    };
    report.notes.clone_from(&light.notes);
    with_thresholds(&mut report, request);
    with_statistics(&mut report, &view.statistics, looked);
    let aurora = checked.aurora.as_ref();
    report.brightest_kr = aurora.and_then(|aurora| aurora.brightest_kr);
    report.median_kr = aurora.and_then(|aurora| aurora.median_kr);
    let Some(kr) = report.brightest_kr else {
        "No aurora is found in the frame: the view shows the sky alone as an eye would see it."
            .clone_into(&mut report.verdict);
        return report;
    };
    if aurora.is_some_and(|aurora| aurora.is_least) {
        report.notes.push("too little sky is free of aurora: its brightness is a least value".to_owned());
    }
    let background = background(&report);
    let shares = looked.light.finding.lines.as_ref().map(|lines| lines.shares);
    let looks = |above_kr: f64| {
        let lines = beside_green(above_kr * light.transmission, shares);
        words::seen(seen_as(&lines, background, &observer(request)))
    };
    let (at_least, likely, at_most) = (looks(kr.low), looks(kr.value), looks(kr.high));
    report.ibc = Some(optics::ibc(kr.value).label().to_owned());
    report.seen = Some(likely);
    report.seen_between = Some([at_least, at_most]);
    let colour = words::colour(&looked.light.finding);
    if let Some(limit) = report.line_limits.iter().find(|limit| limit.colour == colour && colour != "green") {
        report.notes.push(words::of_another_line(limit, report.faintest_kr.as_ref()));
    }
    let verdict = words::verdict(&kr, likely, at_most, colour, checked.settings.exposure_s);
    let is_sure = aurora.is_some_and(|aurora| aurora.present == AuroraPresence::Yes);
    report.verdict = if is_sure { verdict } else { words::if_aurora(&verdict) };
    report
}

/// Light of another line over that of the green one, at most: where there is hardly any green, its share says nothing of how much
/// more of the others there is.
const MOST_OVER_GREEN: f64 = 20.0;

/// The lines of an aurora whose green line is known, by the shares that a camera's colours give each line of the whole; green
/// alone where they are not known.
///
/// * `shares`: 427.8, 557.7 and 630.0 nm.
fn beside_green(green_5577_kr: f64, shares: Option<[f64; 3]>) -> LineBrightness {
    let over_green = |line: usize| {
        let [of_line, green] = shares.map_or([0.0, 1.0], |shares| [shares[line], shares[1]]);
        if of_line <= 0.0 { 0.0 } else { (of_line / green.max(f64::MIN_POSITIVE)).min(MOST_OVER_GREEN) }
    };
    LineBrightness {
        blue_4278_kr: green_5577_kr * over_green(0),
        green_5577_kr,
        red_6300_kr: green_5577_kr * over_green(2),
    }
}

fn background(report: &TellEyeReport) -> EyeBackground {
    EyeBackground::from_sky_magnitude(report.sky_mag_arcsec2.map_or(ASSUMED_SKY_MAG, |mag| mag.value))
}

/// What this person could see at all on this sky.
fn with_thresholds(report: &mut TellEyeReport, request: &TellEyeRequest) {
    if report.sky_mag_arcsec2.is_none() {
        report.notes.push(format!(
            "the sky's own light is not told by the frame: {ASSUMED_SKY_MAG} mag/arcsec2 stands in for the limits"
        ));
    }
    let background = background(report);
    report.line_limits = EmissionLine::ALL.map(|line| line_limit(line, background, request)).to_vec();
    let green = report.line_limits.iter().find(|limit| limit.colour == words::line_colour(EmissionLine::Green5577));
    report.faintest_kr = green.map(|limit| limit.seen_from_kr);
    report.colour_from_kr = green.map(|limit| limit.colour_from_kr);
}

/// Where sight and colour begin for a line by itself.
fn line_limit(line: EmissionLine, background: EyeBackground, request: &TellEyeRequest) -> EyeLineLimit {
    let threshold = |factor: f64| {
        visible_threshold_after(background, HAND_DEG2, factor * request.field_factor, request.minutes_since_white_light)
            .soft_edged()
    };
    let [trained, hurried] = FIELD_FACTOR_RANGE.map(|factor| threshold(factor).of_line_kr(line));
    let typical = threshold(1.0);
    // colour is never seen where nothing is
    let onset = colour_luminance_cd_m2(0.0) / line_luminance_per_kr(line).photopic_cd_m2;
    let onset = onset.max(typical.cones_of_line_kr(line));
    EyeLineLimit {
        colour: words::line_colour(line).to_owned(),
        wavelength_nm: line.wavelength_nm(),
        seen_from_kr: Estimate { value: typical.of_line_kr(line), low: trained, high: hurried, basis: Basis::Model },
        by_rods: typical.rods_of_line_kr(line) < typical.cones_of_line_kr(line),
        colour_from_kr: Estimate {
            value: onset,
            low: onset / COLOUR_FACTOR,
            high: onset * COLOUR_FACTOR,
            basis: Basis::Assumed,
        },
    }
}

fn with_statistics(report: &mut TellEyeReport, seen: &EyeStatistics, looked: &Looked) {
    report.shares = Some(EyeShares {
        aurora: seen.aurora_share,
        vanished: seen.vanished,
        grey: seen.grey,
        hint_of_colour: seen.hint_of_colour,
        plain_colour: seen.plain_colour,
    });
    // the scale's own error is that of the frame's brightest
    let checked = looked.report.aurora.as_ref().and_then(|aurora| aurora.brightest_kr);
    let ends = checked.filter(|kr| kr.value > 0.0).map_or([0.4, 2.5], |kr| [kr.low / kr.value, kr.high / kr.value]);
    let basis = checked.map_or(Basis::Assumed, |kr| kr.basis);
    report.regions = seen
        .regions
        .iter()
        .map(|region| EyeRegionSeen {
            place: words::place(shown_third(looked.frame.orientation, [region.column, region.row])),
            brightest_kr: Estimate {
                value: region.brightest_green_kr,
                low: ends[0] * region.brightest_green_kr,
                high: ends[1] * region.brightest_green_kr,
                basis,
            },
            seen: words::seen(region.seen_as),
        })
        .collect();
}

/// A third of the stored frame as it is shown.
fn shown_third(orientation: Orientation, third: [usize; 2]) -> [usize; 2] {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0, 1 or 2")]
    let index = |place: f64| place.round() as usize;
    orientation.displayed(third.map(|place| place as f64), [3, 3]).map(index)
}
