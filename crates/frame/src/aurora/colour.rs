//! Pictures in colour: line light against natural light.

use super::context::{AuroraContext, StarsSeen};
use super::finding::{AuroraClue, AuroraRival};
use super::grid::{quantile, ramp};
use super::hue::{Hue, HueLight};
use super::judgement::Judgement;
use super::line_light::LineLight;
use super::rivals::Rivals;
use super::tint::Tints;

/// Log odds of green light beyond doubt: no natural sky has it, painted and lit things still may.
const GREEN_WORTH: f64 = 6.0;
/// Of red light: dusk, lamps and processing make it too.
const RED_WORTH: f64 = 4.5;
/// Of violet light.
const VIOLET_WORTH: f64 = 2.0;
/// Log odds of colours that are natural everywhere, in a picture that would show one tenth of another.
const NATURAL_WORTH: f64 = -3.3;
/// Line light worth so much is not doubted for natural colours beside it.
const LINE_ENOUGH: f64 = 1.5;
/// All hues together are worth no more: they share their mistakes.
const MOST_COLOUR: f64 = 6.0;
/// Interquartile range of the grain in steps of 8 bits, none of it to all of it: pictures of day and drawn ones have 1.3 to
/// 1.6 steps, of night 2.2 and more (measured); much reduced ones of night may have less.
const GRAIN_STEPS: [f64; 2] = [1.5, 2.3];
/// Share of the picture that fades into black: the darkest sky is some hundredths of an aurora that is well exposed, and
/// never black over a wide area.
const FADED: [f64; 2] = [0.04, 0.15];
/// Cells of sky under which a picture says nothing, and from which it says all: 30 by 30.
const CELLS: [f64; 2] = [60.0, 900.0];
/// Edge under which light fades as airglow and twilight do.
const SMOOTH_EDGE: f64 = 0.28;
/// Tint that airglow reaches, developed and as counted: 0.8 kR at 15 degrees (250 R at the zenith, van Rhijn 3.3) over a
/// sky of 1.4 kR in a green pixel, ln 1.6, of which development leaves two thirds.
const AIRGLOW_TINT: [f64; 2] = [0.30, 0.45];
/// Share of the sky at full scale over which its colours are not all known.
const CUT_OFF_SHARE: [f64; 2] = [0.02, 0.12];
/// Level of line light over the median of the sky: aurora adds to its sky, grass and water do not; moonlit cloud or a town
/// may still be brighter.
const DIM: [f64; 2] = [0.45, 0.9];
/// Logarithm of the brightest over the sky around from which there are forms: a glow without edges makes 3 % (drawn).
const FORMS: [f64; 2] = [0.05, 0.15];
/// Difference of tint or warmth from which a picture has colours: a quarter of a developed night sky's own (judgement).
const COLOURFUL: [f64; 2] = [0.10, 0.25];
/// Tint that no white balance and no leaf makes, from where and from where for sure: leaves reach 0.45.
const CAST: [f64; 2] = [0.40, 0.60];
/// Red airglow tints half as much: 0.2 kR of 630.0 nm, 2.5 times that low down, over 0.6 kR in a red pixel.
const RED_AIRGLOW: f64 = 0.5;
/// Most odds for light that airglow, too, explains: cannot tell.
const MOST_LIKE_AIRGLOW: f64 = 0.8;
/// Most odds for small spots beside a burnt-out light.
const MOST_LIKE_FLARE: f64 = 0.5;
/// Warmth from the coldest to the warmest twentieth of the sky: 1.0 is a sky of 8000 K beside one of 3300 K.
const DUSK_RANGE: [f64; 2] = [0.7, 1.2];
/// Level of the sky in pictures taken by day, developed: people expose night skies for less (judgement).
const DAY_LEVEL: [f64; 2] = [0.25, 0.5];
/// Share of painted and rough things over which coloured cells are suspect.
const FOREGROUND: [f64; 2] = [0.25, 0.7];

/// Whether all line light fades slowly.
pub(super) fn is_smooth(line: &LineLight) -> bool {
    line.hues.iter().all(|light| light.edge < SMOOTH_EDGE)
}

/// Adds what the colours say. The line light is judged cell by cell before.
pub(super) fn judge(
    judgement: &mut Judgement,
    rivals: &Rivals,
    tints: &Tints,
    line: &LineLight,
    context: &AuroraContext<'_>,
) {
    let usable = tints.usable_count() as f64;
    let whole = ramp(usable, CELLS[0], CELLS[1]).sqrt();
    let mut worth = 0.0;
    for light in &line.hues {
        let log_odds = of_hue(light, line, context) * whole;
        if log_odds >= 0.05 {
            judgement.add(clue(light.hue), log_odds, words(light));
            worth += log_odds;
        }
    }
    if worth > MOST_COLOUR {
        let words = "colours of one picture are one witness".to_owned();
        judgement.add(AuroraClue::Medium, MOST_COLOUR - worth, words);
    }
    // smallest difference that four errors would show
    let sees = 1.0 - ramp(4.0 * line.sigma, 0.10, 0.25);
    // what is burnt out white has lost its colour
    let lost = 0.8 * ramp(line.cut_off_share, CUT_OFF_SHARE[0], CUT_OFF_SHARE[1]);
    // neither can a picture with forms in it that has hardly any colour at all
    let muted = ramp(line.contrast, FORMS[0], FORMS[1]) * (1.0 - ramp(line.colourfulness, COLOURFUL[0], COLOURFUL[1]));
    let natural =
        NATURAL_WORTH * whole.max(0.3) * sees * (1.0 - lost.max(0.7 * muted)) * (1.0 - (worth / LINE_ENOUGH).min(1.0));
    judgement.add(AuroraClue::NaturalColours, natural, "nearly all light has colours that a continuum has".to_owned());
    if context.luminance_cd_m2.is_none() && !context.is_linear && context.stars != StarsSeen::Sure {
        let level =
            quantile((0..tints.level.len()).filter(|cell| tints.usable[*cell]).map(|cell| tints.level[cell]), 0.5);
        let day = ramp(level.unwrap_or(0.0), DAY_LEVEL[0], DAY_LEVEL[1]);
        judgement.add(AuroraClue::Daylight, -1.8 * day, "as bright as pictures of day are made".to_owned());
    }
    if let Some(steps) =
        tints.grain_steps.filter(|_| context.luminance_cd_m2.is_none() && context.stars != StarsSeen::Sure)
    {
        let beyond_cast = line.hue(Hue::Green).map_or(0.0, |green| ramp(green.tint, CAST[0], CAST[1]));
        let clean = (1.0 - ramp(steps, GRAIN_STEPS[0], GRAIN_STEPS[1])) * (1.0 - beyond_cast);
        let words = format!("grain of {steps:.1} steps: less than pictures of night skies have");
        judgement.add(AuroraClue::Medium, -2.2 * clean, words);
    }
    let fades = ramp(tints.faded_share, FADED[0], FADED[1]);
    judgement.add(
        AuroraClue::Medium,
        -2.5 * fades,
        "the light fades into black without an edge, as drawings do".to_owned(),
    );
    let total = tints.usable.len().max(1) as f64;
    let suspect = tints.rough.iter().filter(|rough| **rough).count() as f64 / total + line.dark_share;
    let doubt = ramp(suspect, FOREGROUND[0], FOREGROUND[1]) * if context.sky.is_empty() { 1.0 } else { 0.5 };
    if worth < 0.5 && context.sky.is_empty() {
        let little = ramp(suspect, 0.4, 0.8);
        judgement.add(AuroraClue::Rival, -1.8 * little, "hardly any smooth sky in the picture".to_owned());
    }
    if worth > 0.5 {
        let brightest = line.hues.iter().map(|light| light.level).fold(0.0, f64::max);
        let dim = 1.0 - ramp(brightest / line.natural_level.max(1e-9), DIM[0], DIM[1]);
        judgement.add(
            AuroraClue::Rival,
            -2.5 * dim,
            "it is darker than half of the sky, and should add to it".to_owned(),
        );
        judgement.add(AuroraClue::Rival, -3.0 * doubt, "much of the picture is rough or painted".to_owned());
        if rivals.strength(AuroraRival::Flare) > 0.5 {
            let words = "small spots beside a burnt-out light, as a lens reflects them";
            judgement.cap(MOST_LIKE_FLARE, AuroraClue::Rival, words);
        }
        let airglow =
            |hue: Hue| AIRGLOW_TINT[usize::from(context.is_linear)] * if hue == Hue::Green { 1.0 } else { RED_AIRGLOW };
        if line.hues.iter().all(|light| light.edge < SMOOTH_EDGE && light.tint < 1.2 * airglow(light.hue)) {
            judgement.cap(MOST_LIKE_AIRGLOW, AuroraClue::Rival, "so faint and smooth a light airglow makes, too");
        }
    }
}

fn of_hue(light: &HueLight, line: &LineLight, context: &AuroraContext<'_>) -> f64 {
    let is_smooth = 1.0 - ramp(light.edge, 0.6 * SMOOTH_EDGE, SMOOTH_EDGE);
    let dusk = dusk(line, context);
    match light.hue {
        Hue::Green => {
            let airglow = AIRGLOW_TINT[usize::from(context.is_linear)];
            let faint = 1.0 - ramp(light.tint, airglow, 1.5 * airglow);
            // everything alike: a cast, or nothing to compare with
            let beyond_cast = ramp(light.tint, CAST[0], CAST[1]);
            let alone = if line.has_reference { 1.0 } else { 0.55 + 0.45 * beyond_cast };
            GREEN_WORTH * light.strength * (1.0 - 0.65 * is_smooth * faint) * alone
        }
        Hue::Red => {
            let trust = LineLight::trust_in_red(context);
            RED_WORTH * light.strength * trust * (1.0 - 0.35 * is_smooth) * (1.0 - 0.7 * dusk)
        }
        Hue::Violet => VIOLET_WORTH * light.strength * LineLight::trust_in_red(context) * (1.0 - 0.7 * dusk),
    }
}

/// How much the sky looks like dusk, 0 to 1.
fn dusk(line: &LineLight, context: &AuroraContext<'_>) -> f64 {
    let by_colour = ramp(line.warm_range, DUSK_RANGE[0], DUSK_RANGE[1]);
    match context.sun_altitude_deg {
        Some(sun) if sun < -14.0 => 0.0,
        Some(sun) => by_colour.max(ramp(sun, -14.0, -8.0)),
        None => by_colour,
    }
}

fn clue(hue: Hue) -> AuroraClue {
    match hue {
        Hue::Green => AuroraClue::Green,
        Hue::Red => AuroraClue::Red,
        Hue::Violet => AuroraClue::Violet,
    }
}

fn words(light: &HueLight) -> String {
    let percent = 100.0 * light.share;
    let than = 100.0 * light.tint;
    let edge = if light.edge < SMOOTH_EDGE { "fading slowly" } else { "with edges" };
    match light.hue {
        Hue::Green => format!("{percent:.1} % of the sky is up to {than:.0} % greener than its own light, {edge}"),
        Hue::Red => format!("{percent:.1} % of the sky is redder by up to {than:.0} % with no yellow in it, {edge}"),
        Hue::Violet => format!("{percent:.1} % of the sky is up to {than:.0} % more violet than its own light, {edge}"),
    }
}
