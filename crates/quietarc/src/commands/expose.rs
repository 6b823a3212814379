//! `quietarc expose`

use draw::{CardsStyle, Palette, expose_cards};
use job::{
    AskedBrightness, AskedSky, AuroraMotion, ColourShares, ExposeRequest, FramePointing, IbcClass, Orientation,
    SeenAurora, ShootingPurpose, SkymapRequest,
};

use super::given::{self, Inputs};
use super::{now, open_journal, request_from, save_picture};
use crate::cli::{ExposeArgs, IbcChoice, MotionChoice, SeenChoice};
use crate::failure::{Failure, Outcome};
use crate::{output, present_expose};

/// Spacing of the map in which the brightest direction is looked for, degrees.
const GRID_STEP_DEG: f64 = 3.0;

pub(super) fn run(arguments: &ExposeArgs) -> Result<Outcome, Failure> {
    let report = job::expose(request(arguments)?)?;
    for path in [&arguments.svg, &arguments.png].into_iter().flatten() {
        save_picture(path, &expose_cards(&report, &CardsStyle { width_px: 900.0, palette: Palette::Day }))?;
    }
    if arguments.json {
        output::json(&report)?;
    } else {
        output::answer(&present_expose::expose(&report))?;
    }
    Ok(Outcome::Done)
}

fn request(arguments: &ExposeArgs) -> Result<ExposeRequest, Failure> {
    if let Some(path) = &arguments.request {
        return request_from(path);
    }
    let usual = ColourShares::default();
    let orientation = if arguments.portrait { Orientation::Portrait } else { Orientation::Landscape };
    Ok(ExposeRequest {
        brightness: brightness(arguments)?,
        colours: ColourShares {
            red_6300: arguments.red.unwrap_or(usual.red_6300),
            blue_4278: arguments.blue.unwrap_or(usual.blue_4278),
        },
        kit: given::kit(arguments.kit.as_deref(), &arguments.journal)?,
        sky: sky(arguments)?,
        pointing: arguments.alt.zip(arguments.az).map(|(altitude_deg, azimuth_deg)| FramePointing {
            orientation,
            ..FramePointing::level(azimuth_deg, altitude_deg)
        }),
        least_declination_deg: arguments.declination,
        motion: arguments.motion.map(motion),
        purpose: arguments.hours.map_or(ShootingPurpose::Still, |hours| ShootingPurpose::TimeLapse {
            hours,
            fps: arguments.fps,
            gap_s: arguments.gap_s,
        }),
        temperature_c: arguments.temperature,
        adaptation_minutes: arguments.dark_minutes,
    })
}

fn brightness(arguments: &ExposeArgs) -> Result<AskedBrightness, Failure> {
    if arguments.predicted {
        return predicted(arguments);
    }
    match (arguments.kr, arguments.ibc, arguments.see) {
        (Some(green_5577_kr), _, _) => Ok(AskedBrightness::Given { green_5577_kr, low_kr: None, high_kr: None }),
        (None, Some(class), _) => Ok(AskedBrightness::Ibc { class: class_of(class) }),
        (None, None, Some(what)) => Ok(AskedBrightness::Seen { what: seen(what) }),
        (None, None, None) => Err(Failure::new("no brightness is given", "give --kr, --ibc, --see or --predicted")),
    }
}

/// The brightest arc predicted for the place and the instant, as a brightness with its range.
fn predicted(arguments: &ExposeArgs) -> Result<AskedBrightness, Failure> {
    let asked_at = now();
    let at = arguments.at.unwrap_or(asked_at);
    let site = super::site::site(&arguments.site, || open_journal(&arguments.journal))?;
    let found = Inputs::new(&arguments.inputs, &arguments.journal, asked_at)?.activity_about(at)?;
    found.notes.iter().for_each(|note| output::note(note));
    let Some(interval) = found.activity.at(at) else {
        return Err(Failure::new(
            format!("no activity is known for {at}, so nothing is predicted"),
            "give --kp, or pull the feeds: quietarc feeds pull",
        ));
    };
    output::note(&format!("Predicted from Kp {:.2}: {}.", interval.kp, found.activity.source));
    let sky = job::skymap(SkymapRequest { site, at, kp: interval.kp, f107: found.f107, step_deg: GRID_STEP_DEG })?;
    let arc = sky.brightest_arc_kr;
    Ok(AskedBrightness::Given { green_5577_kr: arc.value, low_kr: Some(arc.low), high_kr: Some(arc.high) })
}

/// With a place the sky is worked out; a magnitude alone is the sky in the frame.
fn sky(arguments: &ExposeArgs) -> Result<AskedSky, Failure> {
    let site = &arguments.site;
    let has_place = site.site.is_some() || site.place.lat.is_some() || site.place.lon.is_some();
    match site.sky_mag {
        _ if has_place => Ok(AskedSky::AtSite {
            site: Box::new(super::site::site(site, || open_journal(&arguments.journal))?),
            at: arguments.at.unwrap_or_else(now),
        }),
        Some(mag_arcsec2) => Ok(AskedSky::Given { mag_arcsec2 }),
        None => Ok(AskedSky::Unknown),
    }
}

fn class_of(choice: IbcChoice) -> IbcClass {
    match choice {
        IbcChoice::One => IbcClass::One,
        IbcChoice::Two => IbcClass::Two,
        IbcChoice::Three => IbcClass::Three,
        IbcChoice::Four => IbcClass::Four,
    }
}

fn seen(choice: SeenChoice) -> SeenAurora {
    match choice {
        SeenChoice::Nothing => SeenAurora::Nothing,
        SeenChoice::Grey => SeenAurora::Grey,
        SeenChoice::Hint => SeenAurora::HintOfColour,
        SeenChoice::Colour => SeenAurora::PlainColour,
        SeenChoice::Shadows => SeenAurora::CastsShadows,
    }
}

fn motion(choice: MotionChoice) -> AuroraMotion {
    match choice {
        MotionChoice::Quiet => AuroraMotion::QuietArc,
        MotionChoice::Folds => AuroraMotion::Folds,
        MotionChoice::Rays => AuroraMotion::Rays,
        MotionChoice::Breakup => AuroraMotion::Breakup,
        MotionChoice::Pulsating => AuroraMotion::Pulsating,
    }
}
