//! What a picture shows: by its light, by the sun where place and time are known, by its stars.

use frame::{AuroraPresence, BodyHints, BrightBody, BrightLights, Frame, LightMap, PictureNature, Plane, SkyMask};

use super::aurora::CheckedAurora;
use super::facts::Bodies;
use super::report::{CheckedScene, CheckedSky, CheckedStars};

/// Brightest night, cd/m2: the sky about a full moon and over a town is 0.02, an aurora of IBC IV 0.2 where it fills the
/// frame.
const NIGHT_UP_TO_CD_M2: f64 = 0.1;
/// Dimmest day, cd/m2: the sky at sunset gives 400 lx on the ground, 130 cd/m2 (from memory).
const DAY_FROM_CD_M2: f64 = 130.0;
/// Sun below which it is night to a camera, degrees: at -12 the zenith is 19.7 mag/arcsec2 (Patat 2006), as under a moon.
const NIGHT_SUN_DEG: f64 = -12.0;
/// Sun above which it is day: its upper limb on the horizon.
const DAY_SUN_DEG: f64 = -0.833;
/// Stars from which a picture without another word is one of the night sky: a handful is soon imitated.
const SURE_STARS: u32 = 20;
/// Half-flux diameter over FWHM of what a lens makes of a star: 0.9 for discs and rings, 1 for a Gaussian, 1.2 for a
/// Moffat star of exponent 2.5 (whose moments read 15 % wide), a third more with dew. Leaves and letters have no core.
const PROFILE: [f64; 2] = [0.82, 1.6];
/// Luminance up to which a camera shows stars, cd/m2: the zenith with the sun at -5 degrees (Patat 2006: 0.5 at -6).
const STARS_UP_TO_CD_M2: f64 = 1.0;
/// Probability of an aurora from which it tells a night by itself: settings or their absence must not speak against it.
const SURE_AURORA: f64 = 0.95;
/// Brightest thousandth of the cells in a picture of nothing, share of full scale: nine stops under white.
const DARK_LEVEL: f64 = 0.002;
/// Brightest over darkest tenth of a picture's cells, less black, up to which its light is even: a sky has falloff, horizon, cloud.
const EVEN_LIGHT: f64 = 1.15;
/// Luminance from which a night with the moon up is lit by it, cd/m2: three times the sky without it (2e-4: 21.8
/// mag/arcsec2). A full moon at 60 degrees gives 3e-3 (Krisciunas & Schaefer 1991).
const MOONLIT_FROM_CD_M2: f64 = 6e-4;
/// Confidence from which a disc makes a moonlit scene.
const SURE_MOON: f64 = 0.7;

/// Whether stars can be what was found.
pub(super) fn may_show_stars(scene: CheckedScene, sky: Option<&CheckedSky>) -> bool {
    let luminance = sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value);
    match scene {
        CheckedScene::NightSky | CheckedScene::Moonlit => true,
        CheckedScene::Twilight => luminance.is_none_or(|luminance| luminance < STARS_UP_TO_CD_M2),
        CheckedScene::CannotTell
        | CheckedScene::Day
        | CheckedScene::Dark
        | CheckedScene::NotAPhotograph
        | CheckedScene::Unreadable => false,
    }
}

/// Whether stars may be in a picture of which nothing says that it shows the night, nor that it does not.
pub(super) fn may_hide_stars(scene: CheckedScene, sky: Option<&CheckedSky>) -> bool {
    let luminance = sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value);
    scene == CheckedScene::CannotTell && luminance.is_none_or(|luminance| luminance < STARS_UP_TO_CD_M2)
}

/// The scene with its reason.
pub(super) struct Judged {
    pub(super) shows: CheckedScene,
    pub(super) why: String,
    /// What place and time say against the picture.
    pub(super) doubt: Option<String>,
}

fn said(shows: CheckedScene, why: impl Into<String>) -> Judged {
    Judged { shows, why: why.into(), doubt: None }
}

/// What is known for the decision.
pub(super) struct Seen<'a> {
    pub(super) frame: &'a Frame,
    pub(super) cells: &'a LightMap,
    pub(super) stars: &'a CheckedStars,
    pub(super) sky: Option<&'a CheckedSky>,
    pub(super) bodies: Option<Bodies>,
    pub(super) plane: &'a Plane,
    pub(super) lights: &'a BrightLights,
    /// Sky and ground, as far as they can be told without the lens.
    pub(super) mask: &'a SkyMask,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Light {
    Night,
    Twilight,
    Day,
}

pub(super) fn scene(seen: &Seen<'_>) -> Judged {
    if let Some(why) = PictureNature::of(seen.plane).not_a_photograph(seen.frame) {
        return said(CheckedScene::NotAPhotograph, why);
    }
    if is_dark(seen) {
        return said(CheckedScene::Dark, "nowhere more than two thousandths of full scale, and no stars");
    }
    let (judged, is_night) = by_light_and_sun(seen);
    if is_night { by_the_moon(judged, seen) } else { judged }
}

/// The scene once the sky was measured: catalogue stars, and light that only an aurora makes, tell a night where the level
/// did not.
pub(super) fn with_the_sky(
    judged: Judged,
    matched: Option<u32>,
    aurora: &CheckedAurora,
    sky: Option<&CheckedSky>,
) -> Judged {
    if !matches!(judged.shows, CheckedScene::CannotTell | CheckedScene::Dark) {
        return judged;
    }
    let night = |why: String| Judged { shows: CheckedScene::NightSky, why, doubt: judged.doubt.clone() };
    if let Some(matched) = matched {
        return night(format!("{matched} stars of the catalogue"));
    }
    let luminance = sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value);
    let is_dark = luminance.is_none_or(|luminance| luminance < NIGHT_UP_TO_CD_M2);
    if aurora.present == AuroraPresence::Yes && aurora.probability >= SURE_AURORA && is_dark {
        return night("aurora in the frame, and no stars that can be told".to_owned());
    }
    judged
}

/// A night that the moon lights: its disc is in the frame, or it is up and the sky is as bright as that makes it.
fn by_the_moon(judged: Judged, seen: &Seen<'_>) -> Judged {
    let moonlit = |why: String, doubt| Judged { shows: CheckedScene::Moonlit, why, doubt };
    if judged.shows == CheckedScene::NightSky && seen.bodies.is_some_and(|bodies| bodies.moonlit) {
        let luminance = seen.sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value);
        if luminance.is_none_or(|luminance| luminance >= MOONLIT_FROM_CD_M2) {
            return moonlit(format!("{}, the moon up", judged.why), judged.doubt);
        }
        return judged;
    }
    // with the moon down a disc is a lamp
    if seen.bodies.is_some_and(|bodies| !bodies.moonlit) {
        return judged;
    }
    let hints = BodyHints { is_night: Some(true), ..BodyHints::default() };
    match BrightBody::find(seen.lights, seen.frame.ceiling, seen.mask, &hints) {
        Some(moon) if moon.confidence >= SURE_MOON => {
            let [x, y] = moon.position_px;
            let seen_at = format!("night, and the moon at pixel ({x:.0}, {y:.0})");
            moonlit(seen_at, judged.doubt)
        }
        _ => judged,
    }
}

/// By settings, hour and stars, with whether it is night by one of them and day by none.
fn by_light_and_sun(seen: &Seen<'_>) -> (Judged, bool) {
    let luminance = seen.sky.and_then(|sky| sky.luminance_cd_m2).map(|luminance| luminance.value);
    let by_light = luminance.map(|luminance| match luminance {
        dark if dark < NIGHT_UP_TO_CD_M2 => Light::Night,
        bright if bright > DAY_FROM_CD_M2 => Light::Day,
        _ => Light::Twilight,
    });
    let by_sun = seen.bodies.map(|bodies| match bodies.sun.altitude_deg {
        high if high > DAY_SUN_DEG => Light::Day,
        low if low < NIGHT_SUN_DEG => Light::Night,
        _ => Light::Twilight,
    });
    let sun = seen.bodies.map_or(0.0, |bodies| bodies.sun.altitude_deg);
    let brightness = luminance.map_or_else(String::new, |luminance| format!("about {} cd/m2", figures(luminance)));
    let is_night = [by_light, by_sun].iter().flatten().all(|light| *light == Light::Night)
        && (by_light.is_some() || by_sun.is_some() || are_sure(seen));
    let judged = match (by_light, by_sun) {
        (Some(light), Some(by_sun)) if light > by_sun => said(
            CheckedScene::CannotTell,
            format!(
                "{brightness} is brighter than the sky can be with the sun at {sun:.0} degrees: lamps, or a wrong clock"
            ),
        ),
        (Some(light), Some(by_sun)) => {
            // the middle class is wide: a dim picture of a bright hour is only doubted two classes apart
            let contradicts = light == Light::Night && by_sun == Light::Day;
            let doubt = contradicts.then(|| {
                format!("place and time put the sun at {sun:.0} degrees, but the picture is as dark as a night: is the clock right?")
            });
            let light = if contradicts { light } else { by_sun };
            Judged { doubt, ..named(light, seen, &format!("{brightness}, sun at {sun:.0} degrees")) }
        }
        (Some(light), None) => named(light, seen, &format!("{brightness} by its settings")),
        (None, Some(by_sun)) => named(by_sun, seen, &format!("the sun at {sun:.0} degrees")),
        (None, None) if are_sure(seen) => {
            said(CheckedScene::NightSky, format!("{} stars alike in shape", seen.stars.count))
        }
        (None, None) => said(
            CheckedScene::CannotTell,
            "the file names neither settings nor place and time, and there are too few stars to say",
        ),
    };
    (judged, is_night)
}

fn named(light: Light, seen: &Seen<'_>, why: &str) -> Judged {
    let stars = seen.stars;
    match light {
        Light::Day => said(CheckedScene::Day, why),
        Light::Twilight => said(CheckedScene::Twilight, why),
        Light::Night if stars.alike => said(CheckedScene::NightSky, format!("{why}, {} stars", stars.count)),
        Light::Night if is_even(seen.cells) => said(
            CheckedScene::CannotTell,
            format!("{why}: an even glow without a star: a closed dome, a cap that leaks, fog, or a fogged lens"),
        ),
        Light::Night => said(
            CheckedScene::CannotTell,
            format!(
                "{why}: as dark as a night, but no stars can be told: cloud, far out of focus, or no sky in the frame"
            ),
        ),
    }
}

/// Whether stars alone make a night of a picture: enough of them, with the profile of a lens, on a sky below mid-grey.
fn are_sure(seen: &Seen<'_>) -> bool {
    let stars = seen.stars;
    let bright = seen.sky.is_some_and(|sky| sky.mid_grey_stops.value > 0.0);
    stars.alike && stars.count >= SURE_STARS && !bright && has_a_lens_profile(stars)
}

/// Whether the light within a circle and the width of the core fit together as those of a lens do.
fn has_a_lens_profile(stars: &CheckedStars) -> bool {
    let (Some(hfd_px), Some(fwhm_px), Some(elongation)) = (stars.hfd_px, stars.fwhm_px, stars.elongation) else {
        return false;
    };
    // a circle holds a trail less well the longer it is; the width is that of a round star of the same area
    let most = PROFILE[1] / (1.0 - elongation).max(0.05).sqrt();
    (PROFILE[0]..=most).contains(&(hfd_px / fwhm_px))
}

/// Whether all of a picture has the same light.
fn is_even(cells: &LightMap) -> bool {
    let all = vec![true; cells.columns * cells.rows];
    let Some(channel) = cells.green() else { return false };
    let [dark, bright] = [0.1, 0.9].map(|place| channel.quantile(&all, place));
    dark.zip(bright).is_some_and(|(dark, bright)| dark > 0.0 && bright <= EVEN_LIGHT * dark)
}

fn is_dark(seen: &Seen<'_>) -> bool {
    let all = vec![true; seen.cells.columns * seen.cells.rows];
    let known = seen.frame.unit == frame::SampleUnit::FullScale;
    known
        && !seen.stars.alike
        && seen
            .cells
            .channels
            .iter()
            .all(|channel| channel.full == 0 && channel.quantile(&all, 0.999).is_some_and(|level| level < DARK_LEVEL))
}

/// Two figures, without an exponent.
fn figures(value: f64) -> String {
    match value {
        v if v < 0.001 => format!("{v:.5}"),
        v if v < 0.1 => format!("{v:.3}"),
        v if v < 10.0 => format!("{v:.1}"),
        v => format!("{v:.0}"),
    }
}
