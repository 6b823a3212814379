//! What `tell` found, in words.

use std::fmt::Write;

use job::{EyeShares, SeenAurora, TellEyeReport};
use quantity::Estimate;

/// The report of an eye view.
pub(crate) fn eye(report: &TellEyeReport) -> String {
    let mut text = format!("{}: {}\n", report.file, report.verdict);
    if report.why_not.is_some() {
        return format!("{}\n", report.verdict);
    }
    let mut line = |name: &str, value: String| {
        // writing to a String cannot fail
        let _written = writeln!(text, "  {name:<22} {value}");
    };
    if let (Some(kr), Some(ibc)) = (&report.brightest_kr, &report.ibc) {
        line("brightest", format!("{} kR, IBC {ibc}", range(kr)));
    }
    if let Some(kr) = &report.median_kr {
        line("median", format!("{} kR", range(kr)));
    }
    if let Some(mag) = &report.sky_mag_arcsec2 {
        line("sky without aurora", format!("{:.1} ({:.1} to {:.1}) mag/arcsec2", mag.value, mag.low, mag.high));
    }
    if let Some(kr) = &report.faintest_kr {
        line("eye begins at", format!("{} kR at the ground, a wide glow (model)", range(kr)));
    }
    if let Some(kr) = &report.colour_from_kr {
        line("colour begins at", format!("{} kR at the ground (model)", range(kr)));
    }
    if let Some(shares) = report.shares.as_ref().filter(|shares| shares.aurora > 0.0) {
        line("of the aurora's area", shares_words(shares));
    }
    for region in &report.regions {
        line(&region.place, format!("{} kR at the ground: {}", range(&region.brightest_kr), seen(region.seen)));
    }
    for words in report.basis.iter().chain(&report.notes) {
        let _written = writeln!(text, "  - {words}");
    }
    let _written = writeln!(text, "  {}", report.caption);
    text
}

fn shares_words(shares: &EyeShares) -> String {
    format!(
        "about {:.0} % not seen, {:.0} % grey, {:.0} % with a hint of colour, {:.0} % in plain colour (estimate)",
        100.0 * shares.vanished,
        100.0 * shares.grey,
        100.0 * shares.hint_of_colour,
        100.0 * shares.plain_colour
    )
}

fn seen(seen: SeenAurora) -> &'static str {
    match seen {
        SeenAurora::Nothing => "not seen",
        SeenAurora::Grey => "grey",
        SeenAurora::HintOfColour => "a hint of colour",
        SeenAurora::PlainColour => "plain colour",
        SeenAurora::CastsShadows => "casts shadows",
    }
}

fn range(kr: &Estimate) -> String {
    let digits = |value: f64| if value >= 10.0 { format!("{value:.0}") } else { format!("{value:.2}") };
    format!("{} ({} to {})", digits(kr.value), digits(kr.low), digits(kr.high))
}
