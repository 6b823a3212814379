//! From what was asked to light: kR given, a class, or what somebody sees.

use optics::{
    EyeBackground, TYPICAL_FIELD_FACTOR, ThresholdLuminance, colour_luminance_cd_m2, photopic_cd_m2,
    visible_threshold_after,
};
use quantity::{Basis, EmissionLine, Estimate, InputNote, InputState, LineBrightness};

use super::request::{AskedBrightness, ColourShares, ExposeRequest, IbcClass, SeenAurora};
use crate::wording::kilorayleighs;

/// Spread of a brightness that somebody gives as one number: half a stop each way (judgement).
const GIVEN_SPREAD: f64 = std::f64::consts::SQRT_2;
/// A class reaches a quarter of a decade each side of its own brightness, as the scale is read here.
const CLASS_SPREAD_DEX: f64 = 0.25;
/// Patch an eye judges by, square degrees: a stretch of arc.
const PATCH_DEG2: f64 = 10.0;
/// Share of its colour that an aurora shows where a hint becomes plain (judgement: the middle of the eye model's range).
const PLAIN_FROM_SATURATION: f64 = 0.5;
/// Green light that casts shadows, kR: a bright breakup; class IV, 1000 kR, surely does (judgement).
const SHADOWS_KR: (f64, f64, f64) = (250.0, 500.0, 1000.0);
/// Unseen may be as faint as this share of the threshold (judgement).
const UNSEEN_SHARE: f64 = 0.25;
/// Least ratio between the ends of a stretch read off from what is seen.
const LEAST_RANGE: f64 = 3.0;

/// How much brighter the next brightening is: three to five times (common practice), the middle in the same ratio.
const BRIGHTENING: (f64, f64, f64) = (3.0, 3.87, 5.0);

/// Green light, kR, and where it came from.
pub(super) struct Asked {
    pub(super) green_kr: Estimate,
    pub(super) note: InputNote,
}

/// Reads the brightness.
pub(super) fn asked(request: &ExposeRequest, background: EyeBackground) -> Asked {
    let (green_kr, source, state) = match request.brightness {
        AskedBrightness::Given { green_5577_kr: value, low_kr, high_kr } => {
            let low = low_kr.unwrap_or(value / GIVEN_SPREAD);
            let high = high_kr.unwrap_or(value * GIVEN_SPREAD);
            let source = format!("{} of 557.7 nm, as given", kilorayleighs(value));
            (Estimate { value, low, high, basis: Basis::Assumed }, source, InputState::Given)
        }
        AskedBrightness::Ibc { class } => {
            let green_kr = Estimate::logarithmic(class_kr(class), CLASS_SPREAD_DEX, Basis::Model);
            (green_kr, format!("IBC {}, as given", class_label(class)), InputState::Given)
        }
        AskedBrightness::Seen { what } => {
            let threshold =
                visible_threshold_after(background, PATCH_DEG2, TYPICAL_FIELD_FACTOR, request.adaptation_minutes);
            let source = format!(
                "{}, read through the eye model (dark for {:.0} min)",
                seen_words(what),
                request.adaptation_minutes
            );
            (seen(what, &threshold, request.colours), source, InputState::Given)
        }
    };
    Asked {
        green_kr,
        note: InputNote { name: "Brightness".into(), source, observed_at: None, age_minutes: None, state },
    }
}

/// The three lines of so much green light.
pub(super) fn lines(green_kr: f64, colours: ColourShares) -> LineBrightness {
    LineBrightness {
        blue_4278_kr: green_kr * colours.blue_4278,
        green_5577_kr: green_kr,
        red_6300_kr: green_kr * colours.red_6300,
    }
}

/// The next brightening.
pub(super) fn brightening(green_kr: f64) -> Estimate {
    let (low, value, high) = BRIGHTENING;
    Estimate { value: value * green_kr, low: low * green_kr, high: high * green_kr, basis: Basis::Assumed }
}

fn class_kr(class: IbcClass) -> f64 {
    match class {
        IbcClass::One => 1.0,
        IbcClass::Two => 10.0,
        IbcClass::Three => 100.0,
        IbcClass::Four => 1000.0,
    }
}

fn class_label(class: IbcClass) -> &'static str {
    match class {
        IbcClass::One => "I",
        IbcClass::Two => "II",
        IbcClass::Three => "III",
        IbcClass::Four => "IV",
    }
}

fn seen_words(what: SeenAurora) -> &'static str {
    match what {
        SeenAurora::Nothing => "nothing seen by eye",
        SeenAurora::Grey => "a grey glow seen",
        SeenAurora::HintOfColour => "a hint of colour seen",
        SeenAurora::PlainColour => "plain colour seen",
        SeenAurora::CastsShadows => "shadows cast",
    }
}

/// Green light that looks like this, kR.
///
/// Five stretches that follow each other. Under a bright sky the eye's threshold passes where colour would begin: then each
/// stretch still spans a ratio of three and the next begins where it ends.
fn seen(what: SeenAurora, threshold: &ThresholdLuminance, colours: ColourShares) -> Estimate {
    let colour_kr = |saturation: f64| colour_luminance_cd_m2(saturation) / photopic_cd_m2(&lines(1.0, colours));
    let unseen = UNSEEN_SHARE * threshold.of_line_kr(EmissionLine::Green5577);
    let grey = threshold.soft_edged().of_line_kr(EmissionLine::Green5577);
    let hint = colour_kr(0.0).max(LEAST_RANGE * grey);
    let plain = colour_kr(PLAIN_FROM_SATURATION).max(LEAST_RANGE * hint);
    let full = colour_kr(1.0).max(LEAST_RANGE * plain);
    match what {
        SeenAurora::Nothing => between(unseen, grey),
        SeenAurora::Grey => between(grey, hint),
        SeenAurora::HintOfColour => between(hint, plain),
        SeenAurora::PlainColour => between(plain, full),
        SeenAurora::CastsShadows => {
            let (low, value, high) = SHADOWS_KR;
            let more = (full / value).max(1.0);
            Estimate { value: value * more, low: low * more, high: high * more, basis: Basis::Assumed }
        }
    }
}

/// Between two ends, the middle in the same ratio.
fn between(low: f64, high: f64) -> Estimate {
    Estimate { value: (low * high).sqrt(), low, high, basis: Basis::Model }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(mag_arcsec2: f64) -> Vec<f64> {
        let background = EyeBackground::from_sky_magnitude(mag_arcsec2);
        let threshold = visible_threshold_after(background, PATCH_DEG2, TYPICAL_FIELD_FACTOR, 30.0);
        [
            SeenAurora::Nothing,
            SeenAurora::Grey,
            SeenAurora::HintOfColour,
            SeenAurora::PlainColour,
            SeenAurora::CastsShadows,
        ]
        .into_iter()
        .map(|what| seen(what, &threshold, ColourShares::default()).value)
        .collect()
    }

    #[test]
    fn what_is_seen_stands_where_the_wmo_words_put_it() {
        // WMO Cloud Atlas: I like the Milky Way, grey; II a hint of green; III colour plain; IV casts shadows
        let dark = all(21.8);
        assert!(dark[0] < 1.0 && (1.0..5.0).contains(&dark[1]), "{dark:?}");
        assert!((5.0..30.0).contains(&dark[2]) && (30.0..200.0).contains(&dark[3]), "{dark:?}");
        assert!((200.0..=1000.0).contains(&dark[4]), "{dark:?}");
    }

    #[test]
    fn more_seen_is_brighter_and_a_moonlit_sky_asks_for_more() {
        for mag in [22.0, 20.0, 18.0, 16.0, 12.0, 6.0] {
            assert!(all(mag).windows(2).all(|pair| pair[0] < pair[1]), "{mag}: {:?}", all(mag));
        }
        let (dark, moonlit) = (all(21.8), all(18.0));
        assert!(moonlit[0] > 3.0 * dark[0] && moonlit[1] > dark[1]);
    }
}
