//! What the eye view says in words.

use frame::AuroraFinding;
use optics::SeenAs;
use quantity::{EmissionLine, Estimate};

use super::EyeLineLimit;
use crate::expose::SeenAurora;

pub(super) fn seen(seen: SeenAs) -> SeenAurora {
    match seen {
        SeenAs::Nothing => SeenAurora::Nothing,
        SeenAs::Grey => SeenAurora::Grey,
        SeenAs::HintOfColour => SeenAurora::HintOfColour,
        SeenAs::PlainColour => SeenAurora::PlainColour,
    }
}

/// "About 4 kR (2.6 to 6.1) at its brightest: grey to most eyes, green to the camera in 2 s."
pub(super) fn verdict(
    kr: &Estimate,
    looks: SeenAurora,
    at_most: SeenAurora,
    colour: &str,
    exposure_s: Option<f64>,
) -> String {
    // what an eye sees is worked out for 557.7 nm: of another colour only that there is some can be said
    let hue = if colour == "green" { "green" } else { "colour" };
    let likely = match looks {
        SeenAurora::Nothing => "not seen by most eyes".to_owned(),
        SeenAurora::Grey => "grey to most eyes".to_owned(),
        SeenAurora::HintOfColour => format!("a hint of {hue} to most eyes"),
        SeenAurora::PlainColour | SeenAurora::CastsShadows => {
            (if hue == "green" { "plainly green to most eyes" } else { "plain colour to most eyes" }).to_owned()
        }
    };
    let perhaps = match (looks, at_most) {
        (SeenAurora::Nothing, SeenAurora::Nothing) | (SeenAurora::Grey, SeenAurora::Grey) => String::new(),
        (SeenAurora::Nothing, SeenAurora::Grey) => ", perhaps a grey glow".to_owned(),
        (SeenAurora::Nothing | SeenAurora::Grey, _) => format!(", perhaps a hint of {hue}"),
        (SeenAurora::HintOfColour, SeenAurora::PlainColour) => format!(", perhaps plain {hue}"),
        _ => String::new(),
    };
    let time = exposure_s.map_or_else(String::new, |seconds| format!(" in {}", shutter(seconds)));
    format!(
        "About {} kR ({} to {}) at its brightest: {likely}{perhaps}; {colour} to the camera{time}.",
        plain(kr.value),
        plain(kr.low),
        plain(kr.high)
    )
}

/// The verdict of light that may be something else.
pub(super) fn if_aurora(verdict: &str) -> String {
    let mut letters = verdict.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_lowercase().to_string());
    format!("Whether this is aurora cannot be told. If it is, {first}{}", letters.as_str())
}

/// The colour that the brightest of the aurora has in a camera, from its excess in red, green and blue.
pub(super) fn colour(finding: &AuroraFinding) -> &'static str {
    let brightest = |channel: usize| finding.excess.get(channel).map_or(0.0, |excess| excess.brightest);
    let [red, green, blue] = [0, 1, 2].map(brightest);
    if red > green && red > blue {
        "red"
    } else if blue > green {
        "violet"
    } else {
        "green"
    }
}

/// What a line looks like to a camera.
pub(super) fn line_colour(line: EmissionLine) -> &'static str {
    match line {
        EmissionLine::Blue4278 => "violet",
        EmissionLine::Green5577 => "green",
        EmissionLine::Red6300 => "red",
    }
}

/// Why what is red or violet to the camera was something else to the eye.
pub(super) fn of_another_line(limit: &EyeLineLimit, green: Option<&Estimate>) -> String {
    let times = green.map_or_else(String::new, |green| {
        let times = limit.seen_from_kr.value / green.value;
        if times > 1.05 { format!(", {} times as much as of green", plain(times)) } else { String::new() }
    });
    let by = if limit.by_rods { "by rods, as grey" } else { "by cones alone: rods hardly know it" };
    format!(
        "the camera shows {}: this eye sees a wide glow of that line ({:.0} nm) from about {} kR{times}, {by}; its colour \
         begins near {} kR, by the CIE's curves of rods and cones (model)",
        limit.colour,
        limit.wavelength_nm,
        plain(limit.seen_from_kr.value),
        plain(limit.colour_from_kr.value)
    )
}

pub(super) fn caption(minutes: f64, field_factor: f64) -> String {
    let eye = if field_factor <= 1.5 {
        "a trained"
    } else if field_factor < 2.3 {
        "a typical"
    } else {
        "a hurried"
    };
    format!(
        "Simulation: the sky as {eye} observer (field factor {}) sees it after {} without white light, on a screen turned \
         down in a dark room.",
        plain(field_factor),
        waiting(minutes)
    )
}

fn waiting(minutes: f64) -> String {
    if minutes < 1.0 { "no time".to_owned() } else { format!("{minutes:.0} min") }
}

/// "2 s", "1/60 s".
pub(crate) fn shutter(seconds: f64) -> String {
    if seconds >= 0.3 { format!("{} s", plain(seconds)) } else { format!("1/{:.0} s", seconds.max(1e-6).recip()) }
}

/// Two digits: more would claim too much.
fn plain(value: f64) -> String {
    if value >= 9.95 || value <= 0.0 {
        let step = if value >= 99.5 { 10f64.powf(value.log10().floor() - 1.0) } else { 1.0 };
        return format!("{:.0}", (value / step).round() * step);
    }
    let text = if value >= 0.995 { format!("{value:.1}") } else { format!("{value:.2}") };
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Where a ninth lies.
pub(super) fn place([column, row]: [usize; 2]) -> String {
    let down = ["upper", "middle", "lower"];
    let across = ["left", "middle", "right"];
    let (down, across) = (down[row.min(2)], across[column.min(2)]);
    if down == across { "the middle".to_owned() } else { format!("{down} {across}") }
}

#[cfg(test)]
mod tests {
    use quantity::Basis;

    use super::*;

    #[test]
    fn the_sentence_says_what_is_known_and_no_more() {
        let kr = Estimate { value: 4.04, low: 2.6, high: 6.12, basis: Basis::Measured };
        let words = verdict(&kr, SeenAurora::Grey, SeenAurora::HintOfColour, "green", Some(2.0));
        assert_eq!(
            words,
            "About 4 kR (2.6 to 6.1) at its brightest: grey to most eyes, perhaps a hint of green; green to the camera in 2 s."
        );
        assert_eq!(
            [0.0, 0.123, 0.96, 9.7, 10.4, 123.0, 1260.0].map(plain),
            ["0", "0.12", "0.96", "9.7", "10", "120", "1300"]
        );
    }
}
